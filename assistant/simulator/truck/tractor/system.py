"""A tractor's ABS in its present state: what differs from a trailer's is the supply, the plugs and the light.

Its module has a few large plugs and none a sensor: with the frame plug off every sensor is off. The light on the dash
comes on by itself when the module is dead, so that it never stays dark.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from assistant.simulator.circuit import GROUND, Element, Resistor, VoltageSource
from assistant.simulator.truck import build as sizes
from assistant.simulator.truck.build import SIDES, Build
from assistant.simulator.truck.controller import Controller
from assistant.simulator.truck.machine import TESTER
from assistant.simulator.truck.trailer import POWER_PLUG, Trailer
from assistant.simulator.truck.wire import wire_ohms

FRAME_PLUG, CORD = "frame plug at the module", "trailer's cord"
LAMPS = "headlamps"
POWER_FEET, GROUND_FEET, POWER_GAUGE = 20.0, 12.0, 10
"""Lengths from the battery to the module, and back to the frame: from memory."""
RELAY = 0.01
"""Ohms of the ignition relay: from memory."""
LAMP_OHMS = 1.0
"""Headlamps and markers: 13 amps at 12.8 volts, from memory."""


@dataclass(frozen=True, slots=True)
class TractorBuild(Build):
    """One tractor."""

    six_sensors: bool = False
    drive_axle: str = "rear"
    """``forward`` or ``rear``: the drive axle with sensors where there are four."""
    valve_count: int = 4
    """3, 4 or 6."""

    @property
    def wheels(self) -> tuple[str, ...]:
        """Wheels with a sensor."""
        drives = ("forward", "rear") if self.six_sensors else (self.drive_axle,)
        return (*(f"{side} steer" for side in SIDES), *(f"{side} {one} drive" for one in drives for side in SIDES))

    @property
    def modulators(self) -> tuple[str, ...]:
        """Its modulator valves; of three, one serves the whole steer axle."""
        steer = ("steer axle valve",) if self.valve_count == 3 else ("left steer valve", "right steer valve")
        back = ("left back valve", "right back valve") if self.valve_count == 6 else ()
        return (*steer, "left drive valve", "right drive valve", *back)


@dataclass
class Tractor(Trailer):
    """A tractor in the state in which hands left it."""

    def connectors(self) -> set[str]:
        """Every plug that can be open; the trailer's cord is one too."""
        wheels = {f"{wheel} plug at the module" for wheel in self.build.wheels}
        wheels |= {f"{wheel} wheel plug" for wheel in self.build.wheels}
        return wheels | {f"{valve} plug" for valve in self.build.modulators} | {POWER_PLUG, CORD}

    def groups_of_plugs(self) -> Mapping[str, set[str]]:
        """The large plug that carries every sensor."""
        return {FRAME_PLUG: {f"{wheel} plug at the module" for wheel in self.build.wheels}}

    def controls(self) -> Mapping[str, tuple[str, ...]]:
        """Headlamps."""
        return {LAMPS: ("off", "on")}

    def loads(self) -> Mapping[str, float]:
        """The tester, or the headlamp that stands for it."""
        return {TESTER: self.build.load_ohms}

    def wheel_of(self, port: str) -> str:
        """The wheel whose sensor wire ends in this port: crossed wires are those of the last axle with sensors."""
        last = self.build.wheels[-2:]
        return super().wheel_of(port) if port in last else port

    def _supply(self) -> list[Element]:
        """Battery or alternator, fuse, relay, wire."""
        air = self.build.air
        volts, inner = (sizes.CHARGING, sizes.ALTERNATOR_OHMS) if self.engine else (sizes.RESTED, sizes.BATTERY_OHMS)
        if not self.engine:
            volts, inner = volts - self.value("battery volts lost"), inner + self.value("battery ohms")
        hot = 0.0 if self.key else math.inf
        return [
            VoltageSource("battery positive", "battery negative", volts, inner),
            Resistor("battery negative", GROUND, 0.0005),
            Resistor("battery positive", GROUND, LAMP_OHMS if self.at(LAMPS) == "on" else math.inf),
            Resistor("battery positive", GROUND, 4.0 + hot),
            self.link("fuse", "battery positive", "fuse out", sizes.BREAKER + RELAY + hot),
            self.link(
                "power wire", "fuse out", "module blue",
                wire_ohms(POWER_GAUGE, POWER_FEET, air) + 2 * sizes.CONTACT,
            ),
            # valves and module share the one supply here
            Resistor("module red", "frame", 1e6),
        ]  # fmt: skip

    def _trailer_wires(self) -> list[Element]:
        air = self.build.air
        return [
            Resistor("frame", GROUND, 0.001),
            Resistor("frame", "axle", 0.5),
            self.link(
                "ground wire", "module ground", "frame",
                wire_ohms(POWER_GAUGE, GROUND_FEET, air) + 2 * sizes.CONTACT,
            ),
            Resistor("lamp out", "lamp plug", 0.1),
            self.link("light plug", "lamp plug", "lamp", sizes.CONTACT),
            self.link("light filament", "lamp", "lamp return", sizes.BULB),
            self.link("light ground", "lamp return", "frame", sizes.CONTACT),
        ]  # fmt: skip


@dataclass
class TractorModule(Controller):
    """The tractor's module and its light on the dash."""

    def dash(self) -> str:
        """``stays on``, ``goes out`` or ``flickers`` after key on: dead, the light is on by itself."""
        if not self.connected():
            return "stays on"
        seen = self.light_at_power_up()
        return "stays on" if seen == "stays dark" else seen

    def lit(self) -> bool:
        """True when the tractor's light is on now, wheels still."""
        return not self.connected() or self.light()
