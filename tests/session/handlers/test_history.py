"""History of a unit whose number is told in the session: said, counted, recorded; asked again for another number."""

from __future__ import annotations

import pytest

from assistant.diagnosis.fault_model import Suspect
from assistant.errors import DefectError
from assistant.messages import Heard, HistoryTold, HistoryWeight, Hypothesis, LookUp, Recorded, Resumed
from assistant.messages.decisions import FactWithdrawn, HistoryTaken
from assistant.session.agenda.next_action import shares
from assistant.session.dialog_state import Mode
from assistant.session.fold import fold
from assistant.session.step import step
from tests.session.conversation import Conversation, context, keys

LEFT = Suspect("open sensor", "left")
LESS = HistoryWeight("open sensor", "left", 0.4, "Replaced in March.")
TOLD = "This unit was here 1 time before: sensor replaced, left, in March."


def talk_to_the_number() -> Conversation:
    """A talk that has just heard the unit's number."""
    return Conversation(context(unit_number="", asks_history=True)).begin().dialog(("ready", "yes", "0419"))


def test_the_history_comes_before_the_next_question() -> None:
    dialog = talk_to_the_number()
    assert dialog.mode is Mode.LOOK_UP
    before = shares(dialog.context, dialog.now)[LEFT]
    said = dialog.feed(HistoryTold(4.0, "0419", TOLD, (LESS,)))
    assert keys(said) == ["history", "ask"]
    assert TOLD in dialog.text(said)
    assert dialog.prompt == "fact:brakes"
    assert dialog.decisions[-1] == HistoryTaken("0419", (LESS,))
    assert shares(dialog.context, dialog.now)[LEFT] < before
    assert dialog.folded() == dialog.now.settled()


def test_the_number_asks_for_it() -> None:
    """The effect is there after the number is on disk, and nothing is listened for meanwhile."""
    dialog = Conversation(context(unit_number="", asks_history=True)).begin().dialog(("ready", "yes"))
    state, _ = step(dialog.context, dialog.now, Heard(3.0, (Hypothesis("0419"),)))
    state, effects = step(dialog.context, state, Recorded(3.0, 4))
    assert effects[-1] == LookUp("0419")
    with pytest.raises(DefectError):
        step(dialog.context, state, Heard(4.0, (Hypothesis("drum"),)))


def test_nothing_known_is_recorded_and_not_said() -> None:
    dialog = talk_to_the_number()
    said = dialog.feed(HistoryTold(4.0, "0419"))
    assert keys(said) == ["ask"]
    assert dialog.decisions[-1] == HistoryTaken("0419")


def test_another_number_is_another_history() -> None:
    dialog = talk_to_the_number()
    dialog.feed(HistoryTold(4.0, "0419", TOLD, (LESS,)))
    dialog.hear("go back")
    dialog.hear("0420")
    assert FactWithdrawn("unit number") in dialog.decisions
    assert dialog.mode is Mode.LOOK_UP
    assert not dialog.now.history
    dialog.feed(HistoryTold(5.0, "0420"))
    assert dialog.now.history_of == "0420"
    assert shares(dialog.context, dialog.now) == pytest.approx(shares(dialog.context, fold(dialog.context, ())))


def test_a_session_that_died_in_between_asks_for_it_on_resuming() -> None:
    dialog = talk_to_the_number()
    again = Conversation(dialog.context, dialog.folded())
    again.feed(Resumed(5.0))
    assert again.mode is Mode.LOOK_UP
    again.feed(HistoryTold(6.0, "0419", TOLD, (LESS,)))
    assert again.prompt == "fact:brakes"


def test_an_old_record_goes_on_without_it() -> None:
    dialog = Conversation(context(unit_number="")).begin().dialog(("ready", "yes", "0419"))
    assert dialog.prompt == "fact:brakes"
