"""Facts, outcomes and readings drawn for simulated units."""

from __future__ import annotations

from collections import Counter
from decimal import Decimal
from random import Random

import numpy as np
import pytest

from assistant.diagnosis.fault_model import Suspect, fault_model
from assistant.errors import DefectError
from assistant.procedure.load import load_procedure
from assistant.simulator.units import draw_ends, draw_facts, draw_outcome, draw_survey, draw_value, with_meter
from tests.diagnosis.problems import check, fault, fix, procedure

READING = {"kind": "reading", "choices": [], "unit": "ohm"}
OHMS = procedure(
    faults=[fault("a", 1)],
    fixes=[fix("a", 1)],
    checks=[
        check("both", 1, {"a": "low"}, **READING, span=[0, 20000], limits={"low": 900, "high": 1400}),
        check("floor", 1, {"a": "low"}, **READING, span=[0, 30], limits={"low": "9.5"}),
        check("roof", 1, {"a": "high"}, **READING, span=[0, 30], limits={"high": "0.5"}),
        check("supply", 1, {"a": "low"}, **READING, span=[0, 30], limits={"low": "9.5"}, typical=["11.8", "12.6"]),
        check("stray", 1, {"a": "high"}, **READING, span=[-30, 30], limits={"high": "0.5"}, typical=["0", "0.05"]),
        check("port", 1, {"a": "low"}, **READING, span=[-30, 30], limits={"low": "4", "high": "6"}),
    ],
)


@pytest.mark.parametrize(
    ("number", "outcome", "low", "high"),
    [
        (0, "good", "900", "1400"),
        (0, "low", "0", "899.999"),
        (0, "high", "1400.001", "20000"),
        (1, "good", "9.5", "30"),
        (1, "low", "0", "9.499"),
        (2, "good", "0", "0.5"),
        (2, "high", "0.501", "30"),
        (3, "good", "9.5", "12.6"),
        (3, "low", "0", "9.499"),
        (4, "good", "0", "0.5"),
        (4, "high", "0.501", "30"),
        (5, "low", "0", "3.999"),
    ],
)
def test_readings_show_their_outcome_even_near_the_limit(number: int, outcome: str, low: str, high: str) -> None:
    rng = Random(number)
    values = [draw_value(OHMS.checks[number], outcome, rng) for _ in range(400)]
    assert all(Decimal(low) <= value <= Decimal(high) for value in values)
    assert len(set(values)) > 20


def test_some_readings_lie_near_a_limit() -> None:
    rng = Random(3)
    values = [draw_value(OHMS.checks[0], "good", rng) for _ in range(400)]
    near = sum(1 for value in values if value < 940 or value > 1360)
    assert 0.15 < near / 400 < 0.45


@pytest.mark.parametrize(("number", "low", "high"), [(3, "11.8", "12.6"), (4, "0", "0.05")])
def test_most_good_readings_are_what_a_sound_unit_shows(number: int, low: str, high: str) -> None:
    rng = Random(7)
    values = [draw_value(OHMS.checks[number], "good", rng) for _ in range(400)]
    assert sum(1 for value in values if Decimal(low) <= value <= Decimal(high)) / 400 > 0.7


def test_a_meter_is_off_by_no_more_than_its_error() -> None:
    rng = Random(5)
    shown = [with_meter(Decimal(1200), 0.01, rng) for _ in range(200)]
    assert all(Decimal(1187) <= value <= Decimal(1213) for value in shown)
    assert with_meter(Decimal(1200), 0.0, rng) == 1200


def test_outcomes_come_as_often_as_declared() -> None:
    rng = Random(7)
    drawn = Counter(draw_outcome(("good", "low", "high"), np.array([0.7, 0.3, 0.0]), 0.0, rng) for _ in range(2000))
    assert drawn["high"] == 0
    assert 0.26 < drawn["low"] / 2000 < 0.34  # three standard deviations of 2000 draws at 0.3: 0.031
    slipped = Counter(draw_outcome(("good", "bad"), np.array([1.0, 0.0]), 0.1, rng) for _ in range(2000))
    assert 0.08 < slipped["bad"] / 2000 < 0.12


def test_facts_fit_the_fault_and_favour_what_makes_it_likely() -> None:
    small = procedure(
        facts=[
            {"name": "brakes", "ask": "Which?", "choices": [{"name": "disc"}, {"name": "drum"}]},
            {"name": "comes on", "ask": "When?", "choices": [{"name": "at once"}, {"name": "rolling"}]},
        ],
        faults=[
            fault("shoe", 1, when={"brakes": "drum"}, factors=[{"when": {"comes on": "rolling"}, "times": 9}]),
            fault("never", 1, when={"brakes": "none of these"}),
        ],
        fixes=[fix("shoe", 1), fix("never", 1)],
        checks=[check("c", 1, {})],
    )
    rng = Random(1)
    drawn = [draw_facts(small, Suspect("shoe"), rng) for _ in range(300)]
    assert all(facts["brakes"] == "drum" for facts in drawn)
    assert 0.83 < sum(facts["comes on"] == "rolling" for facts in drawn) / 300 < 0.96
    assert all(Suspect("shoe") in fault_model(small, facts).suspects for facts in drawn)
    with pytest.raises(DefectError, match="never"):
        draw_facts(small, Suspect("never"), rng)


@pytest.mark.parametrize("seed", range(8))
def test_a_survey_is_drawn_with_one_check_that_is_not_good(seed: int) -> None:
    loaded = load_procedure("pushrod-stroke").procedure
    facts, task, outcome = draw_survey(loaded, Random(seed))
    seen = fault_model(loaded, facts)
    assert task in seen.task_index
    check = seen.checks[task.check]
    assert outcome != ("good" if check.kind == "reading" else check.otherwise)
    assert (facts, task, outcome) == draw_survey(loaded, Random(seed))


def test_a_reading_that_wanders_does_so_around_its_limit() -> None:
    """Never below what the meter could show, and its ends are in order."""
    loaded = load_procedure("seven-way-power-and-grounds").procedure
    check = next(check for check in loaded.checks if check.name == "power joint drop, front")
    for seed in range(50):
        low, high = draw_ends(check, Random(seed))
        assert Decimal(0) <= low < high <= Decimal("0.51")


def test_answers_are_drawn_as_common_as_they_are_weighed() -> None:
    """Drawn for a fault: P(answer | fault) is the answer's share times its factor, over all answers."""
    small = procedure(
        facts=[
            {"name": "brake", "ask": "Wakes?", "choices": [{"name": "wakes"}, {"name": "dark", "share": 3}]},
        ],
        faults=[fault("supply", 3, factors=[{"when": {"brake": "wakes"}, "times": 15}]), fault("lamp", 6)],
        fixes=[fix("supply", 30), fix("lamp", 3)],
        checks=[check("look", 1, {"lamp": "bad"})],
    )
    rng = Random(7)
    for name, expected in (("supply", 15 / 18), ("lamp", 1 / 4)):
        drawn = [draw_facts(small, Suspect(name), rng)["brake"] for _ in range(2000)]
        share = drawn.count("wakes") / len(drawn)
        assert abs(share - expected) < 4 * (expected * (1 - expected) / len(drawn)) ** 0.5
