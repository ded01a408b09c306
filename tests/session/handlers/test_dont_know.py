"""'I don't know' at a check: not now. It asks for no reason, can be taken back, and is no answer."""

from __future__ import annotations

import pytest

from assistant.messages.decisions import Observed, Skipped
from tests.session.conversation import Conversation
from tests.session.transitions.rows import OHMS


def at_the_ohms() -> Conversation:
    dialog = Conversation().begin().dialog(OHMS)
    assert dialog.prompt == "check:sensor ohms:left"
    return dialog


@pytest.mark.parametrize("words", ["I don't know", "not sure", "no idea", "can't tell"])
def test_it_passes_the_check_by_without_asking_why(words: str) -> None:
    dialog = at_the_ohms()
    before = len(dialog.now.observations)
    dialog.hear(words)
    skipped = [one for one in dialog.decisions if isinstance(one, Skipped)]
    assert [str(one.prompt) for one in skipped] == ["check:sensor ohms:left"]
    assert skipped[0].reason == words
    assert len(dialog.now.observations) == before
    assert dialog.prompt != "check:sensor ohms:left"
    assert dialog.folded() == dialog.now.settled()


def test_scratch_that_asks_it_again_and_an_answer_counts() -> None:
    dialog = at_the_ohms()
    dialog.dialog(["I don't know", "scratch that"])
    assert dialog.prompt == "check:sensor ohms:left"
    dialog.hear("1180")
    assert [one.check for one in dialog.now.observations][-1] == "sensor ohms"
    assert not dialog.now.skipped, "what was answered after all was not passed by"
    assert [one for one in dialog.decisions if isinstance(one, Observed)][-1].place == "left"
    assert dialog.folded() == dialog.now.settled()


def test_going_back_to_it_and_answering_takes_it_back() -> None:
    dialog = at_the_ohms()
    dialog.dialog(["I don't know", "go back", "1180"])
    assert not dialog.now.skipped
    assert dialog.now.observations[-1].check == "sensor ohms"
    assert dialog.folded() == dialog.now.settled()


def test_said_while_an_answer_is_asked_again_it_leaves_that_answer() -> None:
    dialog = at_the_ohms()
    dialog.dialog(["go back", "I don't know"])
    assert not dialog.now.skipped
    assert dialog.now.observations[-1].check == "output"
