"""'No, they're fixed' where another answer was asked about is that answer, and is not asked about again."""

from __future__ import annotations

from assistant.messages.decisions import Observed
from tests.session.conversation import Conversation, keys
from tests.session.said_tables import plug_asked


def asked_about() -> Conversation:
    talk = plug_asked("left front")
    assert keys(talk.hear("green on the left side"))[-1] == "is_it_there"
    return talk


def test_the_other_one_is_taken() -> None:
    talk = asked_about()
    talk.hear("no, it's clean")
    assert [one.choice for one in talk.decisions if isinstance(one, Observed)] == ["clean"]


def test_the_same_one_is_no_answer() -> None:
    talk = asked_about()
    talk.hear("no, it's corroded")
    assert not [one for one in talk.decisions if isinstance(one, Observed)]


def test_no_alone_drops_it() -> None:
    talk = asked_about()
    talk.hear("no")
    assert not [one for one in talk.decisions if isinstance(one, Observed)]
