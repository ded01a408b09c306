"""What every prompt must do, and what is met there: by hand, from the theory at the head of ``session.dispatch``.

Most ways stop at the left sensor of the bench: its output was read, 0.05 V, and its resistance is asked.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal

from assistant.messages import (
    About,
    Ask,
    Clarification,
    Command,
    Fact,
    InputEnded,
    MicrophoneLost,
    Outcome,
    Photo,
    PhotoGone,
    PhotoTaken,
    Report,
    Understanding,
    WentQuiet,
    check_prompt,
)
from assistant.session.dialog_state import Mode
from assistant.session.events import ANSWERS, Event
from tests.session.transitions.rows import Case, way

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
    Event.QUESTION: Understanding(Outcome.QUESTION, "what's the torque", about=About.SERVICE),
    Event.REPORT: Understanding(Outcome.REPORT, "the light went out", report=Report.LIGHT_OUT),
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
    Event.SAY_LESS: "keep it short",
    Event.SAY_MORE: "tell me more",
    Event.SAY_USUAL: "the usual",
    Event.NEXT: "next",
    Event.CORRECTION: "correction",
    Event.NOTE: "note",
}
QUIET = WentQuiet(50)
NO_MORE = InputEnded(9)
LOST = MicrophoneLost(9, "The headset went away.")
PHOTO = PhotoTaken(9, Photo("0123456789abcdef", "9f", 20_000, 1600, 1200, check_prompt("ohms", "left")))
GONE = PhotoGone(9, PHOTO.photo.name)


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


def owed(here: Prompt) -> str:
    """What is said to be put back when a session is left: something where anything is open."""
    now = way(here.way).now
    return " put_back_reminder" if now.opened or (now.fixes and here.mode is not Mode.PROOF) else ""


def at_every_prompt(here: Prompt) -> Cases:
    """What holds at every prompt: reminders, help, the hold, notes, the end; what is no answer changes nothing."""
    name, mode, asks = here.way, here.mode, here.asks

    def stays(sent: str | Fact | Understanding, says: str, records: str | None = None, holds: str = "") -> Case:
        return Case(name, sent, mode, says, records, holds)

    return {
        Event.WENT_QUIET: (stays(QUIET, f"reminder {asks}"),),
        Event.INPUT_ENDED: (Case(name, NO_MORE, Mode.NEW, ends="left"),),
        Event.MICROPHONE_LOST: (stays(LOST, "microphone_lost", holds="The headset went away."),),
        Event.PHOTO_TAKEN: (stays(PHOTO, "photo_kept", "PhotoKept", PHOTO.photo.name),),
        Event.PHOTO_GONE: (stays(GONE, ""),),
        Event.SAY_AGAIN: (stays("say again", here.full),),
        Event.HELP: (stays("help", f"{here.help} commands {here.full}".strip()),),
        Event.WHY: (stays("why", f"{here.why} {asks}", "Remarked", "asked_why"),),
        Event.WHATS_LEFT: (stays("what's left", f"{here.left} {asks}", "Remarked", "asked_whats_left"),),
        Event.WHERE: (stays("where are we", f"{here.where} {asks}", "Remarked", "asked_where"),),
        Event.SAY_LESS: (stays("keep it short", f"talk_set {asks}", "TalkSet", "short"),),
        Event.SAY_MORE: (stays("tell me more", f"talk_set {here.full}", "TalkSet", "first time"),),
        Event.SAY_USUAL: (stays("the usual", f"talk_set {asks}", "TalkSet", "usual"),),
        Event.HOLD: (Case(name, "hold on", Mode.HELD, "held", "Held"),),
        Event.RESUME: (stays("resume", f"not_held {asks}"),),
        Event.NOTE: (
            Case(name, "note", Mode.NOTE, "note"),
            stays("note that it rains", f"noted {asks}", "NoteTaken", "it rains"),
        ),
        Event.STOP: (Case(name, "stop", Mode.STOP, "stop"),),
        Event.QUESTION: (stays(MEANT[Event.QUESTION], "service", "Remarked", "what's the torque"),),
        Event.REPORT: (
            stays(MEANT[Event.REPORT], "light_out_noted", "NoteTaken", "the light went out"),
            stays(replace(MEANT[Event.REPORT], report=Report.WORKING), "take_time"),
            Case(name, replace(MEANT[Event.REPORT], report=Report.HANDOVER), Mode.STOP, "hand_over"),
            Case(
                name,
                replace(MEANT[Event.REPORT], report=Report.HANDOVER),
                Mode.NEW,
                f"hand_over handed_over{owed(here)}",
                ends="left",
                then="yes",
            ),
        ),
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
            event: (stays(MEANT[event], f"again {asks}", "Remarked", MEANT[event].heard),)
            for event in (*ANSWERS, Event.NOT_UNDERSTOOD, Event.CORRECTED)
        },
    }


MENDED_AT = (
    Mode.CAUTION, Mode.FACT, Mode.ACCESS, Mode.CHECK, Mode.FIX, Mode.OFFER, Mode.PROOF, Mode.PUT_BACK, Mode.CONFIRM,
)  # fmt: skip


def told_wrong(here: Prompt) -> Cases:
    """What holds where an earlier answer may be told to be wrong: it is asked about, or refused."""
    name = here.way
    one = "correction, brakes are disc" if here.mode is Mode.FACT else "correction, coil temperature is 80"
    says = "mend_choice" if here.mode is Mode.FACT else "mend_value"
    cases = [Case(name, one, Mode.CONFIRM, says, holds="Change it to")]
    if here.mode is not Mode.FACT:
        no = "correction, right output is 0.3"
        cases.append(Case(name, no, here.mode, f"mend_none {here.asks}"))
    return {Event.MENDED: tuple(cases)}


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
                "condemns_over_range dropped ask",
                "Remarked",
                "'doubt': 'condemns'",
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
GOOD_THEN = "corrected verdict_limits found caution"
GOOD_KINDS = "Observed PhaseEntered FixChosen"
MOVED_THEN = "unsteady hold_still once_more"
REPLACED_THEN = "reading proving do"
REPLACED_KINDS = "ObservationWithdrawn PhaseEntered Observed PhaseEntered"
RANGE_ABOVE = replace(MEANT[Event.RANGE], low_end=Decimal(900), ask=Clarification(Ask.SHOWN_EXACTLY))

PROMPTS = {
    Mode.READY: Prompt(
        "ready",
        Mode.READY,
        "ready",
        "in_hand ready",
        why="why",
        where="now_cautions readings_none",
        left="whats_left rest",
    ),
    Mode.CAUTION: Prompt(
        "caution",
        Mode.CAUTION,
        "caution",
        "caution",
        why="why_caution",
        where="now_finding readings_none whats_left rest",
        left="whats_left rest",
    ),
    Mode.FACT: Prompt(
        "fact", Mode.FACT, "ask", "ask", why="why_fact", where="now_facts readings_none", left="whats_left rest"
    ),
    Mode.ACCESS: Prompt(
        "access", Mode.ACCESS, "do", "do", where="now_finding readings_none whats_left rest", left="whats_left rest"
    ),
    Mode.CHECK: Prompt("check", Mode.CHECK, "ask", "leads conditions ask"),
    Mode.FIX: Prompt(
        "fix", Mode.FIX, "fix", "because fix", why="because chance", where="now_repairing readings_so_far whats_left"
    ),
    Mode.OFFER: Prompt("hand over", Mode.OFFER, "offer_hand_over", "offer_hand_over"),
    Mode.PROOF: Prompt(
        "proof", Mode.PROOF, "do", "do", why="why_proof", where="now_proving readings_so_far", left="to_verify"
    ),
    Mode.PUT_BACK: Prompt(
        "put back",
        Mode.PUT_BACK,
        "put_back",
        "put_back_first put_back_more put_back",
        why="why_put_back",
        where="now_proving readings_so_far",
        left="to_verify",
    ),
    Mode.CONFIRM: Prompt(
        "confirm", Mode.CONFIRM, "condemns_over_range", "condemns_over_range", below=Mode.CHECK, asks_below="ask"
    ),
    Mode.CHOOSE: Prompt("choose", Mode.CHOOSE, "which_two", "which_two", below=Mode.CHECK, asks_below="ask"),
    Mode.SPREAD: Prompt(
        "spread", Mode.SPREAD, "lowest_highest", "lowest_highest", below=Mode.CHECK, asks_below="ask"
    ),
    Mode.REASON: Prompt("reason", Mode.REASON, "reason", "reason", below=Mode.CHECK, asks_below="ask"),
    Mode.NOTE: Prompt("note", Mode.NOTE, "note", "note", below=Mode.CHECK, asks_below="ask"),
    Mode.STOP: Prompt("stop", Mode.STOP, "stop", "stop", below=Mode.CHECK, asks_below="ask"),
}
