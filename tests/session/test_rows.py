"""Every row of the table of transitions does what the theory of operation says.

The expectations are written by hand, from the theory at the head of ``session.dispatch`` and what a technician should
hear; none is taken from what the code does. ``at_every_prompt`` holds what every prompt must do, ``OWN`` what a mode
has of its own. Mark of a bench answer: left sensor, output 0.05 V, then its resistance in ohms.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from typing import cast

import pytest

from assistant.messages import (
    Ask,
    Began,
    Clarification,
    Command,
    Fact,
    HistoryTold,
    InputEnded,
    MicrophoneLost,
    Outcome,
    Recorded,
    RecordFailed,
    Resumed,
    Understanding,
    WentQuiet,
)
from assistant.session.dialog_state import Mode
from assistant.session.dispatch import TABLE
from assistant.session.events import ANSWERS, Event
from assistant.session.transition import Row
from assistant.session.turn import Result, Turn
from tests.session.rows import Case, differs

ROWS = [(mode, event) for mode, rows in TABLE.items() for event in rows]
Cases = dict[Event, tuple[Case, ...]]

# Answers that no words lead to at a prompt which does not take them: met as they would be understood.
MEANT: dict[Event, Understanding] = {
    Event.READING: Understanding(Outcome.READING, "1180", value=Decimal(1180), unit="ohm"),
    Event.CHOOSE: Understanding(Outcome.CHOOSE, "ten five", values=(Decimal(15), Decimal(105)), unit="ohm"),
    Event.INCOMPLETE: Understanding(Outcome.INCOMPLETE, "twelve point", unit="ohm"),
    Event.RANGE: Understanding(Outcome.RANGE, "a range", unit="ohm"),
    Event.UNSTEADY: Understanding(Outcome.UNSTEADY, "jumping", unit="ohm"),
    Event.OVER_RANGE: Understanding(Outcome.OVER_RANGE, "over range", unit="ohm"),
    Event.NOTHING: Understanding(Outcome.NOTHING, "nothing", unit="ohm"),
    Event.CHOICE: Understanding(Outcome.CHOICE, "drum", choice="drum"),
    Event.IDENTIFIER: Understanding(Outcome.IDENTIFIER, "zero four", identifier="04"),
    Event.WORDS: Understanding(Outcome.NOTE, "green powder", note="green powder"),
    Event.NOT_UNDERSTOOD: Understanding(Outcome.NOT_UNDERSTOOD, "the cat sat"),
    Event.CORRECTED: Understanding(
        Outcome.READING, "1180", value=Decimal(1180), unit="ohm", command=Command.CORRECTION
    ),
    Event.SLIP: Understanding(
        Outcome.COMMAND,
        "hlep",
        command=Command.HELP,
        confirm=True,
        ask=Clarification(Ask.WHICH_NAME, names=("help",)),
    ),
}
WORDS: dict[Event, str] = {
    Event.SAY_AGAIN: "say again",
    Event.GO_BACK: "go back",
    Event.SKIP: "skip",
    Event.HOLD: "hold on",
    Event.RESUME: "resume",
    Event.WITHDRAW: "scratch that",
    Event.YES: "yes",
    Event.NO: "no",
    Event.STOP: "stop",
    Event.HELP: "help",
    Event.WHY: "why",
    Event.WHATS_LEFT: "what's left",
    Event.WHERE: "where are we",
    Event.NEXT: "next",
    Event.CORRECTION: "correction",
    Event.NOTE: "note",
}
QUIET = WentQuiet(50)
NO_MORE = InputEnded(9)
LOST = MicrophoneLost(9, "The headset went away.")


@dataclass(frozen=True)
class Prompt:
    """A prompt as it must be asked, explained and left: what its commands say."""

    way: str
    """A way that leads to it."""
    mode: Mode
    asks: str
    """Its question, short."""
    full: str
    """Its question with everything that is left out the second time."""
    help: str = ""
    """What help says beside the commands."""
    why: str = "because"
    """Why it is asked."""
    where: str = "now_finding readings_one whats_left"
    """Where the session stands."""
    left: str = "whats_left"
    """What is still suspected."""
    below: Mode | None = None
    """The mode under it, for a question that is gone once another one was laid over the prompt."""
    asks_below: str = ""
    """The question of that mode."""


def at_every_prompt(here: Prompt) -> Cases:
    """What holds at every prompt: reminders, help, the hold, notes, the end; what is no answer changes nothing."""
    name, mode, asks = here.way, here.mode, here.asks

    def stays(sent: str | Fact | Understanding, says: str, records: str | None = None, holds: str = "") -> Case:
        return Case(name, sent, mode, says, records, holds)

    return {
        Event.WENT_QUIET: (stays(QUIET, f"reminder {asks}"),),
        Event.INPUT_ENDED: (Case(name, NO_MORE, Mode.NEW, ends="left"),),
        Event.MICROPHONE_LOST: (stays(LOST, "microphone_lost", holds="The headset went away."),),
        Event.SAY_AGAIN: (stays("say again", here.full),),
        Event.HELP: (stays("help", f"{here.help} commands {here.full}".strip()),),
        Event.WHY: (stays("why", f"{here.why} {asks}", "Remarked", "asked_why"),),
        Event.WHATS_LEFT: (stays("what's left", f"{here.left} {asks}", "Remarked", "asked_whats_left"),),
        Event.WHERE: (stays("where are we", f"{here.where} {asks}", "Remarked", "asked_where"),),
        Event.HOLD: (Case(name, "hold on", Mode.HELD, "held", "Held"),),
        Event.RESUME: (stays("resume", f"not_held {asks}"),),
        Event.NOTE: (
            Case(name, "note", Mode.NOTE, "note"),
            stays("note that it rains", f"noted {asks}", "NoteTaken", "it rains"),
        ),
        Event.STOP: (Case(name, "stop", Mode.STOP, "stop"),),
        Event.SLIP: (
            Case(name, MEANT[Event.SLIP], Mode.CONFIRM, "which_name", holds="help"),
            Case(
                name,
                MEANT[Event.SLIP],
                here.below or mode,
                f"which_name dropped {here.asks_below or asks}",
                "Remarked",
                "'doubt': 'slip'",
                then="no",
            ),
        ),
        Event.YES: (stays("yes", f"not_asked {asks}"),),
        Event.NO: (stays("no", f"not_asked {asks}"),),
        Event.NEXT: (stays("next", f"not_asked {asks}"),),
        **{
            event: (stays(MEANT[event], f"again {asks}"),)
            for event in (*ANSWERS, Event.NOT_UNDERSTOOD, Event.CORRECTED)
        },
    }


def in_doubt(here: Prompt, below: str) -> Cases:
    """What holds where an answer is asked about: taking back a word drops the answer; a new answer replaces it."""
    name = here.way
    dropped = f"dropped {below}"
    return {
        Event.GO_BACK: (Case(name, "go back", Mode.CHECK, dropped),),
        Event.WITHDRAW: (Case(name, "scratch that", Mode.CHECK, dropped),),
        Event.CORRECTION: (Case(name, "correction", Mode.CHECK, f"corrected_next {below}"),),
        Event.CORRECTED: (Case(name, "correction 1200", Mode.CAUTION, GOOD_THEN, GOOD_KINDS, "1200"),),
        Event.SKIP: (Case(name, "skip", Mode.REASON, "reason"),),
        Event.OVER_RANGE: (
            Case(
                "confirm a range" if here.mode is Mode.CONFIRM else name,
                "over range",
                Mode.CHECK,
                "is_it_over_range dropped ask",
                "Remarked",
                "'doubt': 'unsure'",
                then="no",
            ),
        ),
        Event.UNSTEADY: (Case(name, "jumping", Mode.CHECK, MOVED_THEN, "Observed CheckChosen"),),
        Event.RANGE: (
            Case(name, "between 900 and 2000", Mode.CONFIRM, "moving"),
            Case(name, RANGE_ABOVE, Mode.CHECK, "shown_exactly"),
        ),
        Event.NOTHING: (Case(name, "nothing on the display", Mode.CHECK, "blank leads conditions ask"),),
    }


# A good resistance leaves a sensor that was pushed away: the fix behind the drum, whose caution comes first.
GOOD_THEN = "corrected verdict_both caution"
GOOD_KINDS = "Observed PhaseEntered FixChosen"
MOVED_THEN = "unsteady verdict_both remark once_more ask"
REPLACED_THEN = "reading_low proving do"
REPLACED_KINDS = "ObservationWithdrawn PhaseEntered Observed PhaseEntered"
RANGE_ABOVE = replace(MEANT[Event.RANGE], low_end=Decimal(900), ask=Clarification(Ask.SHOWN_EXACTLY))

PROMPTS = {
    Mode.READY: Prompt(
        "ready",
        Mode.READY,
        "ready",
        "in_hand ready",
        why="why",
        where="now_cautions readings_so_far",
        left="whats_left rest",
    ),
    Mode.CAUTION: Prompt(
        "caution",
        Mode.CAUTION,
        "caution",
        "caution",
        why="why_caution",
        where="now_finding readings_so_far whats_left rest",
        left="whats_left rest",
    ),
    Mode.FACT: Prompt(
        "fact", Mode.FACT, "ask", "ask", why="why_fact", where="now_facts readings_so_far", left="whats_left rest"
    ),
    Mode.ACCESS: Prompt(
        "access", Mode.ACCESS, "do", "do", where="now_finding readings_so_far whats_left rest", left="whats_left rest"
    ),
    Mode.CHECK: Prompt("check", Mode.CHECK, "ask", "leads conditions ask"),
    Mode.FIX: Prompt(
        "fix", Mode.FIX, "fix", "because fix", why="because chance", where="now_repairing readings_so_far whats_left"
    ),
    Mode.PROOF: Prompt("proof", Mode.PROOF, "do", "do", why="why_proof", where="now_proving readings_so_far"),
    Mode.PUT_BACK: Prompt(
        "put back",
        Mode.PUT_BACK,
        "put_back",
        "put_back_first put_back_more put_back",
        why="why_put_back",
        where="now_proving readings_so_far",
    ),
    Mode.CONFIRM: Prompt(
        "confirm", Mode.CONFIRM, "is_it_over_range", "is_it_over_range", below=Mode.CHECK, asks_below="ask"
    ),
    Mode.CHOOSE: Prompt("choose", Mode.CHOOSE, "which_two", "which_two", below=Mode.CHECK, asks_below="ask"),
    Mode.SPREAD: Prompt(
        "spread", Mode.SPREAD, "lowest_highest", "lowest_highest", below=Mode.CHECK, asks_below="ask"
    ),
    Mode.REASON: Prompt("reason", Mode.REASON, "reason", "reason", below=Mode.CHECK, asks_below="ask"),
    Mode.NOTE: Prompt("note", Mode.NOTE, "note", "note", below=Mode.CHECK, asks_below="ask"),
    Mode.STOP: Prompt("stop", Mode.STOP, "stop", "stop", below=Mode.CHECK, asks_below="ask"),
}

OWN: dict[Mode, Cases] = {
    Mode.NEW: {
        Event.BEGAN: (Case("new", Began(0), Mode.READY, "greeting summary in_hand ready", ""),),
        Event.RESUMED: (
            Case(
                "left",
                Resumed(9),
                Mode.CHECK,
                "welcome_back at_finding last_was read_back if_changed leads conditions ask",
                "",
            ),
            Case(
                "left on hold",
                Resumed(9),
                Mode.CHECK,
                "welcome_back at_finding last_was read_back if_changed leads conditions ask",
                "Released",
            ),
            Case("over", Resumed(9), Mode.NEW, "already_ended", ends="stopped"),
        ),
        Event.INPUT_ENDED: (Case("new", NO_MORE, Mode.NEW, ends="left"),),
    },
    Mode.READY: {
        Event.YES: (Case("ready", "yes", Mode.CAUTION, "caution", "PhaseEntered", prompt="caution:chocks"),),
        Event.NEXT: (Case("ready", "next", Mode.CAUTION, "caution", "PhaseEntered", prompt="caution:chocks"),),
        Event.NO: (Case("ready", "no", Mode.READY, "take_time ready"),),
        Event.SKIP: (Case("ready", "skip", Mode.READY, "take_time ready"),),
        Event.GO_BACK: (Case("ready", "go back", Mode.READY, "nothing_before ready"),),
        Event.WITHDRAW: (Case("ready", "scratch that", Mode.READY, "nothing_to_take_back ready"),),
        Event.CORRECTION: (Case("ready", "correction", Mode.READY, "nothing_to_take_back ready"),),
        Event.NOT_UNDERSTOOD: (Case("ready", "the cat sat", Mode.READY, "again"),),
    },
    Mode.CAUTION: {
        Event.YES: (
            Case("caution", "yes", Mode.CHECK, "acknowledged leads conditions ask", "CautionAcknowledged"),
            Case("first caution", "yes", Mode.FACT, "acknowledged facts ask", "CautionAcknowledged PhaseEntered"),
        ),
        Event.NEXT: (
            Case("caution", "next", Mode.CHECK, "acknowledged leads conditions ask", "CautionAcknowledged"),
        ),
        Event.NO: (Case("caution", "no", Mode.CAUTION, "caution_first caution"),),
        Event.SKIP: (Case("caution", "skip", Mode.CAUTION, "caution_first caution"),),
        Event.GO_BACK: (
            Case("caution", "go back", Mode.FACT, "back ask", prompt="fact:coil temperature"),
            Case("first caution", "go back", Mode.CAUTION, "nothing_before caution"),
        ),
        Event.WITHDRAW: (
            Case(
                "caution",
                "scratch that",
                Mode.FACT,
                "withdrawn ask",
                "FactWithdrawn PhaseEntered",
                prompt="fact:coil temperature",
            ),
        ),
        Event.CORRECTION: (
            Case("caution", "correction", Mode.FACT, "correction_of ask", prompt="fact:coil temperature"),
        ),
        Event.NOT_UNDERSTOOD: (
            Case("caution", "the cat sat", Mode.CAUTION, "again"),
            Case(
                "caution",
                "correction 75",
                Mode.CAUTION,
                "fact_value caution",
                "FactWithdrawn PhaseEntered FactAnswered PhaseEntered CheckChosen",
                "75",
            ),
        ),
        Event.PLACE: (
            Case("survey caution", "right rear next", Mode.CAUTION, "caution", "CheckChosen", "right rear"),
            Case("survey caution", "left front", Mode.CAUTION, "already_there caution"),
        ),
    },
    Mode.FACT: {
        Event.READING: (
            Case("fact", "80", Mode.ACCESS, "fact_value finding do", "FactAnswered PhaseEntered CheckChosen", "80"),
        ),
        Event.CHOICE: (
            Case("first fact", "drums", Mode.FACT, "choice_logged ask", "FactAnswered", "drum", "fact:shields"),
            Case(
                "fact",
                "not sure",
                Mode.ACCESS,
                "choice_logged finding do",
                "FactAnswered PhaseEntered CheckChosen",
                "not sure",
            ),
        ),
        Event.IDENTIFIER: (
            Case("unit number", "zero four one nine", Mode.LOOK_UP, "identifier", "FactAnswered", "0419"),
        ),
        Event.WORDS: (
            Case("note fact", "green powder", Mode.FACT, "noted ask", "FactAnswered", "green powder", "fact:brakes"),
            Case(
                "note fact after a reading",
                "correction 75",
                Mode.FACT,
                "noted ask",
                "FactAnswered",
                "correction 75",
                "fact:brakes",
            ),
        ),
        Event.CHOOSE: (Case("fact", "ten five", Mode.CHOOSE, "which_two"),),
        Event.INCOMPLETE: (
            Case("fact", "seventy two point", Mode.FACT, "incomplete"),
            Case("fact", "seventy two point", Mode.FACT, "incomplete incomplete", then="seventy two point"),
        ),
        Event.NEXT: (
            Case("fact", "next", Mode.FACT, "ask"),
            Case("back at a fact", "next", Mode.ACCESS, "left_as_it_was do"),
        ),
        Event.YES: (Case("fact", "yes", Mode.FACT, "not_asked ask"),),
        Event.RESUME: (
            Case("fact", "resume", Mode.FACT, "not_held ask"),
            Case("fact with a list", "go on", Mode.FACT, "and_then"),
        ),
        Event.SAY_AGAIN: (
            Case("fact", "say again", Mode.FACT, "ask"),
            Case("back at a fact", "say again", Mode.FACT, "ask"),
        ),
        Event.SKIP: (
            Case("fact", "skip", Mode.REASON, "reason"),
            Case("needed fact", "skip", Mode.FACT, "needed ask"),
            Case("back at a fact", "skip", Mode.ACCESS, "left_as_it_was do"),
        ),
        Event.GO_BACK: (Case("fact", "go back", Mode.FACT, "back ask", prompt="fact:shields"),),
        Event.WITHDRAW: (
            Case("fact", "scratch that", Mode.FACT, "withdrawn ask", "FactWithdrawn", prompt="fact:shields"),
        ),
        Event.CORRECTION: (Case("fact", "correction", Mode.FACT, "correction_of ask", prompt="fact:shields"),),
        Event.CORRECTED: (
            Case(
                "second temperature",
                "correction 75",
                Mode.FACT,
                "fact_value ask",
                "FactWithdrawn FactAnswered",
                "75",
                "fact:air at the axle",
            ),
            Case(
                "back at a fact",
                "correction 75",
                Mode.ACCESS,
                "fact_value do",
                "FactWithdrawn PhaseEntered FactAnswered PhaseEntered CheckChosen",
                "75",
            ),
        ),
        Event.NOT_UNDERSTOOD: (
            Case("fact", "the cat sat", Mode.FACT, "just_reading"),
            Case(
                "choice after readings",
                "correction 75",
                Mode.FACT,
                "fact_value ask",
                "FactWithdrawn FactAnswered",
                "75",
                "fact:brakes",
            ),
        ),
    },
    Mode.ACCESS: {
        Event.YES: (Case("access", "yes", Mode.CAUTION, "step_logged caution", "AccessOpened"),),
        Event.NEXT: (Case("access", "done", Mode.CAUTION, "step_logged caution", "AccessOpened"),),
        Event.NO: (Case("access", "no", Mode.REASON, "reason"),),
        Event.SKIP: (Case("access", "skip", Mode.REASON, "reason"),),
        Event.GO_BACK: (Case("access", "go back", Mode.FACT, "back ask", prompt="fact:coil temperature"),),
        Event.WITHDRAW: (Case("access", "scratch that", Mode.FACT, "withdrawn ask", "FactWithdrawn PhaseEntered"),),
        Event.CORRECTION: (Case("access", "correction", Mode.FACT, "correction_of ask"),),
        Event.NOT_UNDERSTOOD: (
            Case("access", "the cat sat", Mode.ACCESS, "again"),
            Case(
                "access",
                "correction 75",
                Mode.ACCESS,
                "fact_value do",
                "FactWithdrawn PhaseEntered FactAnswered PhaseEntered CheckChosen",
                "75",
            ),
        ),
        Event.PLACE: (
            Case("survey access", "right rear next", Mode.CAUTION, "same_cautions_at", "CheckChosen", "right rear"),
            Case("survey access", "left front", Mode.ACCESS, "already_there do"),
        ),
    },
    Mode.CHECK: {
        Event.READING: (
            Case("check", "eleven eighty", Mode.CAUTION, GOOD_THEN, GOOD_KINDS, "1180"),
            Case("check", "about 710", Mode.CHECK, "exact ask"),
        ),
        Event.CHOICE: (
            Case(
                "survey choice",
                "cracked",
                Mode.CAUTION,
                "choice_logged same_cautions_at",
                "Observed CheckChosen",
                "cracked",
            ),
        ),
        Event.IDENTIFIER: (Case("check", MEANT[Event.IDENTIFIER], Mode.CHECK, "again ask"),),
        Event.WORDS: (Case("check", MEANT[Event.WORDS], Mode.CHECK, "again ask"),),
        Event.CHOOSE: (Case("check", "ten five", Mode.CHOOSE, "which_two"),),
        Event.INCOMPLETE: (
            Case("check", "twelve point", Mode.CHECK, "incomplete"),
            Case("check", "twelve point", Mode.CHECK, "incomplete incomplete", then="twelve point"),
        ),
        Event.OVER_RANGE: (
            Case(
                "check",
                "over range",
                Mode.CHECK,
                "is_it_over_range dropped ask",
                "Remarked",
                "'doubt': 'unsure'",
                then="no",
            ),
        ),
        Event.UNSTEADY: (Case("check", "jumping", Mode.CHECK, MOVED_THEN, "Observed CheckChosen"),),
        Event.RANGE: (
            Case("check", "between 900 and 2000", Mode.CONFIRM, "moving"),
            Case("check", MEANT[Event.RANGE], Mode.SPREAD, "lowest_highest"),
        ),
        Event.NOTHING: (Case("check", "nothing on the display", Mode.CHECK, "blank leads conditions ask"),),
        Event.NEXT: (
            Case("check", "next", Mode.CHECK, "ask"),
            Case("back at a check", "next", Mode.CHECK, "left_as_it_was ask", prompt="check:sensor ohms:left"),
        ),
        Event.SKIP: (
            Case("check", "skip", Mode.REASON, "reason"),
            Case("back at a check", "skip", Mode.CHECK, "left_as_it_was ask", prompt="check:sensor ohms:left"),
        ),
        Event.GO_BACK: (
            Case("check", "go back", Mode.CHECK, "back leads conditions ask", prompt="check:output:left"),
        ),
        Event.WITHDRAW: (
            Case(
                "check",
                "scratch that",
                Mode.CHECK,
                "withdrawn leads conditions ask",
                "ObservationWithdrawn CheckChosen",
                prompt="check:output:left",
            ),
        ),
        Event.CORRECTION: (Case("check", "correction", Mode.CHECK, "correction_of ask", prompt="check:output:left"),),
        Event.CORRECTED: (
            Case(
                "check",
                "correction 0.5",
                Mode.CHECK,
                "reading_low leads conditions ask",
                "ObservationWithdrawn Observed CheckChosen",
                "0.5",
            ),
            Case(
                "back at a check",
                "correction 0.5",
                Mode.CHECK,
                "reading_low leads conditions ask",
                "ObservationWithdrawn Observed CheckChosen",
                "0.5",
            ),
        ),
        Event.NOT_UNDERSTOOD: (
            Case("check", "the cat sat", Mode.CHECK, "just_reading"),
            Case(
                "survey choice",
                "correction 1.3 inches",
                Mode.CHECK,
                "reading_high ask",
                "ObservationWithdrawn Observed CheckChosen",
                "1.3",
            ),
        ),
        Event.PLACE: (
            Case("survey check", "right rear next", Mode.CAUTION, "same_cautions_at", "CheckChosen", "right rear"),
            Case("survey check", "left front", Mode.CHECK, "already_there ask"),
        ),
    },
    Mode.FIX: {
        Event.YES: (
            Case(
                "fix",
                "yes",
                Mode.CHECK,
                "fix_logged measure_again conditions ask",
                "FixDone CheckChosen",
                "sensor replaced",
            ),
        ),
        Event.NEXT: (
            Case(
                "fix",
                "done",
                Mode.CHECK,
                "fix_logged measure_again conditions ask",
                "FixDone CheckChosen",
                "sensor replaced",
            ),
        ),
        Event.NO: (Case("fix", "no", Mode.REASON, "reason"),),
        Event.SKIP: (Case("fix", "skip", Mode.REASON, "reason"),),
        Event.GO_BACK: (
            Case("fix", "go back", Mode.CHECK, "back leads conditions ask", prompt="check:sensor ohms:left"),
        ),
        Event.WITHDRAW: (
            Case(
                "fix",
                "scratch that",
                Mode.CHECK,
                "withdrawn leads conditions ask",
                "ObservationWithdrawn CheckChosen",
                prompt="check:sensor ohms:left",
            ),
        ),
        Event.CORRECTION: (
            Case("fix", "correction", Mode.CHECK, "correction_of ask", prompt="check:sensor ohms:left"),
        ),
        Event.NOT_UNDERSTOOD: (
            Case("fix", "the cat sat", Mode.FIX, "again"),
            Case(
                "fix",
                "correction 1180",
                Mode.FIX,
                "corrected verdict_both because fix",
                "ObservationWithdrawn Observed FixChosen",
                "1180",
            ),
        ),
    },
    Mode.PROOF: {
        Event.WENT_QUIET: (
            Case("proof", QUIET, Mode.PROOF, "reminder do"),
            Case("roll", QUIET, Mode.PROOF),
        ),
        Event.YES: (
            Case("proof", "yes", Mode.PROOF, "step_logged quiet", "ProofStepDone", prompt="proof:roll"),
            Case("light", "yes", Mode.PROOF, "not_asked ask"),
        ),
        Event.NEXT: (
            Case("proof", "done", Mode.PROOF, "step_logged quiet", "ProofStepDone", prompt="proof:roll"),
            Case("light", "next", Mode.PROOF, "not_asked ask"),
        ),
        **{
            event: (Case("light", MEANT[event], Mode.PROOF, "again ask missed ask", then="the cat sat"),)
            for event in ANSWERS
        },
        Event.CHOICE: (
            Case(
                "light",
                "out",
                Mode.PUT_BACK,
                "choice_logged proven close",
                "ProofStepDone ProofFinished PhaseEntered",
            ),
            Case("light", "on", Mode.CONFIRM, "fails"),
        ),
        Event.CHOOSE: (Case("light", MEANT[Event.CHOOSE], Mode.CHOOSE, "which_two"),),
        Event.SKIP: (Case("proof", "skip", Mode.REASON, "reason"),),
        Event.GO_BACK: (
            Case("proof", "go back", Mode.CHECK, "back leads conditions ask", prompt="check:output:left"),
            Case("roll", "go back", Mode.PROOF, "back do", prompt="proof:clear"),
        ),
        Event.WITHDRAW: (
            Case(
                "proof", "scratch that", Mode.ACCESS, "withdrawn do", "ObservationWithdrawn PhaseEntered CheckChosen"
            ),
            Case("roll", "scratch that", Mode.PROOF, "withdrawn do", "ProofStepWithdrawn", prompt="proof:clear"),
        ),
        Event.CORRECTION: (Case("proof", "correction", Mode.CHECK, "correction_of ask", prompt="check:output:left"),),
        Event.CORRECTED: (
            Case(
                "proof",
                replace(MEANT[Event.CORRECTED], heard="correction 0.5"),
                Mode.PROOF,
                REPLACED_THEN,
                REPLACED_KINDS,
                "0.5",
            ),
            Case(
                "light",
                Understanding(Outcome.CHOICE, "correction out", choice="out", command=Command.CORRECTION),
                Mode.PUT_BACK,
                "choice_logged proven close",
                "ProofStepDone ProofFinished PhaseEntered",
            ),
        ),
        Event.NOT_UNDERSTOOD: (
            Case("proof", "the cat sat", Mode.PROOF, "again"),
            Case("proof", "correction 0.5", Mode.PROOF, REPLACED_THEN, REPLACED_KINDS, "0.5"),
        ),
    },
    Mode.PUT_BACK: {
        Event.YES: (
            Case("put back", "yes", Mode.PROOF, "put_back_logged do", "PutBackDone"),
            Case("put back, one by one", "yes", Mode.PUT_BACK, "put_back_item"),
            Case(
                "put back at the end",
                "yes",
                Mode.ENDED,
                "ended complaint cause correction not_shown goodbye",
                "Ended",
                ends="cured and proven",
            ),
        ),
        Event.NEXT: (Case("put back", "done", Mode.PROOF, "put_back_logged do", "PutBackDone"),),
        Event.NO: (
            Case("put back", "no", Mode.PUT_BACK, "one_by_one put_back_item"),
            Case("put back, one by one", "no", Mode.PUT_BACK, "take_time put_back_item"),
        ),
        Event.SKIP: (
            Case("put back", "skip", Mode.PUT_BACK, "put_back_needed put_back"),
            Case("put back at the end", "skip", Mode.REASON, "reason"),
        ),
        Event.GO_BACK: (
            Case("put back", "go back", Mode.CHECK, "back leads conditions ask", prompt="check:output:left"),
        ),
        Event.WITHDRAW: (
            Case(
                "put back",
                "scratch that",
                Mode.CHECK,
                "withdrawn leads ask",
                "ObservationWithdrawn PhaseEntered CheckChosen",
                prompt="check:output:left",
            ),
        ),
        Event.CORRECTION: (
            Case("put back", "correction", Mode.CHECK, "correction_of ask", prompt="check:output:left"),
        ),
        Event.NOT_UNDERSTOOD: (
            Case("put back", "the cat sat", Mode.PUT_BACK, "again"),
            Case(
                "put back",
                "correction 0.5",
                Mode.PUT_BACK,
                "reading_low proving put_back_first put_back_more put_back",
                REPLACED_KINDS,
                "0.5",
            ),
        ),
    },
    Mode.CONFIRM: {
        **in_doubt(PROMPTS[Mode.CONFIRM], "ask"),
        Event.YES: (
            Case(
                "confirm",
                "yes",
                Mode.CAUTION,
                "over_range verdict_both caution",
                "Remarked Observed PhaseEntered FixChosen",
            ),
            Case(
                "confirm a slip",
                "yes",
                Mode.CHECK,
                "withdrawn leads conditions ask",
                "ObservationWithdrawn CheckChosen",
                prompt="check:output:left",
            ),
            Case(
                "confirm a failed proof",
                "yes",
                Mode.CHECK,
                "choice_logged not_cured leads conditions ask",
                "Remarked ProofStepDone ProofFinished PhaseEntered CheckChosen",
            ),
        ),
        Event.NO: (Case("confirm", "no", Mode.CHECK, "dropped ask", "Remarked"),),
        Event.NEXT: (Case("confirm", "next", Mode.CONFIRM, "yes_or_no is_it_over_range"),),
        Event.READING: (Case("confirm", "1180", Mode.CAUTION, GOOD_THEN, GOOD_KINDS, "1180"),),
        Event.CHOICE: (
            Case(
                "confirm a failed proof",
                "out",
                Mode.PUT_BACK,
                "choice_logged proven close",
                "ProofStepDone ProofFinished PhaseEntered",
            ),
        ),
        Event.IDENTIFIER: (
            Case("confirm at the number", "0419", Mode.LOOK_UP, "identifier", "FactAnswered", "0419"),
        ),
        Event.WORDS: (
            Case("confirm at the number", MEANT[Event.WORDS], Mode.LOOK_UP, "noted", "FactAnswered", "green powder"),
        ),
        Event.CHOOSE: (Case("confirm", "ten five", Mode.CHOOSE, "which_two"),),
        Event.INCOMPLETE: (Case("confirm", "twelve point", Mode.CHECK, "incomplete"),),
        Event.SAY_AGAIN: (Case("confirm a range", "say again", Mode.CONFIRM, "moving"),),
        Event.NOT_UNDERSTOOD: (
            Case(
                "confirm a range",
                "the cat sat",
                Mode.CHECK,
                "just_reading dropped ask",
                "Remarked",
                "'doubt': 'range'",
                then="no",
            ),
        ),
    },
    Mode.CHOOSE: {
        **in_doubt(PROMPTS[Mode.CHOOSE], "ask"),
        Event.READING: (Case("choose", "1180", Mode.CAUTION, GOOD_THEN, GOOD_KINDS, "1180"),),
        Event.CHOICE: (
            Case(
                "choose at the light",
                "out",
                Mode.PUT_BACK,
                "choice_logged proven close",
                "ProofStepDone ProofFinished PhaseEntered",
            ),
        ),
        Event.IDENTIFIER: (Case("choose at the number", "0419", Mode.LOOK_UP, "identifier", "FactAnswered", "0419"),),
        Event.WORDS: (
            Case("choose at the number", MEANT[Event.WORDS], Mode.LOOK_UP, "noted", "FactAnswered", "green powder"),
        ),
        Event.CHOOSE: (Case("choose", "ten six", Mode.CHOOSE, "which_two", holds="106"),),
        Event.INCOMPLETE: (Case("choose", "twelve point", Mode.CHECK, "incomplete"),),
        Event.NO: (Case("choose", "no", Mode.CHECK, "dropped ask"),),
        Event.NEXT: (Case("choose", "next", Mode.CHOOSE, "which_two"),),
        Event.NOT_UNDERSTOOD: (
            Case("choose", "the cat sat", Mode.CHOOSE, "just_reading missed_number which_two", then="the cat sat"),
        ),
    },
    Mode.SPREAD: {
        **in_doubt(PROMPTS[Mode.SPREAD], "ask"),
        Event.READING: (
            Case("spread", "900", Mode.SPREAD, "highest"),
            Case(
                "spread, lowest known",
                "2000",
                Mode.CHECK,
                "unsteady_between verdict_both remark once_more ask",
                "Observed CheckChosen",
                "2000",
            ),
        ),
        Event.SAY_AGAIN: (
            Case("spread", "say again", Mode.SPREAD, "lowest_highest"),
            Case("spread, lowest known", "say again", Mode.SPREAD, "highest"),
        ),
        Event.NO: (Case("spread", "no", Mode.CHECK, "dropped ask"),),
        Event.NOT_UNDERSTOOD: (Case("spread", "the cat sat", Mode.SPREAD, "just_reading"),),
    },
    Mode.REASON: {
        Event.NOTE: (Case("reason", "note", Mode.NOTE, "note"),),
        Event.WORDS: (
            Case(
                "reason",
                "pins are corroded",
                Mode.CAUTION,
                "skipped caution",
                "Skipped PhaseEntered FixChosen",
                "pins are corroded",
            ),
            Case(
                "reason at a fix",
                "none in stock",
                Mode.CHECK,
                "skipped leads conditions ask",
                "FixDeclined PhaseEntered CheckChosen",
                "none in stock",
            ),
        ),
        Event.SKIP: (
            Case("reason", "skip", Mode.CAUTION, "skipped caution", "Skipped PhaseEntered FixChosen", "reason=''"),
        ),
        Event.NEXT: (
            Case("reason", "next", Mode.CAUTION, "skipped caution", "Skipped PhaseEntered FixChosen", "reason=''"),
        ),
        **{
            event: (Case("reason", WORDS[event], Mode.CHECK, "going_on ask", prompt="check:sensor ohms:left"),)
            for event in (Event.NO, Event.GO_BACK, Event.WITHDRAW, Event.CORRECTION)
        },
    },
    Mode.NOTE: {
        Event.WORDS: (
            Case("note", "green powder", Mode.CHECK, "noted ask", "NoteTaken", "green powder"),
            Case(
                "note over a question",
                "green powder",
                Mode.CONFIRM,
                "noted is_it_over_range",
                "NoteTaken",
                "green powder",
            ),
        ),
        Event.NOTE: (Case("note", "note", Mode.NOTE, "note"),),
        Event.SKIP: (Case("note", "skip", Mode.REASON, "reason"),),
        **{
            event: (
                Case("note", WORDS[event], Mode.CHECK, "going_on ask"),
                Case("note over a question", WORDS[event], Mode.CONFIRM, "going_on is_it_over_range"),
            )
            for event in (Event.NO, Event.NEXT, Event.GO_BACK, Event.WITHDRAW, Event.CORRECTION)
        },
    },
    Mode.STOP: {
        Event.YES: (
            Case(
                "stop",
                "yes",
                Mode.ENDED,
                "ended complaint put_back_reminder goodbye",
                "Ended",
                "Why.STOPPED",
                ends="stopped",
            ),
        ),
        **{
            event: (
                Case("stop", WORDS[event], Mode.CHECK, "going_on ask"),
                Case("stop over a question", WORDS[event], Mode.CONFIRM, "going_on is_it_over_range"),
            )
            for event in (Event.NO, Event.NEXT, Event.RESUME, Event.GO_BACK, Event.WITHDRAW, Event.CORRECTION)
        },
        **{
            event: (Case("stop", WORDS[event], Mode.STOP, "yes_or_no stop"),)
            for event in (Event.STOP, Event.SKIP, Event.NOTE)
        },
        **{
            event: (Case("stop", MEANT[event], Mode.STOP, "yes_or_no stop"),)
            for event in (Event.CORRECTED, Event.SLIP)
        },
        Event.NOT_UNDERSTOOD: (Case("stop", "the cat sat", Mode.STOP, "again"),),
    },
    Mode.HELD: {
        **{event: (Case("held", words, Mode.HELD),) for event, words in WORDS.items()},
        **{event: (Case("held", meant, Mode.HELD),) for event, meant in MEANT.items()},
        Event.WENT_QUIET: (Case("held", QUIET, Mode.HELD),),
        Event.INPUT_ENDED: (Case("held", NO_MORE, Mode.NEW, ends="left"),),
        Event.MICROPHONE_LOST: (Case("held", LOST, Mode.HELD, "microphone_lost"),),
        Event.RESUME: (
            Case("held", "resume", Mode.CHECK, "released leads conditions ask", "Released"),
            Case("held over a question", "resume", Mode.CONFIRM, "released is_it_over_range", "Released"),
        ),
        Event.WHERE: (
            Case("held", "where are we", Mode.HELD, "now_finding readings_one whats_left held", "Remarked"),
        ),
        Event.WHATS_LEFT: (Case("held", "what's left", Mode.HELD, "whats_left held", "Remarked"),),
    },
    Mode.LOOK_UP: {
        Event.HISTORY_TOLD: (
            Case(
                "look up",
                HistoryTold(4, "0419", "It was here before."),
                Mode.FACT,
                "history ask",
                "HistoryTaken",
                "It was here before.",
            ),
            Case("look up", HistoryTold(4, "0419"), Mode.FACT, "ask", "HistoryTaken"),
        ),
        Event.INPUT_ENDED: (Case("look up", NO_MORE, Mode.NEW, ends="left"),),
    },
    Mode.RECORDING: {
        Event.RECORDED: (
            Case("recording", Recorded(1, 9), Mode.CAUTION, GOOD_THEN),
            Case(
                "recording the end",
                Recorded(1, 9),
                Mode.ENDED,
                "ended complaint put_back_reminder goodbye",
                ends="stopped",
            ),
        ),
        Event.RECORD_FAILED: (
            Case(
                "recording",
                RecordFailed(1, "The disk is full."),
                Mode.UNWRITTEN,
                "record_failed",
                holds="The disk is full.",
            ),
        ),
    },
    Mode.UNWRITTEN: {
        Event.HEARD: (Case("unwritten", "hello", Mode.CAUTION, GOOD_THEN, GOOD_KINDS, "1180"),),
        Event.WENT_QUIET: (Case("unwritten", QUIET, Mode.CAUTION, GOOD_THEN, GOOD_KINDS, "1180"),),
        Event.STOP: (
            Case("unwritten", "stop", Mode.UNWRITTEN, "leave_unwritten"),
            Case("unwritten, leaving", "stop", Mode.NEW, ends="left"),
        ),
        Event.INPUT_ENDED: (Case("unwritten", NO_MORE, Mode.NEW, ends="left"),),
        Event.MICROPHONE_LOST: (
            Case("unwritten", LOST, Mode.UNWRITTEN, "microphone_lost", holds="The headset went away."),
        ),
    },
    Mode.ENDED: {
        Event.INPUT_ENDED: (Case("ended", NO_MORE, Mode.ENDED, ends="stopped"),),
    },
}

EXPECTED: dict[Mode, Cases] = {
    mode: {**(at_every_prompt(PROMPTS[mode]) if mode in PROMPTS else {}), **OWN[mode]} for mode in Mode
}


def test_every_row_has_a_case_and_every_case_a_row() -> None:
    assert {(mode, event) for mode, cases in EXPECTED.items() for event in cases} == set(ROWS)


@pytest.mark.parametrize(("mode", "event"), ROWS, ids=[f"{mode}-{event}" for mode, event in ROWS])
def test_a_row_does_what_the_theory_says(mode: Mode, event: Event, monkeypatch: pytest.MonkeyPatch) -> None:
    rows = cast("dict[Event, Row]", TABLE[mode])
    row, met = rows[event], []

    def handler(turn: Turn) -> Result:
        met.append(turn)
        return row.handler(turn)

    monkeypatch.setitem(rows, event, replace(row, handler=handler))
    for case in EXPECTED[mode][event]:
        met.clear()
        wrong = differs(case, event)
        assert not wrong, f"{case.way}: {case.sent}: {wrong}"
        if not (mode is Mode.CONFIRM and case.way == "confirm a slip"):
            assert met, f"{case.way}: {case.sent}: another row answered"
