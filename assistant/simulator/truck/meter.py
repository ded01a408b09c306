"""A multimeter as an instrument: dial, jacks and tips, and what its display then shows.

It loads the circuit as a real one does. Figures of a common low-cost meter of 2000 counts: from memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from assistant.errors import DefectError
from assistant.simulator.circuit import Element, Resistor, VoltageSource, solve
from assistant.simulator.truck.machine import Machine

INPUT_OHMS = 10e6
"""Ohms between the tips on volts."""
SHUNT_OHMS = 0.02
"""Ohms between the tips with a lead in the amps jack: shunt, fuse and leads."""
FUSE = 10.0
"""Amps that blow the fuse of the amps jack."""
TEST_VOLTS = 2.8
"""Open volts of the tips on ohms."""
RANGES = (200.0, 2e3, 20e3, 200e3, 2e6, 20e6)
"""Ohms ranges; beyond the last one it shows over range."""
COUNTS = 2000
LAST_DIGIT = {True: 0.1, False: 0.001}
"""The smallest last digit on ohms, and on volts."""
JUMPS = 0.05
"""Share by which a display must change to be called jumping, and at least three of its last digits."""


class Dial(StrEnum):
    """What the dial stands on."""

    DC = "DC volts"
    AC = "AC volts"
    OHMS = "ohms"
    AMPS = "DC amps"


class Shown(StrEnum):
    """What a display does."""

    VALUE = "value"
    JUMPING = "jumping"
    OVER_RANGE = "over range"


@dataclass(frozen=True, slots=True)
class Display:
    """What can be read off."""

    shown: Shown
    value: float = 0.0
    """Volts or ohms; the lower end where it jumps."""
    high: float = 0.0
    """The upper end where it jumps."""
    decimals: int = 0
    """Digits behind the point."""


@dataclass
class Instrument:
    """One meter with its leads."""

    lead_ohms: float = 0.15
    """Ohms of both leads, tips held together."""
    error: float = 0.0
    """Share by which it reads high (or low, where negative)."""
    in_amps_jack: bool = False
    """True while the red lead sits in the amps jack."""
    lead_off: bool = False
    """True while a lead hangs loose."""
    fuse_blown: bool = False
    """True once the amps jack's fuse is gone."""

    def read(self, unit: Machine[Any], dial: Dial, red: str, black: str, *, moved: bool = False) -> Display:
        """What it shows at two nodes of the unit; ``moved`` when wires and plugs are flexed and wetted meanwhile."""
        before = unit.moved, unit.wet
        unit.moved = unit.moved and not moved
        still = self._value(unit, dial, red, black)
        ends = [still]
        for unit.moved, unit.wet in ((True, before[1]), (True, True)) if moved else ():
            ends.append(self._value(unit, dial, red, black))
        unit.moved, unit.wet = before
        if dial is Dial.AC and math.isfinite(still):
            swing = unit.pulse()
            ends += [still * (1 - swing / 2), still * (1 + swing / 2)] if swing else []
        finite = [one for one in ends if math.isfinite(one)]
        if not finite:
            return Display(Shown.OVER_RANGE)
        low, high = min(finite), max(finite)
        if len(finite) < len(ends):
            # it goes over range and comes back
            high = max(RANGES)
        step = _step(high, dial)
        decimals = max(0, round(-math.log10(step)))
        if high - low > max(JUMPS * max(abs(low), abs(high)), 3 * step):
            return Display(Shown.JUMPING, _rounded(low, step), _rounded(high, step), decimals)
        return Display(Shown.VALUE, _rounded(still, step), decimals=decimals)

    def _value(self, unit: Machine[Any], dial: Dial, red: str, black: str) -> float:
        """Volts or ohms as displayed, infinity for over range."""
        joined = not self.lead_off
        if dial is Dial.OHMS:
            return self._ohms(unit, red, black) if joined and not self.in_amps_jack else math.inf
        if dial is Dial.AMPS:
            return self._amps(unit, red, black) if joined and self.in_amps_jack else 0.0
        if self.in_amps_jack and joined:
            self._shunted(unit, red, black)
        if not joined or self.in_amps_jack:
            return 0.0
        network = unit.network(signals=dial is Dial.AC)
        volts = solve([*network, Resistor(_node(network, red), _node(network, black), INPUT_OHMS)]).between(
            red, black
        )
        return (1 + self.error) * (volts if dial is Dial.DC else abs(volts))

    def _ohms(self, unit: Machine[Any], red: str, black: str) -> float:
        """Ratio of the volts on what is measured to those on the meter's own resistor of the same range."""
        network = unit.network()
        red, black = _node(network, red), _node(network, black)
        for scale in RANGES:
            test: list[Element] = [
                VoltageSource("meter", black, TEST_VOLTS), Resistor("meter", "meter tip", scale),
                Resistor("meter tip", red, self.lead_ohms),
            ]  # fmt: skip
            solution = solve([*network, *test])
            over, through = solution.between("meter tip", black), solution.between("meter", "meter tip")
            shown = math.inf if through <= 0 else scale * over / through * (1 + self.error)
            if 0 <= shown < scale:
                return shown
        return math.inf if over > 0 else 0.0

    def _shunted(self, unit: Machine[Any], red: str, black: str) -> None:
        """The amps jack puts its shunt across the tips; too much current blows the fuse."""
        self._amps(unit, red, black)

    def _amps(self, unit: Machine[Any], red: str, black: str) -> float:
        """Amps through the shunt of the amps jack; none once its fuse is blown."""
        if self.fuse_blown:
            return 0.0
        network = unit.network()
        red, black = _node(network, red), _node(network, black)
        amps = solve([*network, Resistor(red, black, SHUNT_OHMS)]).between(red, black) / SHUNT_OHMS
        self.fuse_blown = abs(amps) > FUSE
        return 0.0 if self.fuse_blown else (1 + self.error) * amps


def _node(network: list[Element], name: str) -> str:
    """The node, which must be there."""
    for one in network:
        ends = (one.plus, one.minus) if isinstance(one, VoltageSource) else None
        ends = (one.first, one.second) if isinstance(one, Resistor) else ends
        if ends and name in ends:
            return name
    raise DefectError(f"The unit has no place '{name}' for a meter's tip.")


def _step(value: float, dial: Dial) -> float:
    """The last digit of a display that shows this value."""
    return max(LAST_DIGIT[dial is Dial.OHMS], 10.0 ** math.ceil(math.log10(max(abs(value), 1e-3) / COUNTS)))


def _rounded(value: float, step: float) -> float:
    return round(round(value / step) * step, 6)
