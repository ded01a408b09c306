"""The table of transitions: every row is exercised, nothing else is accepted."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from functools import cache
from typing import cast

import pytest

from assistant.diagnosis.fault_model import Suspect
from assistant.errors import DefectError
from assistant.messages import (
    About,
    Ask,
    Began,
    Clarification,
    Command,
    Fact,
    Finish,
    Heard,
    HistoryTold,
    Hypothesis,
    InputEnded,
    Listen,
    MicrophoneLost,
    Outcome,
    Photo,
    PhotoGone,
    PhotoTaken,
    Recorded,
    RecordFailed,
    Report,
    Resumed,
    Say,
    Understanding,
    WentQuiet,
    check_prompt,
)
from assistant.messages.decisions import Record
from assistant.phrasing.phrase import phrase
from assistant.session.agenda.prompts import mode_of
from assistant.session.dialog_state import Mode
from assistant.session.dispatch import TABLE
from assistant.session.events import COMMANDS, Event
from assistant.session.saying.questions import expectation
from assistant.session.step import handle, step
from assistant.session.transition import Relative, Row, to
from assistant.session.turn import Turn
from assistant.session.unprompted.mending import Mending
from assistant.session.unprompted.sightings import Sighting
from tests.rows import each_row
from tests.session.conversation import TO_FINDING, Conversation, context
from tests.session.transitions.rows import long_hunt

_WHICH = Clarification(Ask.WHICH_VALUE, (Decimal(15), Decimal(105)), "ohm")
_REST = Clarification(Ask.INCOMPLETE)
_HELP = Clarification(Ask.WHICH_NAME, names=("help",))

OHMS = (*TO_FINDING, "next", "yes", "0.05")
FIX = (*OHMS, "over range", "yes", "yes", "next")
PROOF = (*FIX, "next", "1150", "clear", "0.6")
WAYS: dict[Mode, tuple[str, ...]] = {
    Mode.READY: (),
    Mode.CAUTION: ("ready",),
    Mode.FACT: ("ready", "yes"),
    Mode.ACCESS: TO_FINDING,
    Mode.CHECK: OHMS,
    Mode.FIX: FIX,
    Mode.CONFIRM: (*OHMS, "over range"),
    Mode.CHOOSE: (*OHMS, "ten five"),
    Mode.REASON: (*OHMS, "skip"),
    Mode.NOTE: (*OHMS, "note"),
    Mode.STOP: (*OHMS, "stop"),
    Mode.HELD: (*OHMS, "hold on"),
}
PHOTO = Photo("0123456789abcdef", "9f", 20_000, 1600, 1200, check_prompt("ohms", "left"))
FACTS: dict[Event, Fact] = {
    Event.BEGAN: Began(1),
    Event.RESUMED: Resumed(1),
    Event.HEARD: Heard(1, (Hypothesis("hello"),)),
    Event.WENT_QUIET: WentQuiet(1),
    Event.INPUT_ENDED: InputEnded(1),
    Event.MICROPHONE_LOST: MicrophoneLost(1, "The headset went away."),
    Event.RECORDED: Recorded(1, 1),
    Event.RECORD_FAILED: RecordFailed(1, "The disk is full."),
    Event.HISTORY_TOLD: HistoryTold(1, "0419", "This unit was here before."),
    Event.PHOTO_TAKEN: PhotoTaken(1, PHOTO),
    Event.PHOTO_GONE: PhotoGone(1, PHOTO.name),
}
MEANT: dict[Event, Understanding] = {
    Event.CORRECTED: Understanding(
        Outcome.READING, "correction 1200", value=Decimal(1200), unit="ohm", command=Command.CORRECTION
    ),
    Event.READING: Understanding(Outcome.READING, "1180", value=Decimal(1180), unit="ohm"),
    Event.CHOOSE: Understanding(
        Outcome.CHOOSE,
        "ten five",
        values=(Decimal(15), Decimal(105)),
        unit="ohm",
        ask=_WHICH,
    ),
    Event.INCOMPLETE: Understanding(Outcome.INCOMPLETE, "twelve point", unit="ohm", ask=_REST),
    Event.RANGE: Understanding(
        Outcome.RANGE, "900 to 2000", unit="ohm", low_end=Decimal(900), high_end=Decimal(2000)
    ),
    Event.UNSTEADY: Understanding(Outcome.UNSTEADY, "jumping", unit="ohm"),
    Event.OVER_RANGE: Understanding(Outcome.OVER_RANGE, "o l", unit="ohm"),
    Event.NOTHING: Understanding(Outcome.NOTHING, "nothing", unit="ohm"),
    Event.CHOICE: Understanding(Outcome.CHOICE, "drum", choice="drum"),
    Event.PLACE: Understanding(Outcome.CHOICE, "right next", choice="right"),
    Event.IDENTIFIER: Understanding(Outcome.IDENTIFIER, "zero four", identifier="04"),
    Event.WORDS: Understanding(Outcome.NOTE, "green powder", note="green powder"),
    Event.NOT_UNDERSTOOD: Understanding(Outcome.NOT_UNDERSTOOD, "mumble"),
    Event.QUESTION: Understanding(Outcome.QUESTION, "spec", about=About.LIMIT),
    Event.REPORT: Understanding(Outcome.REPORT, "not yet", report=Report.WORKING),
    Event.SLIP: Understanding(Outcome.COMMAND, "sto", command=Command.HELP, confirm=True, ask=_HELP),
    **{event: Understanding(Outcome.COMMAND, event.value, command=Command(event.value)) for event in COMMANDS},
}


@cache
def way_to(mode: Mode) -> Conversation:
    """A talk that stands in this mode."""
    match mode:
        case Mode.NEW:
            return Conversation()
        case Mode.LOOK_UP:
            return Conversation(context(unit_number="", asks_history=True)).begin().dialog(("ready", "yes", "0419"))
        case Mode.SPREAD:
            return _spread()
        case Mode.PROOF | Mode.PUT_BACK | Mode.ENDED:
            return _further(mode)
        case Mode.RECORDING | Mode.UNWRITTEN:
            dialog = Conversation().begin().dialog(OHMS)
            dialog.state, _ = step(dialog.context, dialog.now, Heard(1, (Hypothesis("1180"),)))
            if mode is Mode.UNWRITTEN:
                dialog.state, _ = step(dialog.context, dialog.now, RecordFailed(1, "The disk is full."))
            return dialog
        case Mode.OFFER:
            return Conversation(long_hunt()).begin().dialog(OHMS)
        case _:
            return Conversation().begin().dialog(WAYS[mode])


def _spread() -> Conversation:
    dialog = Conversation().begin().dialog(OHMS)
    turn = Turn(dialog.context, dialog.now, FACTS[Event.HEARD], Understanding(Outcome.RANGE, "a range", unit="ohm"))
    dialog.state, _ = handle(turn, Mode.CHECK, Event.RANGE)
    return dialog


def _further(mode: Mode) -> Conversation:
    dialog = Conversation().begin().dialog(FIX)
    answers = {"check:sensor ohms:left": "1150", "check:output:left": "0.6", "caution:clear": "yes"}
    for _ in range(30):
        if dialog.mode is mode:
            return dialog
        dialog.hear(answers.get(dialog.prompt, "out" if dialog.prompt == "proof:light" else "next"))
    raise AssertionError(f"{mode} was not reached, but {dialog.prompt}")


ROWS = [(mode, event) for mode, rows in TABLE.items() for event in rows]


@pytest.mark.parametrize("mode", list(Mode))
def test_every_mode_is_reached(mode: Mode) -> None:
    dialog = way_to(mode)
    assert mode_of(dialog.context, dialog.now) is mode


@each_row(ROWS)
def test_every_row_answers(mode: Mode, event: Event) -> None:
    """A handler either listens, records or finishes; only a record that is on disk changes what is recorded."""
    dialog = way_to(mode)
    turn = Turn(dialog.context, dialog.now, FACTS.get(event, FACTS[Event.HEARD]))
    if event in MEANT:
        turn = replace(turn, understood=MEANT[event], expectation=expectation(dialog.context, dialog.now))
    if event is Event.SEEN:
        told = Understanding(Outcome.CHOICE, "the sensor is missing", choice="open sensor", confirm=True)
        turn = replace(turn, sighting=Sighting("", "left", told, Suspect("open sensor", "left")))
    if event is Event.MENDED:
        turn = replace(turn, mending=Mending((), "correction, right output is 0.3"))
    after, effects = handle(turn, mode, event)
    for effect in effects:
        if isinstance(effect, Say):
            assert phrase(effect, dialog.context.vocabulary).shown
    assert any(isinstance(effect, Listen | Record | Finish) for effect in effects)
    assert not (any(isinstance(effect, Record) for effect in effects) and len(effects) > 1)
    if event is not Event.RECORDED:
        assert after.settled() == dialog.now.settled()


@pytest.mark.parametrize("mode", list(Mode))
def test_what_is_not_in_the_table_is_our_bug(mode: Mode) -> None:
    """The error names fact and state, and nothing is changed."""
    dialog = way_to(mode)
    before = dialog.now
    for event, fact in FACTS.items():
        if event in TABLE[mode] or (
            event is Event.HEARD and mode not in (Mode.NEW, Mode.LOOK_UP, Mode.RECORDING, Mode.ENDED)
        ):
            continue
        with pytest.raises(DefectError, match=rf"'{fact.kind}'.*mode '{mode}'"):
            step(dialog.context, before, fact)
        assert dialog.now is before


def test_an_answer_that_leads_where_its_row_does_not_say_is_our_bug(monkeypatch: pytest.MonkeyPatch) -> None:
    """At once and once recorded: the error names event and both modes, and nothing is written."""
    dialog = way_to(Mode.CHECK)
    rows = cast("dict[Event, Row]", TABLE[Mode.CHECK])
    for event, words, reached in ((Event.STOP, "stop", Mode.STOP), (Event.HOLD, "hold on", Mode.HELD)):
        monkeypatch.setitem(rows, event, replace(rows[event], at_once=to(Relative.STAY), recorded=to(Relative.STAY)))
        with pytest.raises(DefectError, match=rf"'{event}' in the mode 'check' led to the mode '{reached}'"):
            step(dialog.context, dialog.now, Heard(1, (Hypothesis(words),)))


def test_every_mode_that_asks_takes_every_command() -> None:
    """Commands work at every prompt."""
    silent = {Mode.NEW, Mode.LOOK_UP, Mode.RECORDING, Mode.UNWRITTEN, Mode.ENDED}
    for mode in set(Mode) - silent:
        missing = [event for event in COMMANDS if event not in TABLE[mode]]
        assert not missing, f"{mode} does not take {missing}"


def test_every_outcome_and_command_has_an_event() -> None:
    """What understanding can say, the table can take, in every mode that listens."""
    from assistant.session.events import event_of_speech

    for outcome in Outcome:
        command = Command.YES if outcome is Outcome.COMMAND else None
        assert event_of_speech(Understanding(outcome, "words", command=command)) in TABLE[Mode.CHECK]
