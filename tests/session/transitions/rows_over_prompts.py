"""What questions over a prompt, the hold and the record must do: by hand, from the theory of operation."""

from __future__ import annotations

from assistant.messages import (
    HistoryTold,
    Recorded,
    RecordFailed,
)
from assistant.session.dialog_state import Mode
from assistant.session.events import Event
from tests.session.transitions.rows import Case, aloud
from tests.session.transitions.rows_everywhere import (
    GONE,
    GOOD_KINDS,
    GOOD_THEN,
    LOST,
    MEANT,
    NO_MORE,
    PHOTO,
    PROMPTS,
    QUIET,
    WORDS,
    Cases,
    in_doubt,
)

OVER_PROMPTS: dict[Mode, Cases] = {
    Mode.CONFIRM: {
        **in_doubt(PROMPTS[Mode.CONFIRM], "ask"),
        Event.YES: (
            Case(
                "confirm",
                "yes",
                Mode.CAUTION,
                "verdict_limits found caution",
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
                "not_cured leads conditions ask",
                "Remarked ProofStepDone ProofFinished PhaseEntered CheckChosen",
            ),
            Case(
                "confirm a code",
                "yes",
                Mode.CHECK,
                "choice_logged not_cured leads conditions ask",
                "Remarked ProofStepDone ProofFinished PhaseEntered CheckChosen",
            ),
        ),
        Event.NO: (
            Case("confirm", "no", Mode.CHECK, "dropped ask", "Remarked"),
            Case("confirm a code", "no", Mode.PROOF, "code_there_stored quiet", "NoteTaken ProofStepDone", "left"),
        ),
        Event.NEXT: (Case("confirm", "next", Mode.CONFIRM, "yes_or_no condemns_over_range"),),
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
                "Remarked Remarked",
                "'doubt': 'range'",
                then="no",
            ),
        ),
    },
    Mode.CHOOSE: {
        **in_doubt(PROMPTS[Mode.CHOOSE], "ask"),
        Event.MENDED: (
            Case("which is wrong", "the output", Mode.CONFIRM, "mend_value", holds="Change it to 5"),
            Case("which is wrong", "road side", Mode.CHOOSE, "mend_which"),
        ),
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
            Case(
                "choose",
                "the cat sat",
                Mode.CHOOSE,
                "just_reading missed_number_typed which_two",
                "Remarked Remarked",
                then="the cat sat",
            ),
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
                "unsteady_between hold_still once_more",
                "Observed CheckChosen",
                "2000",
            ),
        ),
        Event.SAY_AGAIN: (
            Case("spread", "say again", Mode.SPREAD, "lowest_highest"),
            Case("spread, lowest known", "say again", Mode.SPREAD, "highest"),
        ),
        Event.NO: (Case("spread", "no", Mode.CHECK, "dropped ask"),),
        Event.NOT_UNDERSTOOD: (
            Case("spread", "the cat sat", Mode.SPREAD, "just_reading", "Remarked", "the cat sat"),
        ),
    },
    Mode.REASON: {
        Event.NOTE: (Case("reason", "note", Mode.NOTE, "note"),),
        Event.WORDS: (
            Case(
                "reason",
                "pins are corroded",
                Mode.CAUTION,
                "skipped_cost found caution",
                "Skipped PhaseEntered FixChosen",
                "pins are corroded",
            ),
            Case(
                "reason at a fix",
                "I doubt it",
                Mode.CHECK,
                "skipped ask",
                "FixDeclined PhaseEntered CheckChosen",
                "I doubt it",
            ),
            Case(
                "reason at a fix",
                "none in stock",
                Mode.PUT_BACK,
                "skipped waiting put_back_first put_back",
                "FixDeclined PhaseEntered",
                "none in stock",
            ),
        ),
        Event.SKIP: (
            Case(
                "reason",
                "skip",
                Mode.CAUTION,
                "skipped_cost found caution",
                "Skipped PhaseEntered FixChosen",
                "reason=''",
            ),
        ),
        Event.NEXT: (
            Case(
                "reason",
                "next",
                Mode.CAUTION,
                "skipped_cost found caution",
                "Skipped PhaseEntered FixChosen",
                "reason=''",
            ),
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
                "noted condemns_over_range",
                "NoteTaken",
                "green powder",
            ),
            Case("note", aloud("Green powder."), Mode.NOTE, "note_back", holds="Green powder. Keep it?"),
            Case("note", aloud("the why are is [unclear]"), Mode.NOTE, "note"),
            Case("note read back", aloud("It is dry."), Mode.NOTE, "note_back", holds="Note: It is dry. Keep it?"),
            Case("note read back", aloud("Keep it."), Mode.CHECK, "noted ask", "NoteTaken", "The plug is green"),
            Case("note read back", "it is dry", Mode.CHECK, "noted ask", "NoteTaken", "it is dry"),
        ),
        Event.YES: (
            Case("note", "yes", Mode.NOTE, "not_asked note"),
            Case("note read back", "yes", Mode.CHECK, "noted ask", "NoteTaken", "The plug is green"),
            Case("note read back over a question", "yes", Mode.CONFIRM, "noted condemns_over_range", "NoteTaken"),
        ),
        Event.NO: (
            Case("note", "no", Mode.CHECK, "going_on ask"),
            Case("note over a question", "no", Mode.CONFIRM, "going_on condemns_over_range"),
            Case("note read back", "no", Mode.NOTE, "note_again"),
        ),
        Event.NEXT: (
            Case("note", "next", Mode.CHECK, "going_on ask"),
            Case("note over a question", "next", Mode.CONFIRM, "going_on condemns_over_range"),
            Case("note read back", "next", Mode.CHECK, "noted ask", "NoteTaken", "The plug is green"),
        ),
        Event.NOTE: (Case("note", "note", Mode.NOTE, "note"),),
        Event.SKIP: (Case("note", "skip", Mode.REASON, "reason"),),
        **{
            event: (
                Case("note", WORDS[event], Mode.CHECK, "going_on ask"),
                Case("note over a question", WORDS[event], Mode.CONFIRM, "going_on condemns_over_range"),
            )
            for event in (Event.GO_BACK, Event.WITHDRAW, Event.CORRECTION)
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
                Case("stop over a question", WORDS[event], Mode.CONFIRM, "going_on condemns_over_range"),
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
        Event.NOT_UNDERSTOOD: (Case("stop", "the cat sat", Mode.STOP, "again", "Remarked", "the cat sat"),),
    },
    Mode.HELD: {
        **{event: (Case("held", words, Mode.HELD, "on_hold"),) for event, words in WORDS.items()},
        **{event: (Case("held", meant, Mode.HELD, "on_hold"),) for event, meant in MEANT.items()},
        Event.WENT_QUIET: (Case("held", QUIET, Mode.HELD),),
        Event.INPUT_ENDED: (Case("held", NO_MORE, Mode.NEW, ends="left"),),
        Event.MICROPHONE_LOST: (Case("held", LOST, Mode.HELD, "microphone_lost"),),
        Event.PHOTO_TAKEN: (Case("held", PHOTO, Mode.HELD, "photo_kept", "PhotoKept"),),
        Event.PHOTO_GONE: (Case("held", GONE, Mode.HELD),),
        Event.RESUME: (
            Case("held", "resume", Mode.CHECK, "released leads conditions ask", "Released"),
            Case("held over a question", "resume", Mode.CONFIRM, "released condemns_over_range", "Released"),
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
        Event.PHOTO_TAKEN: (Case("unwritten", PHOTO, Mode.UNWRITTEN),),
        Event.PHOTO_GONE: (Case("unwritten", GONE, Mode.UNWRITTEN),),
    },
    Mode.ENDED: {
        Event.INPUT_ENDED: (Case("ended", NO_MORE, Mode.ENDED, ends="stopped"),),
    },
}
