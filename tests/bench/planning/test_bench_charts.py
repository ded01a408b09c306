"""The planner beside a good technician's own chart: the same units, the same minutes. Printed, never asserted.

Beside it stands what no order of the same checks and fixes can beat: the floor of whoever knows the fault, and a
bound for whoever has to find it (see ``bound``). Run by ``make bench``.
"""

from __future__ import annotations

import statistics
from collections import defaultdict
from collections.abc import Mapping, Sequence
from random import Random

import numpy as np
import pytest

from assistant import catalog
from assistant.diagnosis.fault_model import Suspect, fault_model
from assistant.procedure.load import load_procedure
from assistant.procedure.model import Procedure
from assistant.simulator.trial import context_of, run_trial
from assistant.simulator.unit import SimulatedUnit
from assistant.simulator.units import draw_facts
from tests.bench.planning.bound import Relaxed, chances_of_facts
from tests.bench.planning.charts import CHARTS, chart_minutes, suspects_of

pytestmark = pytest.mark.bench

UNITS = (6, 20, 400)
"""Units for each suspect, each with a complaint and readings of its own: at least, at most, and in all about. With
three, one unit in fifty whose facts speak for another fault would count as one in three where it is drawn."""
LOST = 120.0
"""Minutes charged beside those spent where the planner gives up: the unit goes to another shop."""
FEW = 30
"""Suspects up to which the bound for whoever has to find the fault is worked out."""
NODES = 400
"""Situations gone through for it on a unit, some seconds in all; beyond them a lower bound of it is taken."""

Facts = dict[str, str]


@pytest.mark.parametrize("name", CHARTS)
def test_minutes_over_those_of_a_chart(name: str) -> None:
    procedure = load_procedure(name).procedure
    context = context_of(procedure, catalog.load_vocabulary())
    ours: dict[str, list[float]] = defaultdict(list)
    theirs: dict[str, list[float]] = defaultdict(list)
    keen: dict[str, list[float]] = defaultdict(list)
    known: dict[str, list[float]] = defaultdict(list)
    drawn: list[tuple[Suspect, Facts]] = []
    suspects = suspects_of(fault_model(procedure, {}), 2)
    weights = {one.fault: next(f.weight for f in procedure.faults if f.name == one.fault) for one in suspects}
    for number, suspect in enumerate(suspects):
        for turn in range(min(UNITS[1], max(UNITS[0], UNITS[2] // len(suspects)))):
            seed = 1000 * number + turn
            facts = draw_facts(procedure, suspect, Random(seed))
            drawn.append((suspect, facts))
            trial = run_trial(context, SimulatedUnit(procedure, facts, [suspect], seed=seed))
            ours[suspect.fault].append(trial.minutes + (0.0 if trial.found else LOST))
            seen = fault_model(procedure, facts)
            cure = seen.cure_index[seen.cure(suspect)]
            opening = float(seen.cure_openings[cure] @ seen.opening_minutes)
            known[suspect.fault].append(opening + float(seen.cure_minutes[cure]) + seen.proof_minutes)
            for minutes, thinks in ((theirs, False), (keen, True)):
                unit = SimulatedUnit(procedure, facts, [suspect], seed=seed)
                minutes[suspect.fault].append(chart_minutes(CHARTS[name], seen, unit, keen=thinks))
    planned, charted, sharp, floor = (_expected(weights, minutes) for minutes in (ours, theirs, keen, known))
    behind = {fault: statistics.fmean(ours[fault]) - statistics.fmean(theirs[fault]) for fault in weights}
    later = sorted((fault for fault in weights if behind[fault] > 15), key=lambda fault: -behind[fault])
    worst = max(weights, key=lambda fault: behind[fault])
    print(
        f"\nchart {name}: {len(drawn)} units, expected minutes {planned:.1f} over {charted:.1f} = "
        f"{planned / charted:.2f} (goal 0.80); who knows the fault {floor / charted:.2f}"
        f"{_bounded(procedure, weights, drawn, charted)}; worst fault: {worst}, {behind[worst]:+.0f} minutes, "
        f"{len(later)} of {len(weights)} above the goal of +15"
        f"{''.join(f', {fault} {behind[fault]:+.0f}' for fault in later[1:])}; over the same chart with perfect "
        f"knowledge of what each fault shows: {planned / sharp:.2f}"
    )


def _bounded(
    procedure: Procedure, weights: Mapping[str, float], drawn: Sequence[tuple[Suspect, Facts]], charted: float
) -> str:
    """The bound over the chart's minutes, in words, where it can be worked out in some seconds."""
    suspects = list(dict.fromkeys(suspect for suspect, _ in drawn))
    if len(suspects) > FEW:
        return ""
    chances = {suspect: chances_of_facts(procedure, suspect) for suspect in suspects}
    places = {one: sum(other.fault == one.fault for other in suspects) for one in suspects}
    units = len(drawn) // len(suspects)
    bounds: dict[tuple[tuple[str, str], ...], tuple[float, bool]] = {}
    total, sure, most = 0.0, True, NODES
    for suspect, facts in drawn:
        key = tuple(sorted(facts.items()))
        if key not in bounds:
            seen = fault_model(procedure, facts)
            odds = np.array(
                [
                    weights[one.fault] / places[one] * chances[one].get(key, 0.0) if one in chances else 0.0
                    for one in seen.suspects
                ]
            )
            bounds[key] = Relaxed(seen, odds / odds.sum()).minutes(most)
            most = NODES if bounds[key][1] else 0  # where one unit takes too long, so would the others
            sure = sure and bounds[key][1]
        share = weights[suspect.fault] / places[suspect] / units / sum(weights.values())
        total += share * bounds[key][0]
    told = "the best that any order of the same checks can do" if sure else "no order of the same checks gets below"
    reach = ": out of reach" if total / charted > 0.8 else ""
    return f", {told} {total / charted:.2f}{reach}"


def _expected(weights: Mapping[str, float], minutes: Mapping[str, list[float]]) -> float:
    whole = sum(weights.values())
    return sum(weight * statistics.fmean(minutes[fault]) for fault, weight in weights.items()) / whole
