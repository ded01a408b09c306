"""The planner beside a good technician's own chart: the same units, the same minutes. Printed, never asserted.

Run by ``make bench``.
"""

from __future__ import annotations

import statistics
from collections import defaultdict
from random import Random

import pytest

from assistant.engine.view import view
from assistant.practice.trial import Leader, run_trial
from assistant.practice.unit import SimulatedUnit
from assistant.practice.units import draw_facts
from assistant.procedure.load import load_procedure
from tests.bench.charts import CHARTS, chart_minutes, suspects_of

pytestmark = pytest.mark.bench

UNITS = 3
"""Units for each suspect, each with a complaint and readings of its own."""
LOST = 120.0
"""Minutes charged beside those spent where the planner gives up: the unit goes to another shop."""


@pytest.mark.parametrize("name", CHARTS)
def test_minutes_over_those_of_a_chart(name: str) -> None:
    procedure = load_procedure(name).procedure
    leader = Leader(procedure)
    ours: dict[str, list[float]] = defaultdict(list)
    theirs: dict[str, list[float]] = defaultdict(list)
    keen: dict[str, list[float]] = defaultdict(list)
    weights: dict[str, float] = {}
    for number, suspect in enumerate(suspects_of(view(procedure, {}), 2)):
        weights[suspect.fault] = next(fault.weight for fault in procedure.faults if fault.name == suspect.fault)
        for turn in range(UNITS):
            seed = 1000 * number + turn
            facts = draw_facts(procedure, suspect, Random(seed))
            trial = run_trial(procedure, facts, SimulatedUnit(procedure, facts, [suspect], seed=seed), leader=leader)
            ours[suspect.fault].append(trial.minutes + (0.0 if trial.found else LOST))
            for minutes, thinks in ((theirs, False), (keen, True)):
                unit = SimulatedUnit(procedure, facts, [suspect], seed=seed)
                minutes[suspect.fault].append(chart_minutes(CHARTS[name], leader.view(facts), unit, keen=thinks))
    planned, charted, sharp = (_expected(weights, minutes) for minutes in (ours, theirs, keen))
    behind = {fault: statistics.fmean(ours[fault]) - statistics.fmean(theirs[fault]) for fault in weights}
    worst = max(weights, key=lambda fault: behind[fault])
    print(
        f"\nchart {name}: expected minutes {planned:.0f} over {charted:.0f} = {planned / charted:.2f} (goal 0.80); "
        f"worst fault: {worst}, {behind[worst]:+.0f} minutes (goal at most +15); over the same chart with perfect "
        f"knowledge of what each fault shows: {planned / sharp:.2f}"
    )


def _expected(weights: dict[str, float], minutes: dict[str, list[float]]) -> float:
    whole = sum(weights.values())
    return sum(weight * statistics.fmean(minutes[fault]) for fault, weight in weights.items()) / whole
