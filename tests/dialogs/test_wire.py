"""What wire and joints may lose on the seven-way, worked out anew from the published tables.

Sources: ASTM B258 for diameters (No. 36 is 0.005 in, No. 0000 is 0.46 in, 39 even steps between); IEC 60028 for
annealed copper at 20 C (1/58 ohm mm2/m); IEEE 112 for its temperature (234.5); NEC chapter 9 table 8 for stranded
copper at 75 C; SAE J2394 for the cable of the seven-way (8 gauge ground, 10 gauge on pins 4 and 7). All as read on
secondary pages.
"""

from __future__ import annotations

import math
from decimal import Decimal

import pytest

from assistant.diagnosis.fault_model import Suspect
from assistant.diagnosis.limits import limits_of
from assistant.messages import Grade
from assistant.messages.decisions import Observed
from assistant.procedure.load import load_procedure
from assistant.session.context import Context
from assistant.simulator.trial import run_trial
from assistant.simulator.unit import SimulatedUnit
from assistant.verdict.judge import judge
from tests.session.conversation import vocabulary

PROCEDURE = load_procedure("seven-way-power-and-grounds").procedure
AMPS = 10.0
LAMPS = 2.0
"""Behind the nose the circuit's own lamps, about 2 amps, share the wires with the load."""
FEET = {"short": 28.0, "long": 53.0}
GAUGE = {"power drop behind": 10, "ground drop behind": 8}
JOINTS = {"power drop behind": 0.2, "ground drop behind": 0.1}
"""Trade training, no standard: what the joints of one side may lose."""
STRANDED_75 = {8: 0.778, 10: 1.24}
"""NEC chapter 9 table 8: ohms per 1000 feet."""


def ohms_per_kft(gauge: int, celsius: float) -> float:
    """Solid annealed copper of a gauge at a temperature."""
    millimeters = 0.005 * 92 ** ((36 - gauge) / 39) * 25.4
    at_20: float = (1 / 58) / (math.pi * millimeters**2 / 4) * 304.8
    return at_20 * (234.5 + celsius) / (234.5 + 20)


def limit(check: str, length: str) -> float:
    row = next(row for row in PROCEDURE.checks if row.name == check)
    found = limits_of(row, {"length": length})
    assert found.high is not None
    return float(found.high)


def test_the_formula_is_the_published_table() -> None:
    """NEC solid 75 C: 8 gauge 0.764, 10 gauge 1.21 ohms per 1000 feet; stranded runs some two percent higher."""
    assert ohms_per_kft(8, 75) == pytest.approx(0.764, rel=0.004)
    assert ohms_per_kft(10, 75) == pytest.approx(1.21, rel=0.006)
    for gauge, stranded in STRANDED_75.items():
        assert stranded == pytest.approx(ohms_per_kft(gauge, 75), rel=0.025)


def test_the_worked_loop_of_the_trailer_cable() -> None:
    """10 A, 50 feet, 10 gauge out and 8 gauge back at 75 C: 0.1009 ohm, 1.009 V, 12.5 to 11.491 V."""
    loop = 50 * (STRANDED_75[10] + STRANDED_75[8]) / 1000
    assert loop == pytest.approx(0.1009, abs=5e-5)
    assert 12.5 - AMPS * loop == pytest.approx(11.491, abs=5e-4)


@pytest.mark.parametrize("check", GAUGE)
@pytest.mark.parametrize("length", FEET)
def test_a_sound_wire_passes_at_its_hottest(check: str, length: str) -> None:
    """The wire alone at 75 C leaves most of what the joints may lose."""
    wire = (AMPS + LAMPS) * FEET[length] * STRANDED_75[GAUGE[check]] / 1000
    assert wire < limit(check, length)
    assert limit(check, length) == pytest.approx(wire + JOINTS[check], abs=0.07)


@pytest.mark.parametrize("check", GAUGE)
@pytest.mark.parametrize("length", FEET)
@pytest.mark.parametrize("celsius", [-10, 20, 40, 75])
def test_a_joint_that_loses_half_a_volt_fails_at_every_temperature(check: str, length: str, celsius: float) -> None:
    """Twice to five times what a joint may lose is caught on a cold wire too, which itself loses least."""
    wire = AMPS * FEET[length] * ohms_per_kft(GAUGE[check], celsius) / 1000
    row = next(row for row in PROCEDURE.checks if row.name == check)
    verdict = judge(Decimal(str(round(wire + 0.5, 3))), "V", limits_of(row, {"length": length}))
    assert verdict.grade is Grade.BAD_HIGH


def test_a_length_that_is_not_known_is_taken_as_long() -> None:
    for check in GAUGE:
        assert limit(check, "not sure") == limit(check, "long") > limit(check, "short")


@pytest.mark.parametrize("length", FEET)
def test_a_joint_behind_the_nose_is_found_by_the_drop_across_it(length: str) -> None:
    """Ground joint in the junction box: the drop of the whole side first, then joint by joint, then mended."""
    fault = Suspect("ground joint behind", "junction box")
    facts = {"circuit": "center pin", "length": length, "how many": "several", "pattern": "wet",
             "tractors": "every tractor", "repaired before": "further back"}  # fmt: skip
    unit = SimulatedUnit(PROCEDURE, facts, {fault}, seed=6, meter_error=0.0)
    trial = run_trial(Context(PROCEDURE, vocabulary(), unit_number="0000"), unit)
    decisions = trial.decisions
    assert trial.ending == "cured and proven"
    asked = [(one.check, one.place) for one in decisions if isinstance(one, Observed)]
    assert ("ground joint drop, rear", "junction box") in asked
    across = next(one for one in decisions if isinstance(one, Observed) and one.check == "ground joint drop, rear"
                  and one.place == "junction box")  # fmt: skip
    assert across.value is not None or across.display == "unsteady"
