"""How a session ends without a repair: not present today, found and waiting, does not fit."""

from __future__ import annotations

import pytest

from assistant import catalog
from assistant.messages import Heard, Hypothesis, Reason, Why
from assistant.messages.decisions import Ended, Ending, FixChosen, Observed
from assistant.phrasing.reasons import reason_text
from assistant.procedure.load import load_procedure
from assistant.session import stakes
from assistant.session.agenda.waiting import is_wait
from assistant.session.context import Context
from assistant.session.fold import results
from assistant.simulator.unit import SimulatedUnit
from tests.session.conversation import Conversation, keys
from tests.session.rows import FIX, OHMS

FACTS = {
    "light": "trailer light", "comes on": "at once", "lately": "nothing", "powered by": "tractor",
    "tractors": "one tried", "trailers": "single", "sensors wired": "four", "modulators": "one valve",
    "brakes": "disc", "codes": "stored only", "stored codes": "one", "lowest AC range": "automatic",
    "lead ohms": "0.2", "coil temperature": "70",
}  # fmt: skip


def sound_unit() -> SimulatedUnit:
    """Nothing is wrong: the light goes out, every reading is good, the stored code names a wheel that is good."""
    loaded = load_procedure("trailer-abs-light-on")
    return SimulatedUnit(loaded.procedure, FACTS, [], seed=1)


def test_a_fault_that_is_not_there_is_neither_repaired_nor_proven() -> None:
    """Light out, every reading good, one stored code: nothing is mended and no cause is recorded."""
    unit = sound_unit()
    dialog = Conversation(Context(unit.procedure, catalog.load_vocabulary())).begin()
    for _ in range(400):
        if dialog.finished:
            break
        assert dialog.expectation is not None
        dialog.feed(Heard(0.0, (Hypothesis(unit.answer(dialog.expectation)),)))
    assert dialog.finished == "not present today"
    assert not [one for one in dialog.decisions if isinstance(one, FixChosen)]
    assert not results(dialog.context, dialog.now).causes
    last = keys(dialog.said[-12:])
    assert "checked" in last
    assert "watch_for" in last
    assert any(isinstance(one, Observed) and one.choice == "goes out" for one in dialog.decisions)


@pytest.mark.parametrize("reason", ["waiting for a part", "not in stock", "the foreman must look at it"])
def test_a_repair_that_waits_ends_the_search_and_is_recorded(reason: str) -> None:
    dialog = Conversation().begin().dialog([*FIX, "skip", reason])
    assert dialog.prompt == "close:put back"
    for _ in range(9):
        if dialog.finished:
            break
        dialog.hear("yes")
    assert dialog.finished == "found, waiting"
    ended = [one for one in dialog.decisions if isinstance(one, Ended)]
    assert ended[0].ending is Ending.WAITING
    text = reason_text(ended[0].because)
    assert "Open sensor, left" in text
    assert reason in text
    found = results(dialog.context, dialog.now)
    assert not found.causes
    assert [one.fault for one in found.suspected] == ["open sensor"]
    assert dialog.folded() == dialog.now.settled()


def test_a_repair_that_is_doubted_goes_on_with_the_search() -> None:
    dialog = Conversation().begin().dialog([*FIX, "skip", "I do not believe it"])
    assert not dialog.finished
    assert dialog.prompt != "close:put back"


def test_which_reasons_wait() -> None:
    assert is_wait("No part in stock")
    assert is_wait("needs the boss's approval")
    assert not is_wait("it looks good to me")
    assert not is_wait("")


@pytest.mark.parametrize(("shown", "asks"), [("good", False), ("unsteady", True)])
def test_a_good_reading_is_never_announced_as_one_that_condemns(
    monkeypatch: pytest.MonkeyPatch, shown: str, *, asks: bool
) -> None:
    """Even where it leaves little else than a part to replace next."""
    dialog = Conversation().begin().dialog(OHMS)
    check = dialog.context.check("sensor ohms")
    because = Reason(Why.WRITTEN, {"text": "little else"})
    following = (FixChosen("replace sensor", "left", "open sensor", 0.9, condemned=True, because=because),)
    monkeypatch.setattr(stakes, "move_on", lambda *_: following)
    seen = Observed(9, check.name, "left", check.title, {shown: 1.0}, "1180")
    assert stakes.condemns(dialog.context, dialog.now, seen) is asks
