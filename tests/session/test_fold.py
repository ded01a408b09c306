"""What each decision changes in a session's state and ledger; decisions written by hand, on the invented bench."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import cast

import pytest

from assistant.catalog import load_meter
from assistant.errors import DefectError
from assistant.messages import Grade, HistoryWeight, Prompt, PromptKind, Reason, Verdict, Why, check_prompt
from assistant.messages.decisions import (
    AccessOpened,
    CautionAcknowledged,
    CheckChosen,
    Decision,
    Ended,
    Ending,
    FactAnswered,
    FactWithdrawn,
    FixChosen,
    FixDeclined,
    FixDone,
    Held,
    HistoryTaken,
    NoteTaken,
    ObservationWithdrawn,
    Observed,
    Phase,
    PhaseEntered,
    ProofFinished,
    ProofStepDone,
    ProofStepWithdrawn,
    PutBackDone,
    QuestionChosen,
    Released,
    SaidTogether,
    Skipped,
)
from assistant.procedure.load import load_procedure
from assistant.session.fold import (
    AIR_TEMPERATURE,
    UNIT_NUMBER,
    Answered,
    State,
    apply,
    apply_all,
    begin,
    fold,
    results,
    told_by_meter,
)
from assistant.session.ledger import Ledger
from assistant.session.results.corrections import Verified
from assistant.session.results.results import results_of
from assistant.session.results.signs import Checks, Shows
from assistant.session.state import LOWEST_AC
from assistant.verdict import Meter
from tests.session.conversation import context

HERE = context()
WHY = Reason(Why.LAST_LOOK)
OHMS = CheckChosen("sensor ohms", "left", 2.0, WHY)
GROUND = CheckChosen("ground drop", None, 2.0, WHY)
REPLACE = FixChosen("replace sensor", "left", "open sensor", 0.9, True, WHY)
REPLACED = FixDone("replace sensor", "left", "sensor replaced", "sensor")
PLUG, DRUM = AccessOpened("plug", "left", 1.0), AccessOpened("drum", "left", 40.0)
FACT = FactAnswered("brakes", "drum", "drums")
LIGHT, CLEAR = ProofStepDone("light", "out", True), ProofStepDone("clear", "yes", True)
FAILED, PASSED = ProofFinished(False, Reason(Why.STEP_FAILED)), ProofFinished(True, Reason(Why.ALL_PASSED))


def ohms(number: int = 1, place: str = "left") -> Observed:
    return Observed(number, "sensor ohms", place, "resistance", {"good": 1.0}, "1200", Decimal(1200), "ohm")


def after(*decisions: Decision) -> State:
    return fold(HERE, decisions)


def ledger(*decisions: Decision) -> Ledger:
    return after(*decisions).ledger


def answered(*decisions: Decision) -> list[Answered]:
    return list(after(*decisions).answer_history)


OHMS_ASKED, FIX_ASKED = check_prompt("sensor ohms", "left"), Prompt(PromptKind.FIX, "replace sensor", "left")
BRAKES_ASKED = Prompt(PromptKind.FACT, "brakes")


# --- the beginning -------------------------------------------------------------------------------------------------


def test_what_was_known_before_the_session_is_a_fact_in_it() -> None:
    state = begin(HERE)
    assert state.facts == {UNIT_NUMBER: "0419", AIR_TEMPERATURE: "72"}
    assert state.history_of == "0419"
    nothing = begin(replace(HERE, unit_number="", air_fahrenheit=None))
    assert (nothing.facts, nothing.history_of) == ({}, "")
    assert begin(replace(HERE, air_fahrenheit=Decimal("-4.50"))).facts[AIR_TEMPERATURE] == "-4.50"


@pytest.mark.parametrize(
    ("meter", "procedure", "known"),
    [
        ("pocket", "tractor-abs-light-on", {LOWEST_AC: "two hundred volts"}),
        ("shop", "tractor-abs-light-on", {LOWEST_AC: "two volts"}),
        (None, "tractor-abs-light-on", {}),
        ("pocket", "battery-and-charging", {}),  # it does not ask
    ],
)
def test_what_the_meters_table_answers_is_not_asked(meter: str | None, procedure: str, known: dict[str, str]) -> None:
    """The lowest AC range, as it stands in the table of the meter in hand: 199.9 volts, and 599.9 millivolts."""
    in_hand = load_meter(meter) if meter else None
    assert told_by_meter(replace(HERE, procedure=load_procedure(procedure).procedure, meter=in_hand)) == known


@pytest.mark.parametrize(
    ("top", "answer"),
    [("6", "two volts"), ("6.1", "twenty volts"), ("60", "twenty volts"), ("60.5", "two hundred volts"),
     ("600", "two hundred volts"), ("600.5", None)],
)  # fmt: skip
def test_the_range_above_which_a_meter_counts_as_coarser(top: str, answer: str | None) -> None:
    """Meters of 6,000 counts have ranges of 6, 60 and 600 volts where those of 2,000 have 2, 20 and 200 (common
    practice, no source)."""
    row = {"unit": "V", "top": Decimal(top), "resolution": Decimal("0.1"), "accuracy": "1%+2", "ac": True}
    tractor = load_procedure("tractor-abs-light-on").procedure
    in_hand = Meter.from_table({"name": "bench", "range": [row]})
    known = told_by_meter(replace(HERE, procedure=tractor, meter=in_hand))
    assert known == ({} if answer is None else {LOWEST_AC: answer})


def test_a_question_that_was_chosen_is_asked_until_it_is_answered() -> None:
    asked = after(OHMS, QuestionChosen("brakes", 3.0, WHY))
    assert (asked.wanted, asked.action) == ("brakes", None)
    assert after(OHMS, QuestionChosen("brakes", 3.0, WHY), FACT).wanted == ""
    assert after(OHMS, QuestionChosen("brakes", 3.0, WHY), OHMS).wanted == ""


@pytest.mark.parametrize(
    ("phase", "keeps"), [(Phase.FINDING, False), (Phase.REPAIRING, False), (Phase.SURVEYING, True)]
)
def test_an_answer_about_the_unit_has_the_next_step_chosen_anew_where_that_may_change_it(
    phase: Phase, keeps: bool
) -> None:
    """A survey goes through its positions whatever is known."""
    assert after(PhaseEntered(phase), OHMS, FACT).action == (OHMS if keeps else None)


def test_an_answer_that_the_question_does_not_have_is_asked_for() -> None:
    """A shop's own file may ask for other ranges."""
    procedure = load_procedure("tractor-abs-light-on").procedure
    asked = [
        one.model_copy(update={"choices": one.choices[:1]}) if one.name == LOWEST_AC else one
        for one in procedure.facts
    ]
    other = procedure.model_copy(update={"facts": tuple(asked)})
    assert told_by_meter(replace(HERE, procedure=other, meter=load_meter("pocket"))) == {}


def test_what_was_said_in_one_breath_is_kept_together() -> None:
    """So many of the last answers; none of them where it says none."""
    three = (FACT, OHMS, ohms(), FactAnswered("shields", "no", "no"))
    assert [len(said) for said in after(*three, SaidTogether(2)).together] == [2]
    assert [done.prompt.name for done in after(*three, SaidTogether(2)).together[0]] == ["sensor ohms", "shields"]
    assert after(*three, SaidTogether(0)).together == ((),)


def test_a_check_chosen_anew_before_anything_was_done_stands_once_in_the_path() -> None:
    """An answer about the unit makes the tool choose again; a look in between makes it another choice."""
    fact = FactAnswered("shields", "no", "no")

    def path(*decisions: Decision) -> list[str]:
        return [entry.decision.check for entry in ledger(*decisions).path]

    assert path(OHMS) == ["sensor ohms"]
    assert path(OHMS, fact, OHMS) == ["sensor ohms"]
    assert path(GROUND, OHMS, fact, OHMS) == ["ground drop", "sensor ohms"]
    assert path(OHMS, GROUND) == ["sensor ohms", "ground drop"]
    assert path(OHMS, GROUND, OHMS) == ["sensor ohms", "ground drop", "sensor ohms"]
    assert path(OHMS, ohms(), OHMS) == ["sensor ohms", "sensor ohms"]
    assert path(OHMS, replace(OHMS, place="right")) == ["sensor ohms", "sensor ohms"]


def test_a_session_begins_with_nothing_decided() -> None:
    state = begin(HERE)
    assert (state.ready, state.held, state.action, state.count) == (False, False, None, 0)
    assert (state.ledger.count, state.ledger.entered, state.phase) == (0, False, Phase.CAUTIONS)
    assert (state.ledger.passed_by, state.ledger.history, state.history) == (False, None, ())


def test_only_a_decision_is_taken_in() -> None:
    with pytest.raises(DefectError, match="Answered is no decision"):
        apply(HERE, begin(HERE), cast("Decision", Answered(OHMS_ASKED)))


def test_every_decision_is_counted_and_numbered() -> None:
    decisions: list[Decision] = [PhaseEntered(Phase.CAUTIONS), FACT, NoteTaken("rusty"), PLUG, ohms()]
    state = fold(HERE, decisions)
    assert state.ledger.count == 5
    assert [entry.number for entry in state.ledger.standing] == [3, 4]
    assert [entry.number for entry in state.ledger.notes] == [2]
    assert state == apply_all(
        HERE, begin(HERE), [PhaseEntered(Phase.CAUTIONS), FACT, NoteTaken("rusty"), PLUG, ohms()]
    )


# --- parts of the session ------------------------------------------------------------------------------------------


def test_ready_once_the_cautions_begin() -> None:
    assert after(PhaseEntered(Phase.CAUTIONS)).ready
    assert not after(PhaseEntered(Phase.FACTS)).ready
    assert after(PhaseEntered(Phase.FACTS)).ledger.entered


@pytest.mark.parametrize(
    ("phase", "keeps"),
    [
        (Phase.CAUTIONS, True), (Phase.FACTS, False), (Phase.FINDING, True), (Phase.REPAIRING, True),
        (Phase.PROVING, False), (Phase.CLOSING, False), (Phase.ENDED, False),
    ],
)  # fmt: skip
def test_a_chosen_action_outlives_a_part_in_which_it_can_be_answered(phase: Phase, keeps: bool) -> None:
    state = after(OHMS, PhaseEntered(phase))
    assert state.action == (OHMS if keeps else None)
    assert state.phase is phase


def test_an_ended_session_is_ended_whatever_part_was_entered_last() -> None:
    state = after(PhaseEntered(Phase.FINDING), OHMS, Ended(Ending.CURED_AND_PROVEN, WHY))
    assert (state.phase, state.action) == (Phase.ENDED, None)
    assert results(HERE, state).ending == Ended(Ending.CURED_AND_PROVEN, WHY)


def test_held_until_it_is_taken_up() -> None:
    assert after(Held()).held
    assert not after(Held(), Released()).held


# --- cautions ------------------------------------------------------------------------------------------------------


def test_a_caution_is_acknowledged_where_it_was_last() -> None:
    state = after(CautionAcknowledged("dust", "left"), CautionAcknowledged("chocks"), CautionAcknowledged("dust"))
    assert state.acknowledged == {"dust", "chocks"}
    assert state.warned == {"dust": "", "chocks": ""}
    assert [done.prompt.name for done in state.answer_history] == ["chocks", "dust"]
    assert [entry.decision.caution for entry in state.ledger.cautions] == ["dust", "chocks", "dust"]


def test_a_caution_behind_an_opening_comes_again_with_the_next_opening() -> None:
    """The drum's dust: not while the drum is off, again for another drum."""
    open_left: list[Decision] = [FACT, CautionAcknowledged("dust", "left"), PLUG, DRUM]
    assert "dust" in after(*open_left, REPLACE).acknowledged
    other = replace(REPLACE, place="right")
    assert "dust" not in after(*open_left, other).acknowledged
    assert "dust" in after(FACT, CautionAcknowledged("dust", "left"), OHMS).acknowledged


def test_a_checks_own_caution_comes_again_at_another_place() -> None:
    """Hands clear of the wheel: said once at a wheel."""
    said = CautionAcknowledged("clear", "left")
    output = CheckChosen("output", "left", 3.0, WHY)
    assert "clear" in after(said, output).acknowledged
    assert "clear" not in after(said, replace(output, place="right")).acknowledged
    assert "clear" in after(said, replace(OHMS, place="right")).acknowledged


def test_a_fixs_own_caution_comes_with_every_fix() -> None:
    careful = context()
    table = careful.procedure.model_dump(exclude_defaults=True)
    table["fixes"][2]["cautions"] = ["clear"]
    careful = replace(careful, procedure=type(careful.procedure).model_validate(table))
    said: list[Decision] = [CautionAcknowledged("clear"), CautionAcknowledged("chocks")]
    ground = FixChosen("clean ground", None, "bad ground", 0.9, True, WHY)
    assert fold(careful, [*said, ground]).acknowledged == {"chocks"}
    assert fold(HERE, [*said, ground]).acknowledged == {"chocks", "clear"}


def test_the_cautions_of_the_proof_come_with_every_proof() -> None:
    table = HERE.procedure.model_dump(exclude_defaults=True)
    table["proof"]["steps"][1]["cautions"] = ["clear"]
    careful = replace(HERE, procedure=type(HERE.procedure).model_validate(table))
    said: list[Decision] = [CautionAcknowledged("clear"), CautionAcknowledged("chocks")]
    assert fold(careful, [*said, PhaseEntered(Phase.PROVING)]).acknowledged == {"chocks"}
    assert fold(careful, [*said, PhaseEntered(Phase.FINDING)]).acknowledged == {"chocks", "clear"}


# --- facts ---------------------------------------------------------------------------------------------------------


def test_a_fact_answered_twice_has_its_last_answer_and_stands_last() -> None:
    state = after(FACT, FactAnswered("shields", "no", "no"), FactAnswered("brakes", "disc", "disc"))
    assert (state.facts["brakes"], state.facts["shields"]) == ("disc", "no")
    assert [done.prompt.name for done in state.answer_history] == ["shields", "brakes"]


def test_a_fact_that_is_taken_back_is_not_known() -> None:
    state = after(FACT, FactAnswered("shields", "no", "no"), OHMS, FactWithdrawn("brakes"))
    assert "brakes" not in state.facts
    assert state.facts["shields"] == "no"
    assert state.action is None
    assert [done.prompt.name for done in state.answer_history] == ["shields"]


def test_what_was_known_before_can_be_taken_back_too() -> None:
    state = after(FactWithdrawn(AIR_TEMPERATURE))
    assert state.facts == {UNIT_NUMBER: "0419"}
    assert state.history_of == "0419"


WEIGHTS = (HistoryWeight("open sensor", "left", 2.0, ""),)


def test_another_unit_has_another_history() -> None:
    told = after(HistoryTaken("0419", WEIGHTS))
    assert (told.history_of, told.history) == ("0419", WEIGHTS)
    other = apply(HERE, told, FactWithdrawn(UNIT_NUMBER))
    assert (other.history_of, other.history, other.ledger.history) == ("", (), ())
    assert after(FactWithdrawn(UNIT_NUMBER)).ledger.history is None
    assert apply(HERE, told, FactWithdrawn("brakes")).history == WEIGHTS


# --- openings, checks and fixes ------------------------------------------------------------------------------------


def test_an_action_is_chosen_until_it_is_answered() -> None:
    assert after(OHMS).action == OHMS
    assert after(OHMS, ohms(place="right")).action == OHMS
    assert after(OHMS, ohms()).action is None
    assert after(REPLACE, FixDone("replace sensor", "right", "", None)).action == REPLACE
    assert after(REPLACE, REPLACED).action is None
    assert after(REPLACE, FixDeclined("replace sensor", "left", "")).action is None
    assert after(REPLACE, FixDeclined("push home", "left", "")).action == REPLACE
    assert after(OHMS, PLUG).action == OHMS


def test_what_was_answered_stands_in_order_with_the_numbers_of_readings() -> None:
    assert answered(PLUG, OHMS, ohms(), REPLACE, REPLACED) == [
        Answered(Prompt(PromptKind.ACCESS, "plug", "left")),
        Answered(OHMS_ASKED, 1),
        Answered(FIX_ASKED),
    ]
    assert answered(ohms(), ohms(2)) == [Answered(OHMS_ASKED, 1), Answered(OHMS_ASKED, 2)]


def test_readings_are_numbered_on_from_the_highest_number() -> None:
    assert after(ohms(1), ohms(4, "right")).count == 4
    assert after(ohms(4), ohms(2, "right")).count == 4
    assert after(ohms(3), ObservationWithdrawn(3, WHY)).count == 3


def test_a_reading_taken_back_is_gone_and_told() -> None:
    state = after(ohms(), ohms(2, "right"), GROUND, ObservationWithdrawn(1, WHY))
    assert [one.number for one in state.observations] == [2]
    assert [done.number for done in state.answer_history] == [2]
    assert state.action is None
    assert [(one.number, one.observed, one.because) for one in state.ledger.taken_back] == [(0, ohms(), WHY)]
    assert after(ohms(), ObservationWithdrawn(7, WHY)).observations == (ohms(),)


def test_a_reading_taken_back_leaves_the_answer_of_another_kind_with_its_number() -> None:
    """A caution, say, has number 0: nothing but a reading has one."""
    assert [done.prompt for done in answered(FACT, ohms(0), ObservationWithdrawn(0, WHY))] == [BRAKES_ASKED]


@pytest.mark.parametrize(
    ("chosen", "prompt", "keeps"),
    [
        (OHMS, OHMS_ASKED, False),
        (OHMS, check_prompt("sensor ohms", "right"), True),
        (OHMS, Prompt(PromptKind.ACCESS, "plug", "left"), False),
        (OHMS, Prompt(PromptKind.PROOF, "light"), True),
        (OHMS, BRAKES_ASKED, True),
        (REPLACE, FIX_ASKED, False),
    ],
)
def test_what_is_passed_by_is_not_asked_and_neither_is_what_needs_it(
    chosen: CheckChosen | FixChosen, prompt: Prompt, keeps: bool
) -> None:
    state = after(chosen, Skipped(prompt, "dark"))
    assert state.action == (chosen if keeps else None)
    assert state.skipped == (Skipped(prompt, "dark"),)
    assert state.ledger.passed_by


def test_what_is_answered_after_all_was_not_passed_by() -> None:
    plug = Skipped(Prompt(PromptKind.ACCESS, "plug", "left"), "")
    check, fact = Skipped(OHMS_ASKED, ""), Skipped(BRAKES_ASKED, "")
    assert after(plug, check, fact).skipped == (plug, check, fact)
    assert after(plug, check, fact, PLUG).skipped == (check, fact)
    assert after(plug, check, fact, ohms()).skipped == (plug, fact)
    assert after(plug, check, fact, FactWithdrawn("brakes")).skipped == (plug, check)
    assert after(plug, check, ohms(place="right")).skipped == (plug, check)


def test_a_fix_answers_its_own_proposal_once() -> None:
    found = ledger(REPLACE, replace(REPLACE, place="right"), REPLACED, REPLACED)
    assert found.answers == (REPLACE, None)
    assert found.proposed == {("replace sensor", "right"): replace(REPLACE, place="right")}


def test_openings_since_everything_was_closed() -> None:
    assert after(PLUG, DRUM).opened == (("plug", "left"), ("drum", "left"))
    assert after(PLUG, PutBackDone(("plug",)), DRUM).opened == (("drum", "left"),)
    assert after(PLUG, PutBackDone(("plug",))).opened == ()
    assert [entry.decision for entry in ledger(PLUG, PASSED, ohms()).since_closed] == [ohms()]
    assert [entry.decision for entry in ledger(PLUG, ohms()).since_closed] == [PLUG, ohms()]


# --- the proof -----------------------------------------------------------------------------------------------------

PROVING = PhaseEntered(Phase.PROVING)


def test_a_step_done_again_stands_last_and_once() -> None:
    again = ProofStepDone("light", "on", False)
    state = after(PROVING, LIGHT, CLEAR, again)
    assert state.proof == (CLEAR, again)
    assert [done.prompt.name for done in state.answer_history] == ["clear", "light"]


def test_a_step_taken_back_is_asked_again() -> None:
    state = after(PROVING, CLEAR, LIGHT, ProofStepWithdrawn("light"))
    assert state.proof == (CLEAR,)
    assert [done.prompt.name for done in state.answer_history] == ["clear"]


def test_a_step_passed_by_leaves_the_repair_unproven_until_the_next_proof() -> None:
    """The first one that was passed by says why."""
    skip = Skipped(Prompt(PromptKind.PROOF, "roll"), "no room")
    why = Reason(Why.STEP_SKIPPED, {"step": "roll", "reason": "no room"})
    state = after(PROVING, skip, Skipped(Prompt(PromptKind.PROOF, "light"), "bulb"))
    assert state.unproven == why
    assert after(PROVING, Skipped(OHMS_ASKED, "dark")).unproven is None
    for ends in (PROVING, REPLACED, PASSED):
        assert apply(HERE, state, ends).unproven is None
    assert apply(HERE, state, PROVING).skipped == ()
    other = Skipped(OHMS_ASKED, "")
    assert after(PROVING, skip, other, PROVING).skipped == (other,)


def test_a_proof_that_came_to_its_end_keeps_its_steps_until_the_next() -> None:
    done = ledger(PROVING, CLEAR, LIGHT, FAILED)
    assert (done.proof, done.proof_end) == ((), FAILED)
    assert [entry.decision for entry in done.last_proof] == [CLEAR, LIGHT]
    again = ledger(PROVING, CLEAR, LIGHT, FAILED, PROVING)
    assert (again.proof, again.last_proof, again.proof_end) == ((), (), None)
    assert after(PROVING, FAILED, PROVING, PASSED).proofs == (FAILED, PASSED)


def test_work_since_the_last_proof() -> None:
    assert after(PLUG, REPLACED).since_proof() == (PLUG, REPLACED)
    assert after(PLUG, FAILED, REPLACED).since_proof() == (REPLACED,)
    assert after(REPLACED, FAILED, REPLACED).fixes == (REPLACED, REPLACED)


# --- what a reading asked once for the whole unit says of a fix at a place -----------------------------------------


def lamp(number: int, choice: str, *, check: str = "lamp") -> Observed:
    return Observed(number, check, None, check, {choice: 1.0}, choice, choice=choice)


CHECKS = Checks({"lamp": ("out",), "code": ("none",)}, frozenset({"left", "right"}))


@pytest.mark.parametrize(
    ("check", "before", "then", "verified"),
    [
        # a lamp names no place: out after it was on speaks for the fix, wherever that was done
        ("lamp", "on", "out", Verified.SEEN),
        # a code names its place: of the fix at another one its going says nothing
        ("code", "left", "none", Verified.SEEN),
        ("code", "right", "none", Verified.NOT),
        # good before it: nothing was to be mended
        ("lamp", "out", "out", Verified.NOT),
    ],
)
def test_a_whole_units_reading_after_a_fix_at_a_place(check: str, before: str, then: str, verified: Verified) -> None:
    found = ledger(lamp(1, before, check=check), REPLACE, REPLACED, lamp(2, then, check=check))
    (fix,) = results_of(found, CHECKS).corrections
    assert (fix.verified, fix.in_vain) == (verified, False)


@pytest.mark.parametrize(("then", "in_vain"), [("left", True), ("right", False)])
def test_a_code_that_stays_names_the_fix_that_was_in_vain(then: str, in_vain: bool) -> None:
    found = ledger(lamp(1, "left", check="code"), REPLACE, REPLACED, lamp(2, then, check="code"))
    (fix,) = results_of(found, CHECKS).corrections
    assert (fix.verified, fix.in_vain) == (Verified.NOT, in_vain)


def test_looking_at_the_facts_changes_nothing() -> None:
    looked_at, untouched = ledger(FACT), ledger(FACT)
    assert looked_at.known["brakes"] == "drum"
    assert looked_at == untouched


@pytest.mark.parametrize(
    ("grade", "likeliest", "shows"),
    [
        (Grade.GOOD, "open", Shows.GOOD),  # the verdict counts, not what it was weighed as
        (Grade.BAD_LOW, "good", Shows.BAD),
        (Grade.BAD_HIGH, "good", Shows.BAD),
        (Grade.TOO_CLOSE, "good", Shows.NOTHING),
        (Grade.TOO_CLOSE, "open", Shows.BAD),
        (None, "good", Shows.GOOD),
        (None, "open", Shows.BAD),
        (None, "fitted tight", Shows.GOOD),
    ],
)
def test_what_an_observation_says_of_the_unit(grade: Grade | None, likeliest: str, shows: Shows) -> None:
    """A reading by its verdict; one too close to call never clears anything; a look by what it shows."""
    rules = Checks({"sensor ohms": ("fitted tight",)})
    verdict = Verdict(grade, Decimal(10), 0.5, None, None, Decimal(1200)) if grade else None
    seen = replace(ohms(), weights={likeliest: 0.6, "another": 0.4}, verdict=verdict)
    assert rules.shows(seen) is shows
