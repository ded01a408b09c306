"""What was mended is judged by what a healthy one reads, and one slip does not undo it."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from assistant.messages import Grade, Reason, Verdict, Why
from assistant.messages.decisions import CheckChosen, Ended, Ending, FactAnswered, FixDone, Observed, ProofStepDone
from assistant.procedure.model import Procedure
from assistant.session.fold import apply_all, begin
from assistant.session.observing.comparing import limits_now
from tests.session.conversation import PROCEDURE, Conversation, context


def bench(**changes: Any) -> Procedure:
    """The bench with a sensor that is reached without a drum, and with a last step that asks nothing."""
    fixes = [{**fix, "needs": []} for fix in PROCEDURE["fixes"]]
    return Procedure.model_validate({**PROCEDURE, "facts": [], "cautions": [], "fixes": fixes, **changes})


def no_cautions(table: list[dict[str, Any]]) -> list[dict[str, Any]]:
    return [{**row, "cautions": []} for row in table]


def led(procedure: Procedure, ohms: dict[str, list[str]], most: int = 60, supply: str = "tractor") -> Conversation:
    """A session on a bench whose right sensor is open; ``ohms`` gives what is read after the repair."""
    dialog = Conversation(replace(context(), procedure=procedure)).begin()
    said = {key: list(values) for key, values in ohms.items()}
    for _ in range(most):
        if dialog.finished:
            break
        prompt = dialog.prompt
        place = "right" if prompt.endswith("right") else "left"
        if prompt.startswith(("confirm", "caution")):
            words = "yes"
        elif prompt == "check:sensor ohms:right" and not any(isinstance(one, FixDone) for one in dialog.decisions):
            words = "over range"
        elif prompt.startswith("check:sensor ohms"):
            words = said[place].pop(0) if len(said[place]) > 1 else said[place][0]
        elif prompt.startswith("check:output"):
            words = "0.5"
        elif prompt == "check:ground drop":
            words = "0.05"
        elif prompt == "check:code":
            words = "right" if not any(isinstance(one, FixDone) for one in dialog.decisions) else "none"
        elif prompt == "proof:light":
            words = "out"
        elif prompt.startswith("offer"):
            words = "no"
        elif prompt == "fact:supply":
            words = supply
        else:
            words = "yes" if prompt == "ready" else "next"
        dialog.hear(words)
    return dialog


def plain() -> Procedure:
    checks = no_cautions(PROCEDURE["checks"])
    access = no_cautions(PROCEDURE["access"])
    # the output would settle it first, and says nothing of ohms
    return bench(checks=[one for one in checks if one["name"] in ("sensor ohms", "code")], access=access)


def again(dialog: Conversation) -> list[Observed]:
    """Readings of the right sensor that were taken again after work."""
    return [one for one in dialog.decisions if isinstance(one, Observed) and one.proof and one.check == "sensor ohms"]


@pytest.mark.parametrize(("after", "fine"), [("1200", True), ("1700", True), ("2880", False), ("over range", False)])
def test_a_mended_part_reads_as_a_healthy_one(after: str, fine: bool) -> None:
    """900 to 1,400 ohms are usual and 3,000 pass: a splice with 1,700 ohms more than its mates is not mended."""
    dialog = led(plain(), {"left": ["1190"], "right": [after]})
    shown = again(dialog)[0]
    assert (max(shown.weights, key=lambda name: shown.weights[name]) == "good") is fine
    if after == "2880":
        assert shown.limit_high == Decimal(1750)
        assert "after a repair" in shown.limit_source


def test_a_unit_that_is_made_otherwise_is_judged_by_its_mate() -> None:
    """Both sensors of a system with 2,300 ohms: what agrees with its mate within a quarter is healthy."""
    before = Observed(
        1, "sensor ohms", "left", "resistance of the sensor", {"good": 1.0}, "2300", Decimal(2300), "ohm",
        verdict=Verdict(Grade.GOOD, Decimal(20), 1.0, None, None, Decimal(2300)),
    )  # fmt: skip
    dialog = led(plain(), {"left": ["1190"], "right": ["over range"]}, most=8)
    check = dialog.context.check("sensor ohms")
    again = CheckChosen("sensor ohms", "right", 1, Reason(Why.AFTER_WORK, {"work": "sensor replaced"}))
    alone = apply_all(dialog.context, begin(dialog.context), (again,))
    mated = apply_all(dialog.context, begin(dialog.context), (before, again))
    assert limits_now(alone, check, "right").high == Decimal(1750)
    assert limits_now(mated, check, "right").high == Decimal(2875)
    assert limits_now(mated, check, "left").high == Decimal(3000)


def test_one_slip_after_a_repair_does_not_undo_it() -> None:
    """Over range once more, then good: the fix stands, and nothing else is mended."""
    dialog = led(plain(), {"left": ["1190"], "right": ["over range", "1200"]})
    fixes = [one.fix for one in dialog.decisions if isinstance(one, FixDone)]
    ended = [one for one in dialog.decisions if isinstance(one, Ended)]
    assert fixes == ["replace sensor"]
    assert [one.ending for one in ended] == [Ending.CURED_AND_PROVEN]


@pytest.mark.parametrize(("third", "stands"), [("1180", True), ("2400", False)])
def test_after_a_repair_a_third_reading_decides_between_two_that_disagree(third: str, stands: bool) -> None:
    dialog = led(plain(), {"left": ["1190"], "right": ["2400", "1180", third]}, most=30)
    shown = [one.value for one in again(dialog)]
    assert shown[:3] == [Decimal(2400), Decimal(1180), Decimal(third)]
    fixes = [one.fix for one in dialog.decisions if isinstance(one, FixDone)]
    assert (fixes == ["replace sensor"]) is stands, "two of three out of limits: the search goes on"


def measured(words: str) -> str:
    """What is answered at the first reading after the repair."""
    dialog = Conversation(replace(context(), procedure=plain())).begin()
    for _ in range(30):
        prompt = dialog.prompt
        if prompt == "check:sensor ohms:right" and any(isinstance(one, FixDone) for one in dialog.decisions):
            break
        place = {"check:code": "right", "check:sensor ohms:right": "over range", "check:sensor ohms:left": "1190"}
        dialog.hear("yes" if prompt.startswith(("confirm", "caution", "ready")) else place.get(prompt, "next"))
    before = len(dialog.said)
    dialog.hear(words)
    return dialog.text(dialog.said[before:])


def test_the_limit_after_a_repair_is_the_one_that_judges_it_and_says_why() -> None:
    text = measured("what's the limit")
    assert "Good is 700 to 1,750 ohms. Tighter: after a repair a healthy one reads near 900 to 1,400." in text
    assert "3,000" not in text


def test_a_new_part_out_of_the_tighter_limits_is_told_why() -> None:
    assert "Tighter: after a repair a healthy one reads near 900 to 1,400." in measured("2400")
    assert "Tighter" not in measured("1180")


@pytest.mark.parametrize(("supply", "steps"), [("tractor", ["lamps", "light"]), ("test power", ["light"])])
def test_what_a_step_of_the_proof_hangs_on_is_asked_before_it(supply: str, steps: list[str]) -> None:
    """Stop lamps feed nothing on test power: the step that needs them fails every healthy unit there."""
    light = next(one for one in PROCEDURE["proof"]["steps"] if one["name"] == "light")
    lamps = {"name": "lamps", "say": "Pedal down.", "minutes": 1, "when": {"supply": "tractor"}}
    proof = {**PROCEDURE["proof"], "steps": [lamps, light]}
    asked = {"name": "supply", "ask": "What feeds it?", "choices": [{"name": "tractor"}, {"name": "test power"}]}
    dialog = led(
        Procedure.model_validate({**plain().model_dump(mode="json"), "facts": [asked], "proof": proof}),
        {"left": ["1190"], "right": ["1200"]},
        supply=supply,
    )
    told = [one for one in dialog.decisions if isinstance(one, FactAnswered | ProofStepDone)]
    assert [one.fact if isinstance(one, FactAnswered) else one.step for one in told] == ["supply", *steps]
    assert dialog.finished == Ending.CURED_AND_PROVEN
