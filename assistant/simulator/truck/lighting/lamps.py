"""Lamps: what a filament or an LED draws at its volts, and how bright it looks.

A filament's ohms grow with its heat, so the circuit is solved again until volts and ohms agree.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from assistant.simulator.circuit import CurrentSource, Element, Resistor, VoltageSource, ports

RATED = 12.8
"""Volts at which lamps are rated: SAE J573, from memory."""
CURRENT_POWER, LIGHT_POWER = 0.55, 3.4
"""A filament's current goes with the 0.55 power of its volts and its light with the 3.4 power: lighting handbook,
from memory."""
COLD = 0.08
"""Share of its hot ohms that a cold filament has: about a twelfth, from memory."""
LED_VOLTS = 7.0
"""Volts below which a 12 volt LED lamp passes nothing: three junctions and a diode, from memory."""
LED_CLOSED = 1e6
"""Ohms of an LED lamp below that, or with its wires the wrong way round: from memory."""
DARK, FAINT = 0.03, 0.5
"""Shares of its light below which a lamp is called dark, and faint beside its neighbors: from memory."""
AGREES, ROUNDS = 1e-4, 60
"""Volts within which two rounds agree, and how many rounds there may be."""


@dataclass(frozen=True, slots=True)
class Lamp:
    """One lamp between two nodes."""

    name: str
    plus: str
    minus: str
    watts: float
    """At its rated volts."""
    led: bool = False

    def ohms(self, volts: float) -> float:
        """What a filament has at these volts across it."""
        hot = RATED**2 / self.watts
        return hot * max(COLD, math.pow(abs(volts) / RATED, 1 - CURRENT_POWER))

    def element(self, volts: float) -> Element:
        """What it is to the circuit with these volts across it."""
        if not self.led:
            return Resistor(self.plus, self.minus, self.ohms(volts))
        if volts <= LED_VOLTS:
            return Resistor(self.plus, self.minus, LED_CLOSED)
        return VoltageSource(self.plus, self.minus, LED_VOLTS, (RATED - LED_VOLTS) * RATED / self.watts)

    def light(self, volts: float) -> float:
        """Its light as a share of what it gives at its rated volts."""
        if not self.led:
            return math.pow(abs(volts) / RATED, LIGHT_POWER)
        return max(0.0, (volts - LED_VOLTS) / (RATED - LED_VOLTS))


def looks(light: float) -> str:
    """What somebody calls a lamp of so much light."""
    if light < DARK:
        return "dark"
    return "faint" if light < FAINT else "bright"


def settle(wires: list[Element], lamps: list[Lamp]) -> tuple[list[Element], Mapping[str, float]]:
    """The circuit with every lamp as it is at its own volts, and those volts by lamp.

    Args:
        wires: everything but the lamps.
        lamps: the lamps.
    """
    shut: list[Element] = [Resistor(lamp.plus, lamp.minus, LED_CLOSED) for lamp in lamps]
    feed, ohms = ports([*wires, *shut], [(lamp.plus, lamp.minus) for lamp in lamps])
    volts = np.full(len(lamps), RATED)
    for _ in range(ROUNDS):
        seen = [lamp.element(float(at)) for lamp, at in zip(lamps, volts, strict=True)]
        leads = np.array([1 / one.ohms - 1 / LED_CLOSED for one in seen if not isinstance(one, CurrentSource)])
        back = np.array([one.volts if isinstance(one, VoltageSource) else 0.0 for one in seen])
        # volts = feed - ohms * (amps of each lamp beyond the megohm that stands for it above)
        now = np.linalg.solve(np.eye(len(lamps)) + ohms * leads, feed + ohms @ (leads * back))
        done, volts = float(np.abs(now - volts).max(initial=0.0)) < AGREES, now
        if done:
            break
    return [*wires, *seen], {lamp.name: float(at) for lamp, at in zip(lamps, volts, strict=True)}
