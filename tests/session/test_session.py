"""Whole sessions on the invented bench: from the first caution to each of the ends."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from assistant.messages import (
    Began,
    Grade,
    Heard,
    Hypothesis,
    InputEnded,
    MicrophoneLost,
    Prompt,
    Reason,
    Resumed,
    Source,
    Talk,
    WentQuiet,
    Why,
)
from assistant.messages.decisions import (
    AccessOpened,
    CautionAcknowledged,
    CheckChosen,
    Ended,
    Ending,
    FactAnswered,
    FixChosen,
    FixDeclined,
    FixDone,
    ObservationWithdrawn,
    Observed,
    Phase,
    PhaseEntered,
    ProofFinished,
    ProofStepDone,
    PutBackDone,
    Remarked,
    Skipped,
)
from assistant.phrasing.verdicts import remark_of
from assistant.session.fold import apply, fold, results
from assistant.session.step import step
from tests.session.conversation import TO_FINDING, Conversation, context, keys

OHMS = (*TO_FINDING, "next", "yes", "0.05")
TO_FIX = (*OHMS, "over range", "yes", "yes", "next")
REPAIRED = (*TO_FIX, "next")


def prove(dialog: Conversation, light: str = "out") -> Conversation:
    """Answer what comes until the proof is through: all good, light as told."""
    answers = {"check:sensor ohms:left": "1150", "check:output:left": "0.6", "proof:light": light}
    for _ in range(20):
        if dialog.now.phase is Phase.CLOSING or dialog.finished:
            return dialog
        if dialog.prompt.startswith("confirm:proof"):
            dialog.hear("yes")
            return dialog
        dialog.hear(answers.get(dialog.prompt, "next"))
    raise AssertionError(f"stuck at {dialog.prompt}")


def of(dialog: Conversation, kind: type) -> list[object]:
    """Decisions of one kind, in order."""
    return [decision for decision in dialog.decisions if isinstance(decision, kind)]


def test_cured_and_proven() -> None:
    """Open sensor behind a drum: found, replaced, measured again, proven, put back."""
    dialog = prove(Conversation().begin().dialog(REPAIRED))
    assert dialog.prompt == "close:end"
    said = dialog.hear("yes")
    assert dialog.finished == "cured and proven"
    ended = of(dialog, Ended)[0]
    assert isinstance(ended, Ended)
    assert ended.ending is Ending.CURED_AND_PROVEN
    text = dialog.text(said)
    assert "Done." in text
    assert "Cause" not in text, "the one thing that was found was told then, and the one thing that was done"
    new = dialog.text([replace(say, talk=Talk.FIRST) for say in said])
    assert "Done: fixed and verified." in new
    assert "Cause: open sensor, left." in new
    assert "Correction: sensor replaced, left." in new
    assert "This test doesn't rule out a fault in the tractor." in text
    fixes = of(dialog, FixChosen)
    assert isinstance(fixes[0], FixChosen)
    assert (fixes[0].fix, fixes[0].place, fixes[0].condemned) == ("replace sensor", "left", True)
    again = [seen for seen in dialog.now.observations if seen.proof]
    assert {seen.check for seen in again} == {"sensor ohms", "output"}


def test_phases_come_in_order() -> None:
    dialog = prove(Conversation().begin().dialog(REPAIRED)).dialog(["yes"])
    phases = [decision.phase for decision in dialog.decisions if isinstance(decision, PhaseEntered)]
    assert phases == [
        Phase.CAUTIONS,
        Phase.FACTS,
        Phase.FINDING,
        Phase.REPAIRING,
        Phase.PROVING,
        Phase.CLOSING,
    ]


def test_prompts_have_stable_names() -> None:
    """Demo scenes name prompts by these identities."""
    dialog = Conversation().begin()
    seen = [dialog.prompt]
    for line in TO_FIX:
        dialog.hear(line)
        seen.append(dialog.prompt)
    assert seen == [
        "ready",
        "caution:chocks",
        "fact:brakes",
        "fact:shields",
        "fact:coil temperature",
        "access:plug:left",
        "caution:clear",
        "check:output:left",
        "check:sensor ohms:left",
        "confirm:check:sensor ohms:left",
        "caution:dust",
        "access:drum:left",
        "fix:replace sensor:left",
    ]


def test_a_reading_is_read_back_judged_and_logged_with_its_conditions() -> None:
    dialog = Conversation().begin().dialog(OHMS)
    said = dialog.hear("eleven eighty")
    assert keys(said)[:2] == ["corrected", "verdict_limits"]
    assert "I have 1,180 ohms, 1,170 corrected. Good, 700 to 3,000 ohms." in dialog.text(said)
    seen = dialog.now.observations[-1]
    assert seen.value == Decimal(1180)
    assert seen.heard == "eleven eighty"
    assert seen.verdict is not None
    assert seen.verdict.grade is Grade.GOOD
    assert seen.weights == {"good": 1.0}
    assert seen.limit_source == "handbook"
    assert seen.conditions == {"key": "off", "plugged": "no", "air temperature": "72 degrees Fahrenheit"}


def test_copper_without_its_temperature_says_so() -> None:
    lines = [*TO_FINDING[:-1], "not sure", *OHMS[len(TO_FINDING) :], "1180"]
    dialog = Conversation().begin().dialog(lines)
    seen = dialog.now.observations[-1]
    assert seen.verdict is not None
    assert "Not corrected for coil temperature" in remark_of(seen.verdict)
    assert seen.verdict.corrected == Decimal(1180)


def test_a_condemning_reading_needs_a_yes_and_it_is_in_the_record() -> None:
    dialog = Conversation().begin().dialog(OHMS)
    dialog.hear("over range")
    assert dialog.prompt == "confirm:check:sensor ohms:left"
    assert len(dialog.now.observations) == 1
    dialog.hear("yes")
    assert dialog.now.observations[-1].display == "over_range"
    assert any(isinstance(one, Remarked) and one.what.why is Why.CONFIRMED for one in dialog.records[-1].decisions)
    fact = dialog.records[-1].fact
    assert isinstance(fact, Heard)
    assert fact.hypotheses[0].words == "over range"


def test_a_new_value_said_straight_away_replaces_the_one_in_doubt() -> None:
    dialog = Conversation().begin().dialog(OHMS)
    dialog.dialog(["over range", "1180"])
    assert [seen.value for seen in dialog.now.observations] == [Decimal("0.05"), Decimal(1180)]


def test_no_drops_what_was_in_doubt() -> None:
    dialog = Conversation().begin().dialog([*OHMS, "over range", "no"])
    assert dialog.prompt == "check:sensor ohms:left"
    assert len(dialog.now.observations) == 1


def test_two_meanings_are_named_and_the_answer_picks_one() -> None:
    dialog = Conversation().begin().dialog(OHMS)
    said = dialog.hear("ten five")
    assert dialog.prompt == "choose:check:sensor ohms:left"
    assert "105" in dialog.text(said) or "one zero five" in dialog.text(said)
    dialog.hear("1180")
    assert dialog.now.observations[-1].value == Decimal(1180)


def test_yes_alone_is_never_a_reading() -> None:
    dialog = Conversation().begin().dialog(OHMS)
    assert keys(dialog.hear("yes"))[0] == "not_asked"
    assert len(dialog.now.observations) == 1


def test_an_unsteady_reading_is_a_finding() -> None:
    dialog = Conversation().begin().dialog([*OHMS, "jumping between 900 and 2000"])
    if dialog.prompt.startswith("confirm:"):
        dialog.hear("yes")
    seen = dialog.now.observations[-1]
    assert (seen.display, seen.low_end, seen.high_end) == ("unsteady", Decimal(900), Decimal(2000))
    assert seen.weights == {"unsteady": 1.0}


def test_a_range_is_never_one_number() -> None:
    dialog = Conversation().begin().dialog([*OHMS, "between nine hundred and two thousand"])
    assert len(dialog.now.observations) == 1
    assert dialog.prompt == "confirm:check:sensor ohms:left"
    dialog.hear("yes")
    assert dialog.now.observations[-1].display == "unsteady"


def test_nothing_on_the_display_is_no_observation() -> None:
    dialog = Conversation().begin().dialog(OHMS)
    assert keys(dialog.hear("nothing on the display"))[0] == "blank"
    assert keys(dialog.hear("blank"))[0] == "blank_again"
    assert len(dialog.now.observations) == 1


def test_the_first_negative_reading_hints_at_swapped_leads() -> None:
    dialog = Conversation().begin().dialog([*TO_FINDING, "skip", "cannot reach it"])
    assert dialog.prompt == "check:ground drop"
    said = dialog.hear("minus zero point six")
    assert keys(said) == ["negative"]
    assert not dialog.text(said).startswith("-")
    assert not dialog.now.observations


def test_too_close_to_call_asks_once_more_and_then_counts_by_probability() -> None:
    """The first reading is recorded and stands until the second one, which counts by its probability, replaces it."""
    from assistant.verdict.uncertainty import Meter

    meter = Meter.from_table(
        {
            "name": "bench",
            "range": [{"unit": "ohm", "top": 20000, "resolution": 10, "accuracy": "1%+5"}],
        }
    )
    dialog = Conversation(context(meter=meter)).begin().dialog([*OHMS])
    said = dialog.hear("720")
    if dialog.prompt.startswith("confirm:"):
        said = dialog.hear("yes")
    assert "too_close" in keys(said)
    first = dialog.now.observations[-1]
    assert first.value == Decimal(720)
    assert dialog.prompt == "check:sensor ohms:left"
    dialog.hear("725")
    if dialog.prompt.startswith("confirm:"):
        dialog.hear("yes")
    assert ObservationWithdrawn(first.number, Reason(Why.READ_ONCE_MORE)) in dialog.decisions
    assert len(dialog.now.observations) == 2
    seen = dialog.now.observations[-1]
    assert seen.value == Decimal(725)
    assert set(seen.weights) == {"good", "low"}
    assert sum(seen.weights.values()) == pytest.approx(1)


def test_about_near_a_limit_asks_for_the_exact_figure() -> None:
    dialog = Conversation().begin().dialog(OHMS)
    assert "exact" in keys(dialog.hear("about 710"))
    assert len(dialog.now.observations) == 1
    dialog.hear("712")
    assert dialog.now.observations[-1].value == Decimal(712)


def test_leads_and_conditions_are_said_only_when_they_change() -> None:
    dialog = Conversation().begin().dialog([*TO_FINDING, "next"])
    first = dialog.text(dialog.hear("yes"))
    assert "Volts AC; V jack;" in first
    assert "Key off. Leave it unplugged." in first
    second = dialog.text(dialog.hear("0.05"))
    assert "Ohms." in second
    assert "red on" not in second
    assert "Key off" not in second
    assert "red on" in dialog.text(dialog.hear("say again"))


def test_a_caution_stands_before_every_opening() -> None:
    """Moving to the next wheel says it again; it cannot be skipped."""
    dialog = Conversation().begin().dialog([*OHMS, "over range", "yes"])
    assert dialog.prompt == "caution:dust"
    assert keys(dialog.hear("skip"))[0] == "caution_first"
    assert keys(dialog.hear("no"))[0] == "caution_first"
    assert dialog.prompt == "caution:dust"
    order = [type(one) for one in dialog.dialog(["yes", "next"]).decisions]
    assert order.index(AccessOpened) < len(order)
    assert of(dialog, CautionAcknowledged)[-1] == CautionAcknowledged("dust", "left", Prompt.read("access:drum:left"))
    assert dialog.prompt == "fix:replace sensor:left"


def test_a_fact_is_asked_only_when_its_condition_holds() -> None:
    dialog = Conversation().begin().dialog(["ready", "yes", "disc"])
    assert dialog.prompt == "fact:coil temperature"


def test_the_unit_number_is_asked_when_it_is_not_given() -> None:
    dialog = Conversation(context(unit_number="")).begin().dialog(["ready", "yes"])
    assert dialog.prompt == "fact:unit number"
    dialog.hear("zero four one nine")
    assert dialog.now.facts["unit number"] == "0419"


def test_a_needed_fact_cannot_be_skipped_and_another_becomes_not_sure() -> None:
    dialog = Conversation().begin().dialog(["ready", "yes", "drum"])
    assert keys(dialog.hear("skip"))[0] == "needed"
    dialog.dialog(["yes", "skip", "no thermometer here"])
    assert dialog.now.facts["coil temperature"] == "not sure"
    assert Skipped(Prompt.read("fact:coil temperature"), "no thermometer here") in dialog.decisions


def test_a_declined_fix_leads_another_way() -> None:
    dialog = Conversation().begin().dialog([*TO_FIX, "no", "no sensor in stock"])
    assert FixDeclined("replace sensor", "left", "no sensor in stock") in dialog.decisions
    assert dialog.prompt != "fix:replace sensor:left"


def test_a_skipped_opening_closes_everything_behind_it() -> None:
    dialog = Conversation().begin().dialog([*TO_FINDING, "skip", "the plug is stuck"])
    chosen = of(dialog, CheckChosen)[-1]
    assert isinstance(chosen, CheckChosen)
    assert chosen.place != "left"


def test_still_bad_after_the_fix_looks_again_without_a_proof() -> None:
    dialog = Conversation().begin().dialog([*REPAIRED])
    assert dialog.prompt == "check:sensor ohms:left"
    dialog.dialog(["over range", "yes"])
    assert not of(dialog, ProofStepDone)
    assert dialog.now.phase in (Phase.FINDING, Phase.REPAIRING)
    assert dialog.now.observations[-1].proof


def test_a_failed_proof_needs_a_yes_and_opens_the_finding_again() -> None:
    dialog = Conversation().begin().dialog(REPAIRED)
    prove(dialog, light="on")
    finished = of(dialog, ProofFinished)
    assert finished == [
        ProofFinished(passed=False, because=Reason(Why.STEP_FAILED, {"step": "light", "answer": "on"}))
    ]
    assert dialog.now.phase in (Phase.FINDING, Phase.REPAIRING)
    assert dialog.prompt.split(":")[0] in ("access", "check", "caution", "fix")


def test_what_fails_the_proof_is_asked_about_as_that_also_where_the_sound_left_it_open() -> None:
    dialog = Conversation().begin().dialog(REPAIRED)
    for _ in range(20):
        if dialog.prompt == "proof:light":
            break
        dialog.hear({"check:sensor ohms:left": "1150", "check:output:left": "0.6"}.get(dialog.prompt, "next"))
    heard = Heard(99.0, (Hypothesis("on", 0.0), Hypothesis("out", -0.2)), Source.RECORDING, 4.0)
    said = dialog.feed(heard)
    assert [one.key for one in said][-1] == "fails"
    dialog.hear("yes")
    assert of(dialog, ProofFinished)


def test_two_faults_one_after_the_other() -> None:
    """Codes come one after another: the second wheel is found after the first one's proof failed."""
    dialog = prove(Conversation().begin().dialog(REPAIRED), light="on")
    answers = {
        "check:output:right": "0.05",
        "check:sensor ohms:right": "1180",
        "check:output:left": "0.6",
        "check:sensor ohms:left": "1150",
        "check:ground drop": "0.02",
        "check:code": "right",
        "proof:light": "out",
    }
    fixed = False
    for _ in range(60):
        if dialog.finished:
            break
        if dialog.prompt == "fix:push home:right":
            fixed = True
            answers["check:output:right"] = "0.5"
        dialog.hear(
            "yes" if dialog.prompt.startswith(("confirm:", "caution:")) else answers.get(dialog.prompt, "next")
        )
    assert fixed
    assert dialog.finished == "cured and proven"
    assert [done.fix for done in of(dialog, FixDone) if isinstance(done, FixDone)] == ["replace sensor", "push home"]


def test_a_skipped_proof_step_ends_cured_not_proven() -> None:
    dialog = Conversation().begin().dialog(REPAIRED).dialog(["1150", "0.6", "yes"])
    for _ in range(5):
        if dialog.prompt == "proof:roll":
            break
        dialog.hear("next")
    dialog.dialog(["skip", "no room to roll", "out"])
    assert dialog.prompt == "close:end"
    said = dialog.hear("yes")
    assert dialog.finished == "cured, not proven"
    assert "no room to roll" in dialog.text(said)


def test_nothing_left_ends_not_found() -> None:
    dialog = Conversation().begin().dialog(TO_FINDING)
    for _ in range(60):
        if dialog.finished:
            break
        line = "yes" if dialog.prompt.startswith(("close:", "caution:")) else "skip"
        dialog.hear("no time" if dialog.prompt.startswith("skip:") else line)
    assert dialog.finished == "not found"


def test_the_put_back_list_goes_item_by_item_on_no() -> None:
    dialog = Conversation().begin().dialog(REPAIRED).dialog(["1150", "0.6"])
    assert dialog.prompt == "close:put back"
    text = dialog.text(dialog.said[-3:])
    assert "plug clipped in, left" in text
    assert "chocks away" in text
    items = ("retainer on the left sensor", "drum and wheels on, left", "plug clipped in, left", "chocks away")
    assert items[0] in dialog.text(dialog.hear("no"))
    for item in items[1:]:
        assert item in dialog.text(dialog.hear("yes"))
    dialog.hear("yes")
    assert dialog.prompt == "proof:clear"
    assert [len(one.items) for one in of(dialog, PutBackDone) if isinstance(one, PutBackDone)] == [4]


def test_quiet_while_driving() -> None:
    """No question, no reminder."""
    dialog = Conversation().begin().dialog(REPAIRED).dialog(["1150", "0.6", "yes"])
    for _ in range(5):
        if dialog.prompt == "proof:roll":
            break
        dialog.hear("next")
    assert dialog.prompt == "proof:roll"
    assert dialog.waits is None
    assert not dialog.feed(WentQuiet(9))


def test_one_reminder_then_quiet() -> None:
    dialog = Conversation().begin().dialog(OHMS)
    assert dialog.waits
    assert keys(dialog.feed(WentQuiet(50)))[0] == "reminder"
    assert dialog.waits is None


def test_the_microphone_lost_keeps_the_step() -> None:
    dialog = Conversation().begin().dialog(OHMS)
    said = dialog.feed(MicrophoneLost(9, "The headset went away."))
    assert "The headset went away." in dialog.text(said)
    assert dialog.prompt == "check:sensor ohms:left"


def test_the_input_ends_and_the_session_can_be_resumed() -> None:
    dialog = Conversation().begin().dialog([*OHMS, "1180"])
    prompt = dialog.prompt
    dialog.feed(InputEnded(9))
    assert dialog.finished == "left"
    assert not of(dialog, Ended)
    later = Conversation(dialog.context, dialog.folded())
    said = later.feed(Resumed(100))
    assert later.prompt == prompt
    assert {"welcome_back", "last_was", "if_changed"} <= set(keys(said))
    assert later.now.observations == dialog.now.observations
    later.hear("scratch that")
    assert later.prompt == "check:sensor ohms:left"


def test_resuming_a_finished_session_says_so() -> None:
    dialog = prove(Conversation().begin().dialog(REPAIRED)).dialog(["yes"])
    later = Conversation(dialog.context, dialog.folded())
    later.feed(Resumed(100))
    assert later.finished == "cured and proven"


@pytest.mark.parametrize("number", range(len(REPAIRED) + 2))
def test_kill_and_resume_at_every_record(number: int) -> None:
    """Folding what is on disk asks what was asked."""
    dialog = Conversation().begin().dialog(REPAIRED).dialog(["1150", "yes", "0.6"])
    written = dialog.records[: number + 1]
    decisions = [decision for record in written for decision in record.decisions]
    later = Conversation(dialog.context, fold(dialog.context, decisions))
    later.feed(Resumed(5))
    again = Conversation(dialog.context, fold(dialog.context, decisions))
    again.feed(Resumed(5))
    assert later.prompt == again.prompt
    assert later.now.settled() == fold(dialog.context, decisions)


def test_a_failed_record_is_said_and_nothing_is_claimed() -> None:
    """At every record: the state waits, the reason is spoken, and the next words try again."""
    lines = [*REPAIRED, "1150", "yes", "0.6"]
    smooth = Conversation().begin().dialog(lines)
    rough = Conversation(fail=1)
    said = rough.feed(Began(0.0))
    assert keys(said) == ["record_failed"]
    rough.feed(WentQuiet(20))
    for line in lines:
        rough.fail = 2
        before, count = rough.now.settled(), len(rough.records)
        said = rough.hear(line)
        if "record_failed" in keys(said):
            assert "The disk is full." in rough.text(said)
            assert "ogged." not in rough.text(said).replace("not logged.", "")
            assert rough.now.settled() == before
            assert rough.waits is not None
            assert keys(rough.feed(WentQuiet(rough.clock))) == ["record_failed"]
            rough.hear("hello")
            assert len(rough.records) == count + 1
        rough.fail = 0
    assert rough.decisions == smooth.decisions
    assert rough.now == smooth.now


def test_not_understood_is_kept_as_words_alone_and_the_second_miss_says_why() -> None:
    dialog = Conversation().begin().dialog(OHMS)
    count = len(dialog.records)
    dialog.hear("the cat sat on the mat")
    assert keys(dialog.hear("the cat sat on the mat"))[0] == "missed_number_typed"
    dialog.hear("the cat sat on the mat", snr=3.0)
    assert keys(dialog.hear("the cat sat on the mat", snr=3.0))[0] == "noisy"
    assert len(dialog.records) == count + 4
    kept = [one for record in dialog.records[count:] for one in record.decisions]
    assert kept == [Remarked(Reason(Why.NOT_UNDERSTOOD, {"words": "the cat sat on the mat"}))] * 4


def test_only_the_words_that_were_used_are_recorded() -> None:
    dialog = Conversation().begin().dialog(OHMS)
    heard = Heard(9, (Hypothesis("eleven eighty", 0.0), Hypothesis("the boss is a fool", -30.0)))
    dialog.feed(heard)
    fact = dialog.records[-1].fact
    assert fact == replace(heard, hypotheses=(Hypothesis("eleven eighty", 0.0),))


def test_same_inputs_same_outputs() -> None:
    dialog = Conversation().begin().dialog(OHMS)
    fact = Heard(9, (Hypothesis("1180"),))
    assert step(dialog.context, dialog.now, fact) == step(dialog.context, dialog.now, fact)


def test_folding_what_is_written_gives_the_live_state_at_every_record() -> None:
    dialog = Conversation().begin()
    assert dialog.folded() == dialog.now.settled()
    for line in [*REPAIRED, "1150", "yes", "0.6", "note it rains", "hold on", "resume", "scratch that", "0.7"]:
        dialog.hear(line)
        assert dialog.folded() == dialog.now.settled()
    assert FactAnswered("brakes", "drum", "drum") in dialog.decisions
    assert any(isinstance(one, Observed) for one in dialog.decisions)


def test_a_failed_record_when_the_session_ends_is_tried_again() -> None:
    dialog = prove(Conversation().begin().dialog(REPAIRED))
    dialog.fail = 1
    assert keys(dialog.hear("yes")) == ["record_failed"]
    assert not dialog.finished
    dialog.hear("hello")
    assert dialog.finished == "cured and proven"


def test_a_fact_changed_after_the_proof_does_not_open_the_finding_again() -> None:
    dialog = prove(Conversation().begin().dialog(REPAIRED))
    for _ in range(len(dialog.now.answer_history)):
        if dialog.prompt.startswith("fact:"):
            break
        dialog.hear("go back")
    dialog.hear("75" if "temperature" in dialog.prompt else "yes")
    assert dialog.prompt == "close:end"
    dialog.hear("yes")
    assert dialog.finished == "cured and proven"


def test_going_back_comes_to_the_first_question_and_stops_there() -> None:
    """A prompt that was answered twice, before and after a fix, is no way round in circles."""
    dialog = prove(Conversation().begin().dialog(REPAIRED))
    seen = []
    while "nothing_before" not in keys(dialog.hear("go back")):
        seen.append(dialog.prompt)
        assert len(seen) == len(set(seen))
    assert dialog.prompt == "fact:brakes"


def test_a_reading_changed_after_the_proof_changes_the_record_only() -> None:
    dialog = prove(Conversation().begin().dialog(REPAIRED))
    count = len(dialog.now.observations)
    dialog.hear("scratch that")
    assert dialog.prompt == "close:end"
    assert len(dialog.now.observations) == count - 1


def test_a_fix_that_did_not_help_is_no_cause() -> None:
    """It stays a correction; the cause is what was cured."""
    dialog = Conversation().begin().dialog(REPAIRED).dialog(["over range", "yes"])
    assert results(dialog.context, dialog.now).causes == ()
    assert len(dialog.now.fixes) == 1


def test_not_found_says_what_is_still_suspected() -> None:
    dialog = Conversation().begin().dialog(TO_FINDING)
    for _ in range(60):
        if dialog.finished:
            break
        dialog.hear("no time" if dialog.prompt.startswith("skip:") else "yes" if ":put" in dialog.prompt else "skip")
    text = dialog.text(dialog.said[-8:])
    assert "Still suspected:" in text


def test_resuming_ends_a_hold() -> None:
    dialog = Conversation().begin().dialog([*OHMS, "hold on"])
    later = Conversation(dialog.context, dialog.folded())
    later.feed(Resumed(100))
    assert later.prompt == "check:sensor ohms:left"
    assert not later.now.held


def test_silence_is_no_miss() -> None:
    dialog = Conversation().begin().dialog(OHMS)
    for _ in range(3):
        assert not dialog.feed(Heard(9, (Hypothesis(""),)))
    assert not dialog.feed(Heard(9, ()))


def test_a_negative_reading_never_passes_by_its_sign() -> None:
    """-0.6 V of drop lies below 0.1 V, yet with swapped leads it is 0.6 V: asked again, then its size counts."""
    dialog = Conversation().begin().dialog([*TO_FINDING, "skip", "cannot reach it"])
    said = dialog.dialog(["minus zero point six"]).hear("yes")
    assert "swap_leads" in keys(said)
    assert [seen.weights for seen in dialog.now.observations] == [{"high": 1.0}]
    dialog.hear("minus zero point six")
    if dialog.prompt.startswith("confirm:"):
        dialog.hear("yes")
    assert dialog.now.observations[-1].value == Decimal("-0.6")
    assert dialog.now.observations[-1].weights == {"high": 1.0}
    verdict = dialog.now.observations[-1].verdict
    assert verdict is not None
    assert verdict.grade is Grade.BAD_HIGH


def test_history_weighs_suspects() -> None:
    """A fault that this unit had before is suspected more."""
    from assistant.diagnosis.fault_model import Suspect
    from assistant.session.agenda.next_action import shares

    plain = Conversation().begin().dialog(TO_FINDING)
    known = Conversation(context(weights={("bad ground", None): 10.0})).begin().dialog(TO_FINDING)
    suspect = Suspect("bad ground")
    assert shares(known.context, known.now)[suspect] > 2 * shares(plain.context, plain.now)[suspect]


def test_lead_resistance_is_taken_off_small_ohms() -> None:
    from assistant.messages import Outcome, Understanding
    from assistant.procedure.model import Check
    from assistant.session.observing.observations import verdict_of

    dialog = Conversation().begin()
    check = Check.model_validate(
        {
            "name": "small",
            "title": "small",
            "ask": "Ohms?",
            "unit": "ohm",
            "minutes": 1,
            "limits": {"high": "0.5", "small_ohms": True},
            "finds": {},
        }
    )
    checks = (*dialog.context.procedure.checks, check)
    context = replace(dialog.context, procedure=dialog.context.procedure.model_copy(update={"checks": checks}))
    state = apply(context, dialog.now, FactAnswered("lead ohms", "0.3", "0.3"))
    meant = Understanding(Outcome.READING, "0.7", value=Decimal("0.7"), unit="ohm")
    assert verdict_of(context, state, check, None, meant).corrected == Decimal("0.4")
    assert verdict_of(context, dialog.now, check, None, meant).grade is Grade.BAD_HIGH


def test_a_long_put_back_list_comes_in_parts_each_with_its_own_yes() -> None:
    """Twelve seconds are heard in one breath; the record holds the whole list once all of it is done."""
    more = [f"bracket number {number} on the frame, bolts tight and marked with paint" for number in range(5)]
    long = replace(context(), procedure=context().procedure.model_copy(update={"put_back": tuple(more)}))
    dialog = Conversation(long).begin().dialog(REPAIRED).dialog(["1150", "0.6"])
    heard: list[str] = []
    parts = 0
    while dialog.prompt == "close:put back":
        last = [say for say in dialog.said[-3:] if say.key.startswith("put_back")]
        assert last[-1].key in ("put_back_part", "put_back_done", "put_back")
        heard.append(dialog.text(last))
        parts += 1
        dialog.hear("done")
    assert parts > 2
    assert all(item in " ".join(heard) for item in more)
    done = [one for one in of(dialog, PutBackDone) if isinstance(one, PutBackDone)]
    assert [len(one.items) for one in done] == [3 + len(more)]


def test_no_in_the_second_part_goes_on_item_by_item_from_there() -> None:
    more = [f"bracket number {number} on the frame, bolts tight and marked with paint" for number in range(5)]
    long = replace(context(), procedure=context().procedure.model_copy(update={"put_back": tuple(more)}))
    dialog = Conversation(long).begin().dialog(REPAIRED).dialog(["1150", "0.6", "yes", "no"])
    assert dialog.said[-1].key == "put_back_item"
    text = dialog.text(dialog.said[-1:])
    assert more[0] in text or more[1] in text, "what the first part held is not asked again"
