"""What the main modes must do beside what holds at every prompt: by hand, from the theory of operation."""

from __future__ import annotations

from dataclasses import replace

from assistant.messages import (
    Ask,
    Began,
    Clarification,
    Command,
    Outcome,
    Resumed,
    Understanding,
)
from assistant.session.dialog_state import Mode
from assistant.session.events import ANSWERS, Event
from tests.session.transitions.rows import Case
from tests.session.transitions.rows_everywhere import (
    GOOD_KINDS,
    GOOD_THEN,
    MEANT,
    MOVED_THEN,
    NO_MORE,
    QUIET,
    REPLACED_KINDS,
    REPLACED_THEN,
    Cases,
)

ONE_NAME = Understanding(Outcome.CHOOSE, "ought", ask=Clarification(Ask.WHICH_NAME, names=("out",)), reason="close")
"""One choice that sounds like what was said: it is asked about, so that a yes answers."""

MAIN_MODES: dict[Mode, Cases] = {
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
        Event.NOT_UNDERSTOOD: (Case("ready", "the cat sat", Mode.READY, "again", "Remarked", "the cat sat"),),
    },
    Mode.CAUTION: {
        Event.YES: (
            Case("caution", "yes", Mode.CHECK, "acknowledged leads conditions ask", "CautionAcknowledged"),
            Case("first caution", "yes", Mode.FACT, "acknowledged facts ask", "CautionAcknowledged PhaseEntered"),
        ),
        Event.NEXT: (
            Case("caution", "done", Mode.CHECK, "acknowledged leads conditions ask", "CautionAcknowledged"),
            Case("caution", "done, next one", Mode.CHECK, "acknowledged leads conditions ask", "CautionAcknowledged"),
            Case("caution", "next", Mode.CAUTION, "caution_first caution"),
            Case("caution", "let's move on", Mode.CAUTION, "caution_first caution"),
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
            Case("caution", "the cat sat", Mode.CAUTION, "again", "Remarked", "the cat sat"),
            Case(
                "caution",
                "correction 75",
                Mode.CAUTION,
                "fact_value caution",
                "FactWithdrawn PhaseEntered FactAnswered PhaseEntered CheckChosen",
                "75",
            ),
        ),
        Event.SEEN: (
            Case("caution", "the sensor is missing", Mode.CONFIRM, "is_it_cause", holds="sensor, left"),
            Case(
                "caution",
                "the sensor is missing",
                Mode.CAUTION,
                "is_it_cause because caution",
                "NoteTaken PhaseEntered FixChosen",
                "the sensor is missing",
                then="yes",
            ),
        ),
        Event.PLACE: (
            Case("survey caution", "right rear next", Mode.CAUTION, "caution", "CheckChosen", "right rear"),
            Case("survey caution", "left front", Mode.CAUTION, "already_there caution"),
        ),
    },
    Mode.FACT: {
        Event.SEVERAL: (
            Case(
                "unit number",
                "unit zero four one nine, drums",
                Mode.LOOK_UP,
                "facts_logged",
                "FactAnswered FactAnswered SaidTogether",
                "0419, drum",
            ),
            Case("unit number", "it's a drum brake", Mode.FACT, "facts_logged ask", "FactAnswered", "value='drum'"),
        ),
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
        Event.YES: (
            Case("fact", "yes", Mode.FACT, "not_asked ask"),
            Case("first fact", "yes", Mode.CONFIRM, "half", holds="Drum"),
        ),
        Event.NO: (
            Case("fact", "no", Mode.FACT, "not_asked ask"),
            Case("first fact", "no", Mode.CONFIRM, "half", holds="Disc"),
        ),
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
            Case("fact", "the cat sat", Mode.FACT, "just_reading", "Remarked", "the cat sat"),
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
            Case("access", "the cat sat", Mode.ACCESS, "again", "Remarked", "the cat sat"),
            Case(
                "access",
                "correction 75",
                Mode.ACCESS,
                "fact_value do",
                "FactWithdrawn PhaseEntered FactAnswered PhaseEntered CheckChosen",
                "75",
            ),
        ),
        Event.SEEN: (
            Case("access", "the sensor is missing", Mode.CONFIRM, "is_it_cause", holds="sensor, left"),
            Case(
                "access",
                "the sensor is missing",
                Mode.ACCESS,
                "is_it_cause because do",
                "NoteTaken PhaseEntered FixChosen",
                "the sensor is missing",
                then="yes",
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
        Event.YES: (
            Case("check", "yes", Mode.CHECK, "not_asked ask"),
            Case("survey choice", "yes", Mode.CONFIRM, "half", holds="Sound"),
        ),
        Event.NO: (
            Case("check", "no", Mode.CHECK, "not_asked ask"),
            Case("survey choice", "no", Mode.CONFIRM, "half", holds="Cracked"),
        ),
        Event.IDENTIFIER: (Case("check", MEANT[Event.IDENTIFIER], Mode.CHECK, "again ask", "Remarked", "zero four"),),
        Event.WORDS: (Case("check", MEANT[Event.WORDS], Mode.CHECK, "again ask", "Remarked", "green powder"),),
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
                "condemns_over_range dropped ask",
                "Remarked",
                "'doubt': 'condemns'",
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
            Case(
                "check",
                "I don't know",
                Mode.CAUTION,
                "skipped_cost found caution",
                "Skipped PhaseEntered FixChosen",
                "I don't",
            ),
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
                "reading leads conditions ask",
                "ObservationWithdrawn Observed CheckChosen",
                "0.5",
            ),
            Case(
                "back at a check",
                "correction 0.5",
                Mode.CHECK,
                "reading leads conditions ask",
                "ObservationWithdrawn Observed CheckChosen",
                "0.5",
            ),
        ),
        Event.NOT_UNDERSTOOD: (
            Case("check", "the cat sat", Mode.CHECK, "just_reading", "Remarked", "the cat sat"),
            Case(
                "survey choice",
                "correction 1.3 inches",
                Mode.CHECK,
                "reading ask",
                "ObservationWithdrawn Observed CheckChosen",
                "1.3",
            ),
        ),
        Event.SEVERAL: (
            Case(
                "check",
                "left eleven eighty, right twelve hundred",
                Mode.CAUTION,
                "readings_logged found caution",
                "Observed AccessOpened Observed SaidTogether PhaseEntered FixChosen",
                "left 1,180 ohms, good; right 1,200 ohms, good",
            ),
            Case(
                "check",
                "left eleven eighty, right open",
                Mode.CHECK,
                "readings_logged once_more",
                "Observed AccessOpened Observed SaidTogether CheckChosen",
                "left 1,180 ohms, good; right over range, out of limits",
                "check:sensor ohms:right",
            ),
            Case(
                "check",
                "left eleven eighty, right twelve hundred",
                Mode.CHECK,
                "readings_logged found caution withdrawn_all leads conditions ask",
                "Observed AccessOpened Observed SaidTogether PhaseEntered FixChosen "
                "ObservationWithdrawn ObservationWithdrawn CheckChosen",
                "sensor, left; resistance of the sensor, right",
                "check:sensor ohms:left",
                then="scratch that",
            ),
        ),
        Event.SEEN: (
            Case("check", "the sensor is missing", Mode.CONFIRM, "is_it_cause", holds="sensor, left"),
            Case(
                "check",
                "the sensor is missing",
                Mode.CAUTION,
                "is_it_cause because caution",
                "NoteTaken PhaseEntered FixChosen",
                "the sensor is missing",
                then="yes",
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
        Event.SEEN: (
            Case("fix", "the sensor is missing", Mode.CONFIRM, "is_it_cause", holds="sensor, left"),
            Case(
                "fix",
                "the sensor is missing",
                Mode.FIX,
                "is_it_cause because fix",
                "NoteTaken FixChosen",
                "the sensor is missing",
                then="yes",
            ),
        ),
        Event.NOT_UNDERSTOOD: (
            Case("fix", "the cat sat", Mode.FIX, "again", "Remarked", "the cat sat"),
            Case(
                "fix",
                "correction 1180",
                Mode.FIX,
                "corrected verdict found fix",
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
            Case("light", "yes", Mode.CONFIRM, "half", holds="Out"),
        ),
        Event.SEVERAL: (
            Case("codes in the proof", "left sensor", Mode.CONFIRM, "code_there", holds="Left"),
            Case(
                "codes in the proof",
                "left sensor, stored",
                Mode.PROOF,
                "code_there_stored quiet",
                "NoteTaken ProofStepDone",
                "Left, stored",
                prompt="proof:roll",
            ),
        ),
        Event.NO: (
            Case("proof", "no", Mode.PROOF, "not_asked do"),
            Case("light", "no", Mode.CONFIRM, "half", holds="On"),
        ),
        Event.NEXT: (
            Case("proof", "done", Mode.PROOF, "step_logged quiet", "ProofStepDone", prompt="proof:roll"),
            Case("light", "next", Mode.PROOF, "ask"),
            Case("light", "done", Mode.CONFIRM, "half", holds="Out"),
        ),
        **{
            event: (
                Case(
                    "light",
                    MEANT[event],
                    Mode.PROOF,
                    "again ask missed_typed ask",
                    "Remarked Remarked",
                    then="the cat sat",
                ),
            )
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
        Event.CHOOSE: (
            Case("light", MEANT[Event.CHOOSE], Mode.CHOOSE, "which_two"),
            Case("light", ONE_NAME, Mode.CONFIRM, "which_name"),
        ),
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
            Case("proof", "the cat sat", Mode.PROOF, "again", "Remarked", "the cat sat"),
            Case("proof", "correction 0.5", Mode.PROOF, REPLACED_THEN, REPLACED_KINDS, "0.5"),
        ),
    },
    Mode.OFFER: {
        Event.YES: (
            Case(
                "hand over",
                "yes",
                Mode.PUT_BACK,
                "handing_over put_back_first put_back",
                "OfferAnswered PhaseEntered",
            ),
            Case("found before", "yes", Mode.ACCESS, "do", "OfferAnswered PhaseEntered FixChosen", "found_before"),
        ),
        Event.NO: (
            Case("hand over", "no", Mode.CHECK, "leads ask", "OfferAnswered CheckChosen"),
            Case("found before", "no", Mode.ACCESS, "finding do", "OfferAnswered PhaseEntered CheckChosen"),
        ),
        Event.SKIP: (Case("hand over", "skip", Mode.CHECK, "leads ask", "OfferAnswered CheckChosen"),),
        Event.NEXT: (Case("hand over", "next", Mode.OFFER, "yes_or_no offer_hand_over"),),
        Event.GO_BACK: (
            Case("hand over", "go back", Mode.CHECK, "back leads conditions ask", prompt="check:output:left"),
            Case("found before", "go back", Mode.FACT, "back ask", prompt="fact:coil temperature"),
        ),
        Event.WITHDRAW: (
            Case(
                "hand over",
                "scratch that",
                Mode.CHECK,
                "withdrawn leads conditions ask",
                "ObservationWithdrawn CheckChosen",
            ),
            Case("found before", "scratch that", Mode.FACT, "withdrawn ask", "FactWithdrawn"),
        ),
        Event.CORRECTION: (
            Case("hand over", "correction", Mode.CHECK, "correction_of ask", prompt="check:output:left"),
        ),
        Event.NOT_UNDERSTOOD: (Case("hand over", "the cat sat", Mode.OFFER, "again", "Remarked", "the cat sat"),),
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
            Case("put back", "the cat sat", Mode.PUT_BACK, "again", "Remarked", "the cat sat"),
            Case(
                "put back",
                "correction 0.5",
                Mode.PUT_BACK,
                "reading proving put_back_first put_back_more put_back",
                REPLACED_KINDS,
                "0.5",
            ),
        ),
    },
}
