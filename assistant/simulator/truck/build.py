"""What a trailer is built with, and how its electrics are sized. Every figure names where it comes from.

Figures marked 'from memory' or 'common practice' are typical of the kind of part, and no maker's.
"""

from __future__ import annotations

from dataclasses import dataclass

SIDES = ("left", "right")
AXLES = {1: ("rear",), 2: ("front", "rear"), 3: ("front", "middle", "rear")}
"""Axles of the group, front to back; a single one is the rear one."""
VALVES = ("first modulator", "second modulator", "third modulator")
PINS = ("1", "4", "7")
"""Pins of the seven-way that serve the ABS: ground, stop lamps, constant power (SAE J560, TMC RP 141)."""

CONTACT = 0.003
"""Ohms of one clean seven-way contact or ring terminal: common practice, no source."""
RESTED = 12.65
"""Volts of a charged flooded battery at rest: the industry's table."""
BATTERY_OHMS = 0.006
"""Inner ohms of a bank of four batteries with its cables: from memory."""
CHARGING = 14.1
"""Volts that the alternator holds: common practice, no source."""
ALTERNATOR_OHMS = 0.01
"""Inner ohms of the alternator at the loads of a trailer: from memory."""
BREAKER = 0.006
"""Ohms of a 30 amp breaker and its studs: from memory."""
SWITCH = 0.01
"""Ohms of the stop lamps' relay: from memory."""
TRACTOR_FEET, CORD_FEET, TRAILER_FEET = 25.0, 15.0, 45.0
"""Lengths from cab to socket, of the cord, and from the nose to the module of a 53 foot trailer: from memory."""
GAUGE = {"1": 8, "4": 10, "7": 10}
"""Conductors of an ABS cord: SAE J2394 (1 x 8, 2 x 10, 4 x 12)."""
KINGPIN = 5.0
"""Ohms from frame to frame through the kingpin and its grease: common practice, no source."""
LOAD = 1.25
"""Ohms of the tester that draws 10 amps at 12.5 volts: TMC RP 137's load."""
HEADLAMP = 2.78
"""Ohms of a 55 watt headlamp at 12.8 volts, hot: 4.6 amps."""
BULB = 29.0
"""Ohms of a 5 watt lamp at 12 volts."""
LIGHT_FEET = 12.0
"""Feet from the module to its light: from memory."""
DRIVER = 0.3
"""Ohms of the module's switch that feeds its light: from memory."""
LIT = 4.0
"""Volts at which a 12 volt lamp can be seen to glow: from memory."""

MODULE_OHMS = 40.0
"""Load of an idle module at 12 volts, 0.3 amp: from memory."""
DIODE = 0.6
"""Volts that the module's diodes take between its two supplies and itself."""
RUNS, RUNS_SOUND = 7.5, 9.0
"""Volts at which the module runs at all, and below which it stores a power code: from memory; TMC RP 141 asks 9.5."""
PULL_UP, PULL_DOWN = 4700.0, 1000.0
"""Ohms from the 5 volt rail to the first pin of a port and from the second to ground: common practice, no source."""
RAIL, LOW_RAIL = 5.0, 2.4
"""Volts that a port shows open, pin to pin: about 5 as common practice has it; on some systems half of that."""
SHORT, OPEN = 350.0, 8000.0
"""Ohms at the port outside which the module calls its sensor shorted or open: from memory."""
COIL = 8.0
"""Ohms of a modulator's solenoid at 20 C: from memory; it differs by system."""
CLICKS = 0.5
"""Amps from which a solenoid is heard to pull: from memory."""

SENSOR = 1200.0
"""Ohms of a sensor's coil at 20 C: common practice, no source."""
OUTPUT = 0.6
"""Volts AC of a sensor that touches its ring, at half a turn a second: common practice has 0.2 as the least."""
FADE = 0.9
"""Millimeters of gap that cut the output to 37 percent: from memory; FHWA-MC-98-008 page 11 has it fall quickly."""
TEETH = 100
"""Teeth of the ring: FHWA-MC-98-008, page 11, most common."""
TURNS_A_MILE = 515.0
"""Turns of a wheel in a mile: handbook tables for 295/75R22.5."""
SEEN = 0.2
"""Volts AC at the port below which a rolling module misses a wheel: from memory."""
WATCHES = 4.0
"""Miles an hour from which the module compares its wheels: common practice, about 5."""
DIFFERENT = 0.07
"""Share by which wheels may differ before the module calls it a mismatch: from memory; differs by system."""
PLAY = 0.005
"""Inches of end play above which a wheel bearing is loose: common practice, no source."""
LEAK = 200e6
"""Ohms from a dry wire or coil to the frame: common practice, open on any meter."""


@dataclass(frozen=True, slots=True)
class Build:
    """One trailer, the tractor before it and how it is used."""

    axles: int = 1
    """Axles of the group: 1 to 3."""
    sensor_axles: tuple[str, ...] = ("rear",)
    """Axles with sensors: two sensors each (2S, 4S or 6S)."""
    valves: int = 1
    """Modulator valves: 1M to 3M."""
    brakes: str = "drum"
    """``drum`` or ``disc``."""
    shields: str = "fixed"
    """``come off``, ``fixed`` or ``no shields``."""
    rail: float = RAIL
    """Volts that an open port shows."""
    holds_light: bool = True
    """True for a system that keeps the light on after a fault until the wheels have rolled."""
    supply: str = "tractor"
    """``tractor`` or ``test power``."""
    dash_light: bool = True
    """True for a tractor with a dash light for the trailer."""
    air: float = 20.0
    """Temperature of the air and the wires, C."""
    hubs: float = 20.0
    """Temperature of the sensors' coils, C."""
    sensor_ohms: tuple[float, ...] = ()
    """Coils at 20 C wheel by wheel; empty for the usual figure."""
    load_ohms: float = LOAD
    """What the technician loads wires with."""

    @property
    def wheels(self) -> tuple[str, ...]:
        """Wheels with a sensor, such as ``left rear``."""
        return tuple(f"{side} {axle}" for axle in AXLES[self.axles] if axle in self.sensor_axles for side in SIDES)

    @property
    def modulators(self) -> tuple[str, ...]:
        """Its modulator valves."""
        return VALVES[: self.valves]

    def places(self, group: str) -> tuple[str, ...]:
        """Its wheels with a sensor, or its modulators."""
        return {"wheel": self.wheels, "modulator": self.modulators}.get(group, ())
