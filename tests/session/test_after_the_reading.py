"""What a technician and a foreman met in a trial: the finding said at once, the repair, its proof and its end."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from assistant.display.hands import pictures
from assistant.display.view import suspects
from assistant.messages import Heard, Reason, Say, Talk, Why
from assistant.messages.decisions import CheckChosen, FixDone, Observed, ProofStepDone, Remarked
from assistant.phrasing.conditions import asks
from assistant.phrasing.phrase import phrase
from assistant.procedure.load import list_procedures, load_procedure
from assistant.procedure.model import Procedure
from assistant.session.agenda.prompts import asked_now
from assistant.session.dialog_state import Mode
from assistant.session.fold import apply_all
from assistant.session.observing.conditions import load_between
from assistant.session.saying.announcements import awaiting
from assistant.session.saying.questions import asking
from tests.session.conversation import PROCEDURE, Conversation, context, vocabulary
from tests.session.partner_tables import scene
from tests.session.test_session import REPAIRED, of

QUICK = "Did the wheels turn?"


@cache
def timed() -> Procedure:
    """The bench, its roll taking 45 seconds at least."""
    proof = {**PROCEDURE["proof"], "steps": [dict(one) for one in PROCEDURE["proof"]["steps"]]}
    proof["steps"][1]["too_quick"] = {"seconds": 45, "ask": QUICK}
    return Procedure.model_validate({**PROCEDURE, "proof": proof})


def rolling(**changes: object) -> Conversation:
    """The bench at its roll."""
    dialog = Conversation(replace(context(), procedure=timed(), **changes)).begin()  # type: ignore[arg-type]
    dialog.dialog(REPAIRED).dialog(["1150", "0.6"])
    for _ in range(12):
        if dialog.prompt == "proof:roll":
            return dialog
        dialog.hear("done")
    raise AssertionError(dialog.prompt)


def done(dialog: Conversation) -> list[str]:
    return [one.step for one in of(dialog, ProofStepDone) if isinstance(one, ProofStepDone)]


def test_a_roll_answered_in_a_second_is_asked_about_and_counts_only_after_a_yes() -> None:
    dialog = rolling()
    dialog.hear("next")
    assert dialog.mode is Mode.CONFIRM
    assert f"That was quick. {QUICK} Yes or no." in dialog.text(dialog.said[-1:])
    assert "roll" not in done(dialog)
    dialog.hear("yes")
    assert dialog.prompt == "proof:light"
    told = [one.what for one in of(dialog, Remarked) if isinstance(one, Remarked) and one.what.why is Why.TOO_QUICK]
    assert [one.slots for one in told] == [{"step": "roll", "seconds": 1}], "the answer's own time, not the yes's"


@pytest.mark.parametrize(("said", "yeses"), [("next", 1), ("out", 2)])
def test_the_answer_and_the_yes_to_it_are_both_recorded_as_they_were_said(said: str, yeses: int) -> None:
    """'Out' at the roll: did you mean next, and did it roll? Neither yes is written down as 'out'."""
    dialog = rolling()
    dialog.dialog([said, *["yes"] * yeses])
    assert dialog.prompt == "proof:light"
    heard = dialog.records[-1].fact
    assert isinstance(heard, Heard)
    assert [one.words for one in heard.hypotheses] == [said]
    assert heard.alternatives == (), "the yes is no other way to hear it"
    assert heard.at == dialog.clock - yeses, "so that the talk finds the first answer by its time"


def test_why_at_a_step_of_the_proof_is_its_own_and_a_source_stands_at_the_step_it_supports() -> None:
    for path in list_procedures():
        for step in load_procedure(path).procedure.proof.steps:
            if step.name == "none":
                continue
            assert step.why, f"{path}: {step.name}"
            assert not ("5.1.16" in step.source and step.hands is not None and step.hands.roll is None)
            assert step.kind == "do" or step.title, f"{path}: {step.name}"
    proof = {**PROCEDURE["proof"], "steps": [dict(one) for one in PROCEDURE["proof"]["steps"]]}
    proof["steps"][0] |= {"why": "A code that comes back is new."}
    proof["steps"][1] |= {"why": "Every wheel must turn.", "source": "handbook, page 3"}
    dialog = Conversation(
        replace(context(), procedure=Procedure.model_validate({**PROCEDURE, "proof": proof}))
    ).begin()
    dialog.dialog(REPAIRED).dialog(["1150", "0.6"])
    told = {}
    for _ in range(12):
        told[dialog.prompt] = dialog.text(dialog.hear("why"))
        dialog.hear("done")
    assert told["proof:clear"].startswith("A code that comes back is new.")
    assert "Source" not in told["proof:clear"]
    assert told["proof:roll"].startswith("Every wheel must turn. Source: handbook, page 3.")


def test_after_a_no_the_roll_is_asked_again_and_its_own_time_counts() -> None:
    dialog = rolling()
    dialog.hear("next")
    dialog.hear("no")
    assert dialog.prompt == "proof:roll"
    dialog.hear("next")
    assert dialog.mode is Mode.CONFIRM, "a second quick answer is asked about as well"
    dialog.hear("no")
    dialog.clock += 60
    dialog.hear("next")
    assert dialog.prompt == "proof:light"
    assert not [one for one in of(dialog, Remarked) if isinstance(one, Remarked) and one.what.why is Why.TOO_QUICK]


def test_a_roll_that_took_its_time_is_not_asked_about() -> None:
    dialog = rolling()
    dialog.clock += 44
    dialog.hear("next")
    assert dialog.prompt == "proof:light"


def test_on_a_simulated_unit_work_takes_no_time() -> None:
    dialog = rolling(simulated=True)
    dialog.hear("next")
    assert dialog.prompt == "proof:light"


def test_every_roll_of_a_procedure_has_its_least_time() -> None:
    for path in list_procedures():
        for step in load_procedure(path).procedure.proof.steps:
            rolls = step.hands is not None and step.hands.roll is not None
            assert rolls == (step.too_quick is not None), f"{path}: {step.name}"
            assert step.too_quick is None or 30 <= step.too_quick.seconds <= 60 * step.minutes


# ------------------------------------------------------------------------------------- codes, cleared or not


def trailer() -> Conversation:
    """The trailer at 'clear the codes'."""
    start = scene("done codes")
    return Conversation(start.context, start.now)


@pytest.mark.parametrize(
    ("said", "answer", "noted"),
    [
        ("cleared", "cleared", False),
        ("couldn't clear them", "could not clear", True),
        ("they won't clear", "could not clear", True),
    ],
)
def test_codes_that_could_not_be_cleared_are_another_answer_with_another_end(
    said: str, answer: str, noted: bool
) -> None:
    dialog = trailer()
    dialog.hear("next")
    assert not done(dialog), "a next tells nothing of the codes"
    dialog.hear(said)
    (step,) = [one for one in of(dialog, ProofStepDone) if isinstance(one, ProofStepDone)]
    assert (step.step, step.answer, step.passed) == ("clear codes", answer, True)
    told = [
        one.what for one in of(dialog, Remarked) if isinstance(one, Remarked) and one.what.why is Why.PROOF_LEAVES
    ]
    assert bool(told) is noted
    for _ in range(9):
        if "proven" in {say.key.removesuffix("_may_miss") for say in dialog.said}:
            break
        words = {"proof:light": "out", "proof:codes again": "clear"}.get(dialog.prompt, "yes")
        if dialog.prompt == "proof:roll":
            dialog.clock += 300
        dialog.hear(words if dialog.mode is not Mode.CAUTION else "yes")
    said_then = dialog.text(dialog.said)
    assert ("the codes are not cleared: look again with the reader" in said_then) is noted


# ------------------------------------------------------------------------------------- the finding, and after


def test_what_was_found_is_said_right_after_the_reading_and_before_the_cautions() -> None:
    start = scene("confirm")
    dialog = Conversation(start.context, start.now)
    keys = [say.key for say in dialog.hear("yes")]
    assert keys[0] == "found", "the question named the reading, and that it means a bad part"
    found = next(say for say in dialog.said if say.key == "found")
    told = phrase(found, dialog.context.vocabulary)
    assert told.shown == "Found: open sensor, left rear."
    assert told.mark == "bad", "as large as a verdict"
    for _ in range(20):
        if dialog.mode is Mode.FIX:
            break
        dialog.hear("yes" if dialog.mode is Mode.CAUTION else "next")
    assert dialog.mode is Mode.FIX
    assert "because" not in [say.key for say in dialog.said[-2:]], "it was said when it was found"


def repaired() -> Conversation:
    """The trailer, its left rear sensor read open twice and replaced."""
    start = scene("confirm")
    dialog = Conversation(start.context, start.now)
    dialog.hear("yes")
    for _ in range(20):
        if of(dialog, FixDone):
            return dialog
        dialog.hear("yes" if dialog.mode is Mode.CAUTION else "next")
    raise AssertionError(dialog.prompt)


def test_after_the_repair_nothing_else_is_suspected_until_the_proof_is_over() -> None:
    dialog = repaired()
    setting = dialog.context
    assert suspects(setting, dialog.now) == []
    assert awaiting(setting, dialog.now) == ("sensor replaced, left rear",)
    assert dialog.expectation is not None
    shown = [one for one in pictures(setting, dialog.now, dialog.expectation) if one["kind"] == "plan"]
    assert shown
    assert not any("Suspected" in one["told"] for one in shown)
    dialog.hear("what do you suspect")
    assert "To be verified: sensor replaced, left rear." in dialog.text(dialog.said[-3:])


def test_before_the_repair_suspects_are_shown() -> None:
    start = scene("left rear ohms")
    assert suspects(start.context, start.now)


# ------------------------------------------------------------------------------------- back together


def test_each_part_of_the_list_says_where_it_stands_and_asks() -> None:
    more = [f"bracket number {number} on the frame, bolts tight and marked with paint" for number in range(5)]
    long = replace(context(), procedure=context().procedure.model_copy(update={"put_back": tuple(more)}))
    dialog = Conversation(long).begin().dialog(REPAIRED).dialog(["1150", "0.6"])
    told = []
    for _ in range(12):
        if dialog.prompt == "close:put back":
            told.append(dialog.text(dialog.said[-1:]))
            dialog.hear("yes")
    count = len(told)
    assert count > 1
    assert told[0].startswith(f"Part 1 of {count} done?")
    assert set(told[1:]) == {"Done?"}
    last = [say.key for say in dialog.said if say.key in ("put_back_more", "put_back_last")]
    assert last[-1] == "put_back_last"
    assert last.count("put_back_last") == 1
    new = [phrase(replace(say, talk=Talk.FIRST), dialog.context.vocabulary).shown for say in dialog.said]
    assert all(any(text.startswith(f"Part {one} of {count} done?") for text in new) for one in range(1, count + 1))


def test_a_place_is_said_once_in_a_sentence_of_the_list() -> None:
    dialog = repaired()
    for _ in range(20):
        if dialog.prompt == "proof:cycle the power":
            break
        dialog.hear("1240" if dialog.mode is Mode.CHECK else "yes")
    told = [say for say in dialog.said if say.key in ("put_back_first", "put_back_more")]
    assert len(told) > 2
    assert all(dialog.text([say]).lower().count("left rear") <= 1 for say in told), dialog.text(told)


# ------------------------------------------------------------------------------------- limits, codes, wheels


def test_limits_that_are_others_than_before_say_why() -> None:
    dialog = repaired()
    assert dialog.prompt == "check:sensor ohms:left rear", dialog.prompt
    dialog.hear("1244")
    (told,) = [say for say in dialog.said if say.key == "limits_moved"]
    assert dialog.text([told]) == "", "of a good reading nobody needs to hear by which limits"
    new = phrase(replace(told, talk=Talk.FIRST), dialog.context.vocabulary)
    assert new.shown == "Limits: after a repair a healthy one reads near 900 to 1,400."


def test_no_reading_yet_is_said_as_that() -> None:
    dialog = Conversation().begin()
    dialog.hear("where are we")
    assert "No readings yet." in dialog.text(dialog.said)
    assert "0 readings" not in dialog.text(dialog.said)


def test_a_wheel_told_with_its_code_is_not_asked_for_again() -> None:
    start = scene("fact codes")
    dialog = Conversation(start.context, start.now)
    dialog.hear("active, left rear wheel")
    (seen,) = [one for one in of(dialog, Observed) if isinstance(one, Observed)]
    assert (seen.check, seen.choice) == ("code names a wheel", "left rear")
    assert "Got it: active, left rear." in dialog.text(dialog.said)
    dialog.hear("scratch that")
    assert not dialog.now.observations, "all of one breath is taken back"
    assert "codes" not in dialog.now.facts


@pytest.mark.parametrize("key", ["not_shown"])
def test_what_a_test_does_not_rule_out_is_one_sentence(key: str) -> None:
    for path in list_procedures():
        told = load_procedure(path).procedure
        if told.kind != "find":
            continue
        text = phrase(Say(key, {"text": told.proof.limits}), vocabulary()).shown
        assert told.proof.limits[:1].islower(), text
        assert text.count(".") == 1, text
        assert text.startswith("This test doesn't rule out a "), text


# ------------------------------------------------------------------------------------- asked again


def test_what_is_read_twice_is_asked_in_short_the_second_time() -> None:
    start = scene("left rear ohms")
    dialog = Conversation(start.context, start.now)
    whole = dialog.text(dialog.hear("say again"))
    again = dialog.text(dialog.hear("over range")[-1:])
    assert again == "Once more: how many ohms?", "it was read a moment ago"
    assert "Key off" in dialog.text(dialog.hear("say again")), "said again, it is said in full"
    assert whole


def test_the_same_check_at_another_place_is_asked_by_its_place() -> None:
    start = scene("ohms left rear")
    dialog = Conversation(start.context, start.now)
    dialog.hear("1190")
    (seen,) = [one for one in of(dialog, Observed) if isinstance(one, Observed)]
    then = CheckChosen("sensor ohms", "right rear", 1.0, Reason(Why.IN_ORDER))
    state = apply_all(start.context, start.now, (seen, then))
    told = dialog.text(asking(start.context, state, asked_now(start.context, state)))
    assert told == "Right rear, the same: how many ohms?"
    whole = dialog.text(asking(start.context, state, asked_now(start.context, state), full=True))
    assert "sensor side, pin to pin" in whole


@pytest.mark.parametrize(
    ("asked", "question"),
    [
        ("Key off. Left rear, pin to pin: how many ohms?", "how many ohms?"),
        ("Look at the plug. Clean, or corroded: green or wet?", "Clean, or corroded: green or wet?"),
        ("Volts across the ground?", "Volts across the ground?"),
    ],
)
def test_the_question_alone(asked: str, question: str) -> None:
    assert asks(asked) == question


@pytest.mark.parametrize("name", [path.stem for path in list_procedures()])
def test_where_a_load_goes_is_never_said_with_a_hole_in_it(name: str) -> None:
    """Asked once more in short, the question no longer names the load: its place is said as the leads' are."""
    procedure = load_procedure(name).procedure
    for check in procedure.checks:
        load = check.hands.load if check.hands is not None else None
        if load is not None:
            said = load_between(check, load, "left rear")
            assert "{" not in said, (check.name, said)
