"""'No tool', 'can't get at it': what would come instead is said first, and nothing is passed by without a yes."""

from __future__ import annotations

import pytest

from assistant.messages.decisions import Skipped
from tests.session.conversation import Conversation, keys
from tests.session.partner_tables import scene


def passed_by(talk: Conversation) -> bool:
    return any(isinstance(one, Skipped) for one in talk.decisions)


def at(name: str) -> Conversation:
    start = scene(name)
    return Conversation(start.context, start.now)


@pytest.mark.parametrize("name", ["ohms left rear", "done"])
@pytest.mark.parametrize("said", ["I can't get at it, it's up on the crossmember", "don't have that tool"])
def test_what_comes_instead_is_said_first(name: str, said: str) -> None:
    talk = at(name)
    assert keys(talk.hear(said))[-1] == "skip_then"
    assert not passed_by(talk)
    talk.hear("no")
    assert not passed_by(talk)
    talk.hear(said)
    talk.hear("yes")
    assert passed_by(talk)
