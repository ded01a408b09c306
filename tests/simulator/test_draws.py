"""Every kind of defect can be drawn at every place, on units that show it: no draw gives up."""

from __future__ import annotations

import math

import pytest

from assistant.errors import DefectError
from assistant.simulator.circuit import Resistor
from assistant.simulator.truck.arrivals import ARRIVALS
from assistant.simulator.truck.case import draw_case
from assistant.simulator.truck.train.system import LOADED

SEEDS = 21
"""Units drawn for each kind at least, spread over its places; four at each place at least."""


@pytest.mark.sweep
@pytest.mark.parametrize("name", ARRIVALS)
def test_every_defect_is_drawn_at_every_place(name: str) -> None:
    arrival = ARRIVALS[name]
    refused = []
    for kind in arrival.kinds:
        places = tuple(arrival.every_place(kind))
        for number, place in enumerate(places):
            each = max(4, SEEDS // len(places) + 1)
            for seed in range(number * each, (number + 1) * each):
                try:
                    case = draw_case(arrival, ((kind.name, place),), seed)
                except DefectError as error:
                    refused.append(f"{kind.name} at {place}, {seed}: {error}")
                else:
                    assert [(one.name, one.place) for one in case.truth], (kind.name, place, seed)
                    assert not case.machine.sound
    assert refused == []


def test_a_breaker_that_opens_when_warm_opens_under_a_load_that_stays_on() -> None:
    """The circuit has what the unit shows: a train's warmth comes of its load, which no other unit's does."""
    machine = draw_case(ARRIVALS["train, ABS light on"], (("breaker that opens when warm", None),), 1).machine
    machine.load = next((one.first, one.second) for one in machine.network() if isinstance(one, Resistor))
    cold = machine.network()
    machine.set({LOADED: "ten minutes"})
    opened = [one for one in machine.network() if isinstance(one, Resistor) and math.isinf(one.ohms)]
    assert machine.there() == machine.defects
    assert [one for one in opened if one not in cold], "no part of the circuit opened"
