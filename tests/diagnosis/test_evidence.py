"""What counts as evidence, how looks at one thing add up, and what history makes of the priors."""

from __future__ import annotations

import pytest

from assistant.diagnosis.evidence import Look, seen_likelihood, standing
from assistant.diagnosis.fault_model import Suspect, fault_model
from assistant.diagnosis.posterior import posterior
from assistant.messages.decisions import Observed
from tests.diagnosis.problems import check, fault, fix, observed, procedure

WEIGHTS = {"a": 4.0, "b": 3.0, "c": 2.0, "d": 1.0, "e": 1.5, "f": 0.5}
BAD = {"bad": 1.0}
HALF = {"bad": 0.5, "good": 0.5}
CHECKS = {
    "one": {"a": BAD}, "two": {"b": BAD}, "three": {"a": BAD, "b": HALF}, "four": {"c": BAD},
    "five": {"c": HALF, "d": BAD},
}  # fmt: skip
SEEN = fault_model(
    procedure(
        slip=0.02,
        faults=[fault(name, weight) for name, weight in WEIGHTS.items()],
        fixes=[fix(name, 5) for name in WEIGHTS],
        checks=[check(name, 1, finds) for name, finds in CHECKS.items()],
    ),
    {},
)


def test_what_the_check_lacks_is_left_out_and_the_rest_sums_to_one() -> None:
    (item,) = standing(SEEN, [observed(1, "one", {"good": 0.2, "bad": 0.6, "purple": 0.2})])
    assert item.weights == pytest.approx({"good": 0.25, "bad": 0.75})
    assert item.outcome == "bad"
    assert standing(SEEN, [observed(1, "one", "purple")]) == ()
    assert standing(SEEN, [observed(1, "one", {"good": 0.0, "bad": 1.0})])[0].weights == {"bad": 1.0}


def test_over_range_adds_to_high_where_no_fault_has_an_outcome_of_its_own() -> None:
    """Beyond the range is above any upper limit."""
    reading = procedure(
        faults=[fault("open", 1), fault("short", 1)],
        fixes=[fix("open", 5), fix("short", 5)],
        checks=[check("ohms", 1, {"open": "high", "short": "low"}, kind="reading", choices=[], unit="ohm")],
    )
    (item,) = standing(fault_model(reading, {}), [observed(1, "ohms", {"good": 0.3, "high": 0.3, "over_range": 0.4})])
    assert item.weights == pytest.approx({"good": 0.3, "high": 0.7})


def test_a_place_that_the_unit_lacks_says_nothing() -> None:
    assert standing(SEEN, [observed(1, "one", "bad", "left")]) == ()


def test_how_often_it_was_looked_at_and_whether_that_settled_it() -> None:
    def looks(*outcomes: str) -> list[tuple[int, bool, str]]:
        events = [observed(n, "one", name) for n, name in enumerate(outcomes, 1)]
        return [(item.times, item.settled, item.outcome) for item in standing(SEEN, events)]

    assert looks("bad") == [(1, True, "bad")]
    assert looks("bad", "bad", "bad") == [(3, True, "bad")]
    assert looks("good", "bad")[0][:2] == (2, False)
    assert looks("bad", "good", "good") == [(3, False, "good")]


def test_what_was_looked_at_last_stands_last() -> None:
    events = [observed(1, "one", "bad"), observed(2, "two", "good"), observed(3, "one", "bad")]
    assert [SEEN.tasks[item.task].check for item in standing(SEEN, events)] == ["two", "one"]


def test_conditions_in_any_order_are_the_same() -> None:
    def under(number: int, **conditions: str) -> Observed:
        return Observed(number, "one", None, "one", {"bad": 1.0}, "bad", conditions=conditions)

    assert len(standing(SEEN, [under(1, key="on", engine="off"), under(2, engine="off", key="on")])) == 1


def test_a_repeatable_check_keeps_every_answer() -> None:
    small = procedure(
        faults=[fault("a", 1), fault("b", 1)],
        fixes=[fix("a", 5), fix("b", 5)],
        checks=[check("wiggle", 1, {"a": HALF}, repeatable=True)],
    )
    events = [observed(1, "wiggle", "good"), observed(2, "wiggle", "good"), observed(3, "wiggle", "bad")]
    assert [item.outcome for item in standing(fault_model(small, {}), events)] == ["good", "good", "bad"]


def test_a_look_of_two_minds_is_misread_like_any_other() -> None:
    """By hand: R(good) = 0.3 x 0.98 + 0.7 x 0.02, R(bad) = 0.3 x 0.02 + 0.7 x 0.98, to the power of the looks."""
    look = Look({"good": 0.3, "bad": 0.7}, 0)
    assert seen_likelihood(SEEN, 0, [look]).tolist() == pytest.approx([0.308, 0.692])
    assert seen_likelihood(SEEN, 0, [look, look]).tolist() == pytest.approx([0.308**2, 0.692**2])


def test_two_looks_that_are_not_clear_do_not_add_up_to_a_clear_one() -> None:
    (item,) = standing(SEEN, [observed(n, "one", {"good": 0.2, "bad": 0.8}) for n in (1, 2)])
    assert item.weights["bad"] > 0.9
    assert item.clearness == 0.8


# --- priors --------------------------------------------------------------------------------------------------------


def test_history_that_leaves_nothing_leaves_everything_even() -> None:
    """Factors below zero count as zero; where none is left, no suspect is told from another."""
    found = posterior(SEEN, [], {(name, None): -1.0 for name in WEIGHTS})
    assert list(found.values()) == pytest.approx([1 / 6] * 6)


def test_a_suspect_that_history_rules_out_stays_out() -> None:
    found = posterior(SEEN, [observed(1, "one", "bad"), observed(2, "four", "bad")], {("c", None): 0.0})
    assert found[Suspect("c")] < 1e-9
    assert sum(found.values()) == pytest.approx(1.0)
