"""Doubles and triples: the voltage falls along the train, and the first low stop stands behind the bad stretch.

The train is worked out by Ohm's law. Sources: annealed copper at 20 C (IEC 60028 with ASTM B258 diameters): 10 gauge
0.9989 and 8 gauge 0.6282 ohms per 1000 feet; 12.5 V at 10 A at the tractor (TMC RP 137) and 9.5 V at the module (TMC
RP 141), both as cited in FHWA-MC-98-008, pages 32 and 41. Lengths and joints are common practice, no source.
"""

from __future__ import annotations

from decimal import Decimal
from itertools import pairwise

import pytest

from assistant.diagnosis.limits import limits_of
from assistant.messages import Grade
from assistant.procedure.load import load_procedure
from assistant.verdict.judge import judge

PROCEDURE = load_procedure("doubles-and-triples").procedure
AMPS = 10.0
STOPS = ["first nose", "first tail", "second nose", "second tail", "third nose", "last module"]
FEET = [15, 28, 15, 28, 15, 28]
"""Cord, trailer, dolly, trailer, dolly, trailer: what lies before each stop."""
LOOP = (0.9989 + 0.6282) / 1000
"""Ohms a foot, out in 10 gauge and back in 8 gauge."""
JOINTS = 0.005
"""Ohms of the sound plugs of one stretch."""


def train(tractor: float, bad: int | None, ohms: float) -> list[float]:
    """Loaded volts at each stop, with so many ohms too many in one stretch."""
    volts, found = tractor, []
    for number, feet in enumerate(FEET):
        volts -= AMPS * (feet * LOOP + JOINTS + (ohms if number == bad else 0.0))
        found.append(volts)
    return found


def grade(stop: str, volts: float) -> Grade:
    row = next(row for row in PROCEDURE.checks if row.name == f"{stop} loaded")
    return judge(Decimal(str(round(volts, 2))), "V", limits_of(row, {"train": "triples"})).grade


@pytest.mark.parametrize("tractor", [12.5, 13.0, 13.6])
def test_a_sound_train_is_good_at_every_stop_though_the_voltage_falls(tractor: float) -> None:
    volts = train(tractor, None, 0.0)
    assert all(one > other for one, other in pairwise(volts))
    assert [grade(stop, one) for stop, one in zip(STOPS, volts, strict=True)] == [Grade.GOOD] * len(STOPS)


@pytest.mark.parametrize("tractor", [12.5, 13.0, 13.6])
@pytest.mark.parametrize("bad", range(len(STOPS)))
@pytest.mark.parametrize("module", [9.3, 8.0, 5.0])
def test_the_first_low_stop_is_right_behind_the_bad_stretch(tractor: float, bad: int, module: float) -> None:
    """Whatever the tractor gives: with the module below 9.5 V all stops before it are good and all behind are low."""
    ohms = (train(tractor, None, 0.0)[-1] - module) / AMPS
    grades = [grade(stop, one) for stop, one in zip(STOPS, train(tractor, bad, ohms), strict=True)]
    assert grades[:bad] == [Grade.GOOD] * bad
    assert grades[bad:] == [Grade.BAD_LOW] * (len(STOPS) - bad)


def test_without_a_load_a_bad_stretch_shows_nothing() -> None:
    """One strand carries a meter: at a milliamp half an ohm too many takes half a millivolt; full volts arrive."""
    milliamp = 0.001
    assert 12.6 - milliamp * (sum(FEET) * LOOP + 0.5) > 12.59
    for row in PROCEDURE.checks:
        if row.unit == "V" and row.name != "battery volts running":
            assert row.conditions.get("load") == "ten amps", row.name
