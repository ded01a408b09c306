"""How a session ends without a repair: not present today, found and waiting, does not fit."""

from __future__ import annotations

import pytest

from assistant import catalog
from assistant.messages import Heard, Hypothesis, Reason, Why
from assistant.messages.decisions import AccessOpened, Ended, Ending, FixChosen, Observed
from assistant.phrasing.phrase import phrase
from assistant.phrasing.reasons import items_in, reason_text
from assistant.phrasing.wording import at_place
from assistant.procedure.load import load_procedure
from assistant.session.context import Context
from assistant.session.fold import begin, results
from assistant.session.observing import stakes
from assistant.session.results.waits import is_wait
from assistant.session.saying.announcements import ended
from assistant.simulator.unit import SimulatedUnit
from tests.session.conversation import Conversation, keys
from tests.session.transitions.rows import FIX, OHMS

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
    assert "watch_for_codes" in last
    assert any(isinstance(one, Observed) and one.choice == "goes out" for one in dialog.decisions)
    end = dialog.decisions[-1]
    assert isinstance(end, Ended)
    looked = [one for one in dialog.decisions if isinstance(one, Observed)]
    done = {at_place(one.title, one.place) for one in looked}
    listed = items_in(end.because)
    assert listed, "it ends before every wheel is off, and says what was left"
    assert not done & set(listed), "nothing that was looked at is called not checked"
    assert not [one for one in dialog.decisions if isinstance(one, AccessOpened) and one.access == "wheel and drum"]


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


NOT_NOW = (
    "cannot duplicate", "no trouble found", "NTF", "it's not doing it now", "works fine now", "not present today",
    "can't get it to act up", "everything works now",
)  # fmt: skip


@pytest.mark.parametrize("words", NOT_NOW)
def test_a_complaint_that_is_not_there_now_is_looked_for_and_then_ends_after_a_yes(words: str) -> None:
    plain = Context(load_procedure("trailer-abs-light-on").procedure, catalog.load_vocabulary(), unit_number="4207")
    dialog = Conversation(plain).begin().dialog(["ready", "yes", "drum", "fixed", "at once", words])
    assert dialog.prompt == "check:light at power-up"
    dialog.dialog(["goes out", words])
    assert dialog.prompt == "stop"
    dialog.hear("no")
    assert dialog.prompt != "stop"
    dialog.dialog([words, "yes"])
    assert dialog.prompt == "close:put back"
    dialog.hear("yes")
    assert dialog.finished == "not present today"
    last = dialog.decisions[-1]
    assert isinstance(last, Ended)
    listed = items_in(last.because)
    assert plain.check("light at power-up").title not in listed
    assert len(listed) == len(set(listed)) > 3


@pytest.mark.parametrize("name", ["trailer-light-dead-or-faint", "trailer-abs-light-on"])
def test_codes_are_spoken_of_only_where_the_procedure_reads_some(name: str) -> None:
    """A marker light has no codes, so nobody is told to read them."""
    context = Context(load_procedure(name).procedure, catalog.load_vocabulary(), unit_number="88")
    end = Ended(Ending.NOT_PRESENT, Reason(Why.NOT_SEEN, {"items": ("volts at the lamp",)}))
    told = [phrase(one, context.vocabulary) for one in ended(context, begin(context), end)]
    assert any("Not checked: volts at the lamp." in str(text) for text in told)
    assert any("read the codes" in str(text) for text in told) == (name == "trailer-abs-light-on")


def test_a_complaint_that_was_seen_does_not_end_for_being_away_now() -> None:
    plain = Context(load_procedure("trailer-abs-light-on").procedure, catalog.load_vocabulary(), unit_number="4207")
    dialog = Conversation(plain).begin().dialog(["ready", "yes", "drum", "fixed", "at once", "active"])
    assert keys(dialog.hear("it's not doing it now"))[0] == "not_now_seen"
    assert dialog.prompt.startswith("check:")
