"""Cases for the rows of the table of transitions: ways into each mode, what is met there, and what is seen of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache

from assistant.messages import (
    Ask,
    Clarification,
    Fact,
    FoundBefore,
    Heard,
    Hypothesis,
    Outcome,
    RecordFailed,
    Source,
    Understanding,
)
from assistant.procedure.model import Procedure
from assistant.session.agenda.prompts import mode_of
from assistant.session.context import Context
from assistant.session.dialog_state import Mode
from assistant.session.events import Event
from assistant.session.saying.questions import expectation
from assistant.session.step import handle, step
from assistant.session.turn import Turn
from tests.session.agenda.test_survey import survey
from tests.session.conversation import PROCEDURE, TO_FINDING, Conversation, context, keys

# Where a session stands ------------------------------------------------------------------------------------------

OHMS = (*TO_FINDING, "next", "yes", "0.05")
"""At the left sensor's resistance; its output was read, 0.05 V."""
FIX = (*OHMS, "over range", "yes", "yes", "next")
MEASURED = (*FIX, "next", "1150", "0.6")
"""Repaired, measured again, and asked to put back before the proof."""
SURVEY = ("ready", "yes", "small")
NOT_NUMBERED: dict[str, object] = {"unit_number": "", "asks_history": True}
RANGE = Understanding(Outcome.RANGE, "a range", unit="ohm")


def temperatures() -> Context:
    """The bench with a second temperature, asked after the first, so that a fact can follow a reading."""
    second = {**PROCEDURE["facts"][2], "name": "air at the axle", "ask": "How warm is the air there?"}
    facts = [PROCEDURE["facts"][2], second, *PROCEDURE["facts"][:2]]
    return replace(context(), procedure=Procedure.model_validate({**PROCEDURE, "facts": facts}))


def complaints(*, late: bool = False) -> Context:
    """The bench with a fact that is told in the person's own words; ``late`` when it is asked after a temperature."""
    words = {"name": "seen", "ask": "What did you see?", "kind": "note"}
    facts = [PROCEDURE["facts"][2], words, *PROCEDURE["facts"][:2]] if late else [words, *PROCEDURE["facts"]]
    return replace(context(), procedure=Procedure.model_validate({**PROCEDURE, "facts": facts}))


def long_hunt() -> Context:
    """The bench with figures that the first reading passes: nine in ten hunts take three and a half minutes."""
    figures = {"found": 1, "isolated": [1, 1, 1], "minutes": [1, 3.5]}
    return replace(context(), procedure=Procedure.model_validate({**PROCEDURE, "figures": figures}))


def reading_codes() -> Context:
    """The bench, whose first step of the proof reads codes."""
    first, *others = PROCEDURE["proof"]["steps"]
    proof = {**PROCEDURE["proof"], "steps": [{**first, "reads_codes": True}, *others]}
    return replace(context(), procedure=Procedure.model_validate({**PROCEDURE, "proof": proof}))


FOUND = FoundBefore(
    "20260303-0419-1", "March 3", "open sensor", "left", "replace sensor", "Open sensor, left", "part on order",
    ("resistance of the sensor, left: over range (2026-03-03)",),
)  # fmt: skip
"""What an earlier session left to be mended."""

WAYS: dict[str, Callable[[], Conversation]] = {
    "new": Conversation,
    "left": lambda: later(talk(OHMS)),
    "left on hold": lambda: later(talk((*OHMS, "hold on"))),
    "over": lambda: later(talk(("ready", "stop", "yes"))),
    "ready": lambda: talk(()),
    "first caution": lambda: talk(("ready",)),
    "caution": lambda: talk((*TO_FINDING, "next")),
    "survey caution": lambda: talk((*SURVEY,), survey()),
    "fact": lambda: talk(("ready", "yes", "drum", "no")),
    "needed fact": lambda: talk(("ready", "yes", "drum")),
    "first fact": lambda: talk(("ready", "yes")),
    "unit number": lambda: talk(("ready", "yes"), context(**NOT_NUMBERED)),
    "second temperature": lambda: talk(("ready", "yes", "72"), temperatures()),
    "choice after readings": lambda: talk(("ready", "yes", "72", "60"), temperatures()),
    "note fact": lambda: talk(("ready", "yes"), complaints()),
    "note fact after a reading": lambda: talk(("ready", "yes", "72"), complaints(late=True)),
    "fact with a list": lambda: talk(("ready", "yes", "drum", "no", "what's left")),
    "back at a fact": lambda: talk((*TO_FINDING, "go back")),
    "access": lambda: talk(TO_FINDING),
    "survey access": lambda: talk((*SURVEY, "yes"), survey()),
    "check": lambda: talk(OHMS),
    "survey check": lambda: talk((*SURVEY, "yes", "next"), survey()),
    "survey choice": lambda: talk((*SURVEY, "yes", "next", "1.2 inches"), survey()),
    "back at a check": lambda: talk((*OHMS, "go back")),
    "fix": lambda: talk(FIX),
    "hand over": lambda: talk(OHMS, long_hunt()),
    "found before": lambda: talk(("ready", "yes", "drum", "no", "72"), context(found_before=FOUND)),
    "put back": lambda: talk(MEASURED),
    "put back, one by one": lambda: talk((*MEASURED, "no")),
    "put back at the end": lambda: talk((*MEASURED, "yes", "next", "next", "out")),
    "proof": lambda: talk((*MEASURED, "yes")),
    "codes in the proof": lambda: talk((*MEASURED, "yes"), reading_codes()),
    "confirm a code": lambda: talk((*MEASURED, "yes", "left sensor"), reading_codes()),
    "roll": lambda: talk((*MEASURED, "yes", "next")),
    "light": lambda: talk((*MEASURED, "yes", "next", "next")),
    "confirm": lambda: talk((*OHMS, "over range")),
    "confirm a range": lambda: talk((*OHMS, "between 900 and 2000")),
    "confirm a slip": lambda: talk((*OHMS, "scratch taht")),
    "confirm a failed proof": lambda: talk((*MEASURED, "yes", "next", "next", "on")),
    "confirm at the number": lambda: talk(("ready", "yes", "scratch taht"), context(**NOT_NUMBERED)),
    "choose": lambda: talk((*OHMS, "ten five")),
    "choose at the light": lambda: met(
        "light",
        Event.CHOOSE,
        Understanding(Outcome.CHOOSE, "out on", ask=Clarification(Ask.WHICH_NAME, names=("out", "on"))),
    ),
    "choose at the number": lambda: met(
        "unit number", Event.CHOOSE, Understanding(Outcome.CHOOSE, "zero four", ask=Clarification(Ask.DIGIT_BY_DIGIT))
    ),
    "which is wrong": lambda: talk((*FIX, "correction, left was 5")),
    "spread": lambda: met("check", Event.RANGE, RANGE),
    "spread, lowest known": lambda: at("spread", ("900",)),
    "reason": lambda: talk((*OHMS, "skip")),
    "reason at a fix": lambda: talk((*FIX, "skip")),
    "note": lambda: talk((*OHMS, "note")),
    "note read back": lambda: step_of("note", aloud("The plug is green.")),
    "note read back over a question": lambda: step_of("note over a question", aloud("The plug is green.")),
    "note over a question": lambda: talk((*OHMS, "over range", "note")),
    "stop": lambda: talk((*OHMS, "stop")),
    "stop over a question": lambda: talk((*OHMS, "over range", "stop")),
    "held": lambda: talk((*OHMS, "hold on")),
    "held over a question": lambda: talk((*OHMS, "over range", "hold on")),
    "look up": lambda: talk(("ready", "yes", "0419"), context(**NOT_NUMBERED)),
    "recording": lambda: waiting("check", "1180"),
    "recording the end": lambda: waiting("stop", "yes"),
    "unwritten": lambda: refused("recording"),
    "unwritten, leaving": lambda: step_of("unwritten", Heard(1, (Hypothesis("stop"),))),
    "ended": lambda: talk((*OHMS, "stop", "yes")),
}
"""Ways into the modes, by name."""


def talk(lines: tuple[str, ...], given: Context | None = None) -> Conversation:
    """A conversation after these lines."""
    return Conversation(given or context()).begin().dialog(lines)


def later(dialog: Conversation) -> Conversation:
    """The same session, left and not yet taken up again."""
    return Conversation(dialog.context, dialog.folded())


@cache
def way(name: str) -> Conversation:
    """The conversation of a way, led once."""
    return WAYS[name]()


def at(name: str, lines: tuple[str, ...] = ()) -> Conversation:
    """A conversation of its own that goes on from a way."""
    start = way(name)
    return Conversation(start.context, start.now).dialog(lines)


def met(name: str, event: Event, meant: Understanding) -> Conversation:
    """A way after an understanding that no words of the bench lead to."""
    dialog = at(name)
    fact = Heard(1, (Hypothesis(meant.heard),))
    turn = Turn(dialog.context, dialog.now, fact, meant, expectation(dialog.context, dialog.now))
    dialog.take(handle(turn, mode_of(dialog.context, dialog.now), event))
    return dialog


def aloud(words: str) -> Heard:
    """Words that were spoken into a microphone, not typed."""
    return Heard(1, (Hypothesis(words),), Source.MICROPHONE, snr_db=25.0)


def step_of(name: str, fact: Fact) -> Conversation:
    """A way after one step, without what the loop would do next."""
    dialog = at(name)
    dialog.state, _ = step(dialog.context, dialog.now, fact)
    return dialog


def waiting(name: str, words: str) -> Conversation:
    """A way whose next record was sent and is not yet on disk."""
    return step_of(name, Heard(1, (Hypothesis(words),)))


def refused(name: str) -> Conversation:
    """A way whose record could not be written."""
    return step_of(name, RecordFailed(1, "The disk is full."))


# What is seen ----------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Case:
    """One meeting of a row, and everything that must be seen of it."""

    way: str
    """Where the session stands."""
    sent: str | Fact | Understanding
    """What is met: words; a fact; or what was meant, for a row that no words of the bench lead to."""
    to: Mode
    """The mode at the end, once what was sent is on disk."""
    says: str = ""
    """Phrases said, in order."""
    records: str | None = None
    """Kinds of decisions recorded, in order; '' for a record without one, None for no record."""
    holds: str = ""
    """Something that stands in what was said or recorded."""
    prompt: str = ""
    """Identity of what is asked afterwards, where the mode is not enough."""
    ends: str = ""
    """How the session finished, '' when it goes on."""
    then: str = ""
    """Words heard afterwards, where the first answer alone does not tell what it left behind."""


@dataclass(frozen=True)
class Seen:
    """What a case showed."""

    to: Mode
    says: str
    records: str | None
    prompt: str
    ends: str
    text: str


def see(case: Case, event: Event) -> Seen:
    """Play a case."""
    if isinstance(case.sent, Understanding):
        dialog = met(case.way, event, case.sent)
    else:
        dialog = at(case.way)
        fact = Heard(1, (Hypothesis(case.sent),)) if isinstance(case.sent, str) else case.sent
        dialog.feed(fact)
    if case.then:
        dialog.hear(case.then)
    kinds = " ".join(type(one).__name__ for one in dialog.decisions)
    shown = f"{dialog.text(dialog.said)} {dialog.decisions}"
    asked = dialog.prompt if dialog.expectation is not None else ""
    records = kinds if dialog.records else None
    return Seen(dialog.mode, " ".join(keys(dialog.said)), records, asked, dialog.finished, shown)


def differs(case: Case, event: Event) -> str:
    """What of a case is not as it must be, '' when all of it is."""
    seen = see(case, event)
    for name in ("to", "says", "records", "ends"):
        if getattr(seen, name) != getattr(case, name):
            return f"{name} is {getattr(seen, name)!r}, and not {getattr(case, name)!r}"
    if case.prompt and seen.prompt != case.prompt:
        return f"prompt is {seen.prompt!r}, and not {case.prompt!r}"
    return "" if case.holds in seen.text else f"{case.holds!r} does not stand in {seen.text!r}"
