"""History of a unit whose number is told in the session: said, counted, recorded; asked again for another number."""

from __future__ import annotations

import pytest

from assistant.engine.decisions import FactWithdrawn, HistoryTaken
from assistant.engine.planning import shares
from assistant.engine.state import fold
from assistant.engine.step import step
from assistant.engine.talk import Mode
from assistant.engine.view import Suspect
from assistant.errors import DefectError
from assistant.messages import Heard, HistoryTold, HistoryWeight, Hypothesis, LookUp, Recorded, Resumed
from tests.engine.conversation import Conversation, keys, setting

LEFT = Suspect("open sensor", "left")
LESS = HistoryWeight("open sensor", "left", 0.4, "Replaced in March.")
TOLD = "This unit was here 1 time before: sensor replaced, left, in March."


def talk_to_the_number() -> Conversation:
    """A talk that has just heard the unit's number."""
    return Conversation(setting(unit_number="", asks_history=True)).begin().talk(("ready", "yes", "0419"))


def test_the_history_comes_before_the_next_question() -> None:
    talk = talk_to_the_number()
    assert talk.mode is Mode.LOOK_UP
    before = shares(talk.setting, talk.now)[LEFT]
    said = talk.feed(HistoryTold(4.0, "0419", TOLD, (LESS,)))
    assert keys(said) == ["history", "ask"]
    assert TOLD in talk.text(said)
    assert talk.prompt == "fact:brakes"
    assert talk.decisions[-1] == HistoryTaken("0419", (LESS,))
    assert shares(talk.setting, talk.now)[LEFT] < before
    assert talk.folded() == talk.now.settled()


def test_the_number_asks_for_it() -> None:
    """The effect is there after the number is on disk, and nothing is listened for meanwhile."""
    talk = Conversation(setting(unit_number="", asks_history=True)).begin().talk(("ready", "yes"))
    state, _ = step(talk.setting, talk.now, Heard(3.0, (Hypothesis("0419"),)))
    state, effects = step(talk.setting, state, Recorded(3.0, 4))
    assert effects[-1] == LookUp("0419")
    with pytest.raises(DefectError):
        step(talk.setting, state, Heard(4.0, (Hypothesis("drum"),)))


def test_nothing_known_is_recorded_and_not_said() -> None:
    talk = talk_to_the_number()
    said = talk.feed(HistoryTold(4.0, "0419"))
    assert keys(said) == ["ask"]
    assert talk.decisions[-1] == HistoryTaken("0419")


def test_another_number_is_another_history() -> None:
    talk = talk_to_the_number()
    talk.feed(HistoryTold(4.0, "0419", TOLD, (LESS,)))
    talk.hear("go back")
    talk.hear("0420")
    assert FactWithdrawn("unit number") in talk.decisions
    assert talk.mode is Mode.LOOK_UP
    assert not talk.now.history
    talk.feed(HistoryTold(5.0, "0420"))
    assert talk.now.history_of == "0420"
    assert shares(talk.setting, talk.now) == pytest.approx(shares(talk.setting, fold(talk.setting, ())))


def test_a_session_that_died_in_between_asks_for_it_on_resuming() -> None:
    talk = talk_to_the_number()
    again = Conversation(talk.setting, talk.folded())
    again.feed(Resumed(5.0))
    assert again.mode is Mode.LOOK_UP
    again.feed(HistoryTold(6.0, "0419", TOLD, (LESS,)))
    assert again.prompt == "fact:brakes"


def test_an_old_record_goes_on_without_it() -> None:
    talk = Conversation(setting(unit_number="")).begin().talk(("ready", "yes", "0419"))
    assert talk.prompt == "fact:brakes"
