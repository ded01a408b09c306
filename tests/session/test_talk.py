"""What a technician hears: nothing twice, nothing that the question says itself, the least handling first."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from assistant.diagnosis.fault_model import Suspect, Task
from assistant.messages import Outcome, Reason, Resumed, Say, Understanding, WentQuiet, Why, check_prompt
from assistant.messages.decisions import CautionAcknowledged, CheckChosen, FixDone, Observed, ProofFinished
from assistant.phrasing.phrase import phrase
from assistant.phrasing.verdicts import remark_of
from assistant.procedure.model import Check, Procedure
from assistant.session.agenda.next_action import shares, to_measure_again
from assistant.session.agenda.prompts import asked_now
from assistant.session.context import Context
from assistant.session.fold import apply
from assistant.session.observing.conditions import ask_check, is_ac, resolution_at
from assistant.session.observing.observations import observed, read_back
from assistant.session.saying.questions import expectation
from assistant.verdict.uncertainty import Meter
from tests.session.conversation import PROCEDURE, TO_FINDING, Conversation, context, keys, vocabulary

OHMS = (*TO_FINDING, "next", "yes", "0.05")
LEFT_FIXED = (*OHMS, "over range", "yes", "yes", "next", "next")
METER = Meter.from_table(
    {
        "name": "bench",
        "range": [
            {"unit": "ohm", "top": 1999, "resolution": 1, "accuracy": "1%+5"},
            {"unit": "ohm", "top": 19990, "resolution": 10, "accuracy": "1%+5"},
            {"unit": "V", "top": 19, "resolution": Decimal("0.01"), "accuracy": "1%+1"},
            {"unit": "V", "ac": True, "top": Decimal("1.999"), "resolution": Decimal("0.001"), "accuracy": "2%+10"},
        ],
    }
)


def own(**changes: object) -> Context:
    """A setting with a bench of its own."""
    return replace(context(), procedure=Procedure.model_validate({**PROCEDURE, **changes}))


def at_the_other_wheel() -> Conversation:
    """The output was read at the left wheel; now it is to be read at the right one, whose plug was just opened."""
    dialog = Conversation().begin().dialog(OHMS)
    chosen = CheckChosen("output", "right", 4.0, Reason(Why.ASKED_FOR))
    dialog.decisions.append(chosen)
    dialog.state = apply(dialog.context, dialog.now, chosen)
    return dialog.dialog(["say again", "next"])


def with_check(**changes: object) -> Check:
    """A check of the bench with changes."""
    return Check.model_validate({**PROCEDURE["checks"][2], **changes})


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("left rear plug off at the module.", "Left rear plug off at the module."),
        ("Key off. left rear plug off.", "Key off. Left rear plug off."),
        ("Is it on? right front next.", "Is it on? Right front next."),
        ("About 12.5 V at 10 A.", "About 12.5 V at 10 A."),
    ],
)
def test_a_sentence_begins_with_a_capital_letter(text: str, shown: str) -> None:
    assert phrase(Say("ask", {"text": text}), vocabulary()).shown == shown


def test_a_caution_known_from_another_place_comes_in_a_few_words_and_is_recorded_for_that_place() -> None:
    """The first time in full, one by one, and 'noted' once; then all at once, never left out."""
    dialog = at_the_other_wheel()
    assert dialog.prompt == "caution:as before:right"
    assert keys(dialog.said).count("caution") == 2
    assert "Right, same cautions: clear." in dialog.text(dialog.said[-1:])
    assert "Keep hands clear of the wheel." in dialog.text(dialog.hear("say again"))
    assert "common practice" in dialog.text(dialog.hear("why"))
    assert keys(dialog.hear("skip"))[0] == "caution_first"
    assert keys(dialog.hear("yes"))[0] == "acknowledged"
    given = [one for one in dialog.decisions if isinstance(one, CautionAcknowledged)]
    assert given[-1] == CautionAcknowledged("clear", "right", check_prompt("output", "right"))
    assert given[-2] == CautionAcknowledged("clear", "left", check_prompt("output", "left"))


def test_cautions_that_come_together_are_each_said_and_take_one_yes() -> None:
    listeners = {"name": "listeners", "say": "Cover your ears.", "source": "from memory", "first": True}
    dialog = Conversation(own(cautions=[*PROCEDURE["cautions"], listeners])).begin()
    said = dialog.hear("ready")
    assert dialog.text(said) == "Caution. Chock the other axle. Cover your ears. Yes to both?"
    assert "Chock the other axle. Cover your ears." in dialog.text(dialog.hear("say again"))
    assert keys(dialog.hear("skip"))[0] == "caution_first"
    dialog.hear("yes")
    given = [one.caution for one in dialog.decisions if isinstance(one, CautionAcknowledged)]
    assert given == ["chocks", "listeners"]
    assert dialog.prompt == "fact:brakes"


def test_a_caution_that_says_what_to_say_has_no_tail() -> None:
    said = "Pull the chocks. Say yes when parked."
    chocks = {"name": "chocks", "say": said, "source": "from memory", "first": True}
    dialog = Conversation(own(cautions=[chocks, *PROCEDURE["cautions"][1:]])).begin().dialog(["ready"])
    assert dialog.text(dialog.said[-1:]) == f"Caution. {said}"
    assert keys(dialog.hear("yes"))[0] == "acknowledged"


def test_conditions_are_said_again_after_something_was_opened() -> None:
    """An opening may change the key or a plug: nothing is taken as known."""
    assert "Key off. Leave it unplugged." in at_the_other_wheel().text(at_the_other_wheel().hear("yes"))


def test_measured_again_with_the_least_handling_codes_last() -> None:
    """Readings before what names a place; what the work moves by itself is not read, and the codes are left to the
    proof when the procedure says so."""
    dialog = Conversation().begin().dialog(OHMS)
    code = Observed(dialog.now.count + 1, "code", None, "stored code", {"left": 1.0}, "left", choice="left")
    state = apply(dialog.context, dialog.now, code)
    dialog.state = apply(dialog.context, state, FixDone("replace sensor", "left", "sensor replaced", "sensor"))
    assert to_measure_again(dialog.context, dialog.now) == (Task("output", "left"), Task("code", None))
    fixes = [{**fix, "also_changes": ["output"]} for fix in PROCEDURE["fixes"]]
    assert to_measure_again(own(fixes=fixes), dialog.now) == (Task("code", None),)
    checks = [*PROCEDURE["checks"][:3], {**PROCEDURE["checks"][3], "at_proof": {"brakes": "drum"}}]
    assert to_measure_again(own(checks=checks), dialog.now) == (Task("output", "left"),)


def test_after_a_fix_it_says_why_it_measures_again() -> None:
    dialog = Conversation().begin().dialog(LEFT_FIXED)
    assert "Check it again." in dialog.text(dialog.said[-5:])


def test_the_missing_temperature_is_said_once_and_again_near_a_limit() -> None:
    cold = [*TO_FINDING[:-1], "not sure", *OHMS[len(TO_FINDING) :]]
    dialog = Conversation().begin().dialog(cold)
    assert "Not corrected" in dialog.text(dialog.hear("1180"))
    assert "Not corrected" not in dialog.text(dialog.hear("correction 1190"))
    verdict = dialog.now.observations[-1].verdict
    assert verdict is not None
    assert "Not corrected" in remark_of(verdict)
    assert "Not corrected" in dialog.text(dialog.hear("correction 860"))


def test_the_meters_finest_digit_shapes_the_answer() -> None:
    """A bad part reads in another range than a good one, so the finest range counts."""
    given = context(meter=METER)
    ohms, output = Check.model_validate(PROCEDURE["checks"][1]), with_check(leads={"dial": "AC volts"})
    assert resolution_at(given, ohms) == 1
    assert is_ac(output)
    assert resolution_at(given, output) == Decimal("0.001")
    assert resolution_at(given, with_check(leads={"dial": "DC volts"}, limits={"low": "9.5"})) == Decimal("0.01")
    assert resolution_at(context(), ohms) is None
    dialog = Conversation(given).begin().dialog(OHMS)
    assert expectation(dialog.context, dialog.now).resolution == 1


def test_a_first_reading_too_close_to_call_outlives_a_kill() -> None:
    """It is on disk; after taking up again the second one replaces it."""
    dialog = Conversation(context(meter=METER)).begin().dialog([*OHMS, "703"])
    first = dialog.now.observations[-1]
    assert first.value == Decimal(703)
    later = Conversation(dialog.context, dialog.folded(), decisions=dialog.decisions)
    later.feed(Resumed(9))
    assert later.prompt == "check:sensor ohms:left"
    later.hear("704")
    if later.prompt.startswith("confirm:"):
        later.hear("yes")
    assert [seen.value for seen in later.now.observations] == [Decimal("0.05"), Decimal(704)]


def test_where_are_we() -> None:
    dialog = Conversation().begin().dialog(OHMS)
    text = dialog.text(dialog.hear("where are we"))
    assert "We were looking for the fault." not in text
    assert "One reading so far." in text
    assert "Still suspected:" in text
    assert dialog.prompt == "check:sensor ohms:left"


def test_why_names_minutes_and_what_to_open() -> None:
    dialog = Conversation().begin().dialog(TO_FINDING)
    text = dialog.text(dialog.hear("why"))
    assert "minute" in text
    assert "plug" in text


def test_stop_twice_leaves_a_session_that_cannot_be_written() -> None:
    dialog = Conversation().begin().dialog(OHMS)
    before = dialog.now.settled()
    dialog.fail = 99
    assert keys(dialog.hear("1180")) == ["record_failed"]
    assert keys(dialog.hear("stop")) == ["leave_unwritten"]
    assert keys(dialog.feed(WentQuiet(20))) == ["record_failed"]
    assert keys(dialog.hear("stop")) == ["leave_unwritten"]
    assert not dialog.finished
    dialog.hear("stop")
    assert dialog.finished == "left"
    assert dialog.now.settled() == before


def test_a_proof_asks_its_cautions_each_time() -> None:
    steps = [dict(step) for step in PROCEDURE["proof"]["steps"]]
    steps[1]["cautions"] = ["clear"]
    dialog = Conversation(own(proof={**PROCEDURE["proof"], "steps": steps})).begin()
    dialog.dialog([*LEFT_FIXED, "1150", "0.6", "yes", "next"])
    assert dialog.prompt == "caution:as before"


def test_nothing_rolls_before_it_is_put_back() -> None:
    dialog = Conversation().begin().dialog([*LEFT_FIXED, "1150", "0.6"])
    assert dialog.prompt == "close:put back"
    assert keys(dialog.hear("skip"))[0] == "put_back_needed"
    assert dialog.prompt == "close:put back"


def test_a_code_read_after_a_wheel_was_spun_with_the_key_on_counts_for_less() -> None:
    """A wheel spun with the power on can set a code of its own: it is marked, spoken and weighed as half a code."""
    spun = {**PROCEDURE["checks"][2], "conditions": {"key": "on", "pace": "half a turn a second"}}
    codes = {**PROCEDURE["checks"][3], "reads_codes": True}
    dialog = Conversation(own(checks=[*PROCEDURE["checks"][:2], spun, codes])).begin().dialog(TO_FINDING)
    check = dialog.context.check("code")
    left = Understanding(Outcome.CHOICE, "left", choice="left")
    assert observed(dialog.context, dialog.now, check, None, left, None).weights == {"left": 1.0}, (
        "nothing was spun yet"
    )
    turned = Observed(1, "output", "left", "output while turned by hand", {"good": 1.0}, "0.6")
    after = apply(dialog.context, dialog.now, turned)
    seen = observed(dialog.context, after, check, None, left, None)
    assert seen.weights == {"left": 0.5, "none": 0.5}
    assert (seen.conditions or {})["perhaps self-made by"] == "output while turned by hand, left"
    assert "self-made, by this: output while turned by hand, left" in dialog.text(read_back((turned,), seen))
    none = Understanding(Outcome.CHOICE, "none", choice="none")
    assert observed(dialog.context, after, check, None, none, None).weights == {"none": 1.0}
    proven = apply(dialog.context, after, ProofFinished(passed=False, because=Reason(Why.ALL_PASSED)))
    assert observed(dialog.context, proven, check, None, left, None).weights == {"left": 1.0}


def test_a_good_outcome_of_a_check_for_an_intermittent_never_clears_it() -> None:
    """'Works now' is weak evidence: the share of the intermittent falls by what the file says, never to nothing."""
    fault = {"name": "loose pin", "title": "loose pin", "weight": 3, "fix": "clean ground"}
    flex = {
        "name": "flex", "title": "flexed", "ask": "Flex it. Steady, or does it move?", "kind": "choice", "minutes": 1,
        "choices": [{"name": "steady"}, {"name": "moves"}, {"name": "comes and goes"}, {"name": "only when held"}],
        "otherwise": "steady", "repeatable": True,
        "finds": {"loose pin": {"moves": 0.3, "comes and goes": 0.2, "only when held": 0.1, "steady": 0.4}},
    }  # fmt: skip
    given = own(faults=[*PROCEDURE["faults"], fault], checks=[*PROCEDURE["checks"], flex])
    dialog = Conversation(given).begin().dialog(TO_FINDING)
    before = shares(given, dialog.now)[Suspect("loose pin")]
    state = dialog.now
    for number in range(1, 4):
        state = apply(given, state, Observed(number, "flex", None, "flexed", {"steady": 1.0}, "steady"))
        after = shares(given, state)[Suspect("loose pin")]
        assert before / 4 < after < before
        before = after
    held = apply(given, state, Observed(4, "flex", None, "flexed", {"only when held": 1.0}, "only when held"))
    assert shares(given, held)[Suspect("loose pin")] > before


def test_what_is_read_once_more_on_the_same_unit_says_so_and_what_a_repair_came_between_does_not() -> None:
    """Asked again word for word it would sound as if the first answer had not been heard."""
    dialog = Conversation().begin().dialog(OHMS)
    first = dialog.now.observations[-1]
    again = CheckChosen(first.check, first.place, 1.0, Reason(Why.TAKEN_BACK))
    plain = listened(dialog, again)
    assert plain[0] == "once_more"
    mended = apply(dialog.context, dialog.now, FixDone("replace sensor", first.place, "sensor replaced", "sensor"))
    dialog.state = mended
    assert not {"once_more", "once_more_first"} & set(listened(dialog, again))


def listened(dialog: Conversation, chosen: CheckChosen) -> list[str]:
    """Keys of what is said to ask a chosen check."""
    state = apply(dialog.context, dialog.now, chosen)
    return keys(list(ask_check(dialog.context, state, asked_now(dialog.context, state), full=False)))
