"""A yes or a no in free words at 'is that right?': it is one, and words that are none are asked about again."""

from __future__ import annotations

import pytest

from assistant.messages.decisions import Observed
from assistant.session.dialog_state import Mode
from tests.session.conversation import Conversation
from tests.session.partner_tables import scene


def at_the_question(said: str) -> Conversation:
    start = scene("confirm")
    talk = Conversation(start.context, start.now)
    talk.hear(said)
    return talk


def observed(talk: Conversation) -> list[Observed]:
    return [one for one in talk.decisions if isinstance(one, Observed)]


@pytest.mark.parametrize("said", [
    "that is right", "that's right boss", "sure is, that's the one", "simón, así mero",
    "you got it, wide open", "yup that's what the screen shows",
])  # fmt: skip
def test_a_free_yes_is_one(said: str) -> None:
    talk = at_the_question(said)
    assert [one.display for one in observed(talk)] == ["over_range"], talk.said[-3:]


@pytest.mark.parametrize("said", [
    "hmm, no, that isn't what I said", "no, I was on the wrong pin", "yeah no, that's not it", "nah, read it wrong",
])  # fmt: skip
def test_a_free_no_is_one(said: str) -> None:
    talk = at_the_question(said)
    assert talk.mode is not Mode.CONFIRM
    assert not observed(talk)


@pytest.mark.parametrize("said", [
    "hand me that light would you", "is it right?", "it was supposed to rain today", "hold that door for him",
])  # fmt: skip
def test_talk_is_no_answer(said: str) -> None:
    assert not observed(at_the_question(said))
