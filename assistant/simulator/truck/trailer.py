"""The trailer in its present state: what is plugged, keyed, pressed, loaded and turning; its circuit; its defects.

Nodes and connectors carry the trade's words: ``tractor pin 7``, ``cord pin 7`` (trailer end of the cord), ``nose pin
7``, ``module blue`` (wire side of the power plug), ``left rear port 1`` (module side), ``left rear lead 1`` (wire
side of the same plug), ``left rear wheel end 1`` (wire side), ``left rear sensor 1`` (sensor side), ``frame`` and
``axle``.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from assistant.simulator.circuit import GROUND, Element, Resistor, Solution, VoltageSource, solve
from assistant.simulator.truck import build as sizes
from assistant.simulator.truck.build import PINS, Build
from assistant.simulator.truck.machine import TESTER, Machine, silenced
from assistant.simulator.truck.wire import copper_at, wire_ohms

COLORS = {"1": "ground", "4": "red", "7": "blue"}
CORD_OFF_TRACTOR, CORD_OFF_NOSE, POWER_PLUG = "cord at the tractor", "cord at the nose", "module power plug"
SENSOR_PLUGS = "sensor plugs at the module"
"""Stands for all sensor plugs at the module."""
OTHER_PIN = {"1": "2", "2": "1", "4": "7", "7": "4"}
TURNED_BY_HAND = 0.5
"""Turns a second to which ``build.OUTPUT`` belongs."""


@dataclass
class Trailer(Machine[Build]):
    """A trailer with its tractor, in the state in which hands left it."""

    swapped: tuple[str, str] | None = None
    """Two ports whose plugs were swapped by hand."""
    crept: set[str] = field(default_factory=set)
    """Wheels whose worn clip has let the sensor back off again."""

    def __post_init__(self) -> None:
        self.crept |= set(self.build.wheels)

    # ------------------------------------------------------------------------------------------------- defects

    def renew(self, parts: Iterable[str]) -> bool:
        """Mend, adjust or replace parts; True when one of them was bad and all is well with it now."""
        names = set(parts)
        # a sensor pushed home in a worn clip sits well until it has rolled
        self.crept -= {wheel for wheel in self.build.wheels if f"{wheel} gap" in names}
        return super().renew(names)

    def gap(self, wheel: str) -> float:
        """Millimeters between sensor and ring."""
        total = 0.0
        for one in self.there():
            gap = one.settings.get(f"{wheel} gap", 0.0)
            creeps = f"{wheel} creeps above" in one.settings
            total += gap if not creeps or wheel in self.crept else 0.0
        return total

    # ---------------------------------------------------------------------------------------------------- hands

    def connectors(self) -> set[str]:
        """Every plug that can be open."""
        one_by_one = {f"{wheel} plug at the module" for wheel in self.build.wheels}
        one_by_one |= {f"{wheel} wheel plug" for wheel in self.build.wheels}
        one_by_one |= {f"{valve} plug" for valve in self.build.modulators}
        one_by_one |= {f"{valve} plug at the module" for valve in self.build.modulators}
        return one_by_one | {CORD_OFF_TRACTOR, CORD_OFF_NOSE, POWER_PLUG}

    def groups_of_plugs(self) -> Mapping[str, set[str]]:
        """All sensor plugs at the module."""
        return {SENSOR_PLUGS: {f"{wheel} plug at the module" for wheel in self.build.wheels}}

    def groups(self) -> tuple[str, ...]:
        """Wheels with a sensor, and modulators."""
        return ("wheel", "modulator")

    def loads(self) -> Mapping[str, float]:
        """The tester, or the headlamp that stands for it."""
        return {TESTER: self.build.load_ohms}

    def mistaken(self, node: str) -> str:
        """The other pin of a sensor, or the other supply of the module."""
        return node[:-1] + OTHER_PIN.get(node[-1], node[-1])

    def put_back(self) -> None:
        """Everything as it was, swapped plugs in their own ports."""
        super().put_back()
        self.swapped = None

    # -------------------------------------------------------------------------------------------------- circuit

    def network(self, *, signals: bool = False) -> list[Element]:
        """The circuit as a meter meets it."""
        if signals:
            return self.signal_circuit()
        feed = self.powered()[0]
        return self.circuit(feed=feed, running=feed is not None)

    def pulse(self) -> float:
        """How much a signal pulses with each turn of the wheel that is turned by hand."""
        return self.swing(self.turning) if self.turning is not None and self.turning in self.lifted else 0.0

    def circuit(
        self, *, feed: str | None = None, running: bool = False, click: str | None = None, lit: bool = False
    ) -> list[Element]:
        """The network at direct current.

        Args:
            feed: ``blue`` or ``red``, whichever the module draws from; None for neither.
            running: True while the module's 5 volt rail is up.
            click: modulator whose solenoids the module pulls now.
            lit: True while the module feeds its light.
        """
        parts = self._supply() + self._trailer_wires() + self._module(feed, running, click)
        for wheel in self.build.wheels:
            parts += self._sensor(wheel)
        for valve in self.build.modulators:
            parts += self._valve(valve)
        if lit and feed is not None:
            parts.append(self.link("light driver", "module in", "lamp out", sizes.DRIVER))
        return parts + self.added()

    def signal_circuit(self, speed: float | None = None) -> list[Element]:
        """The network with nothing but the sensors' signals: every other source is silent.

        Args:
            speed: miles an hour of all wheels; None: the wheel that is turned by hand.
        """
        feed = self.powered()[0]
        silent = silenced(self.circuit(feed=feed, running=feed is not None))
        for wheel in self.build.wheels:
            volts = self.signal(wheel, speed)
            if volts:
                silent = [one for one in silent if not _joins(one, f"{wheel} inside", f"{wheel} sensor 2")]
                silent.append(VoltageSource(f"{wheel} inside", f"{wheel} sensor 2", volts))
        return silent

    def powered(self) -> tuple[str | None, Solution]:
        """What the module draws from now (None when it does not run), and the circuit then."""
        bare = solve(self.circuit())
        best: tuple[str | None, Solution] = None, bare
        if POWER_PLUG in self.unplugged or self.value("module does not wake"):
            return best
        feed = max(("blue", "red"), key=lambda name: bare.between(f"module {name}", "module ground"))
        if bare.between(f"module {feed}", "module ground") < sizes.RUNS:
            return best
        working = solve(self.circuit(feed=feed, running=True))
        return (
            (feed, working) if working.between("module in", "module in ground") >= sizes.RUNS - sizes.DIODE else best
        )

    def signal(self, wheel: str, speed: float | None = None) -> float:
        """Effective volts that a sensor makes, mean over a turn, before its coil's ohms."""
        turns = self.pace if speed is None and wheel == self.turning and wheel in self.lifted else 0.0
        if speed is not None:
            turns = speed * sizes.TURNS_A_MILE / 3600 * (1 + self.value(f"{wheel} tire"))
        fade = math.exp(-self.gap(wheel) / sizes.FADE)
        teeth = 1 - self.value(f"{wheel} teeth missing") / sizes.TEETH
        return sizes.OUTPUT * turns / TURNED_BY_HAND * fade * teeth * (1 - self.value(f"{wheel} turns lost"))

    def swing(self, wheel: str) -> float:
        """Share of its mean by which a wheel's signal changes within a turn, as a meter of 0.4 second means."""
        teeth = self.value(f"{wheel} teeth missing") / sizes.TEETH / TURNED_BY_HAND / 0.4
        off_center = self.value(f"{wheel} ring runout") + 25.4 * 0.3 * self.value(f"{wheel} play")
        return min(0.9, teeth + 1 - math.exp(-off_center / sizes.FADE))

    def wheel_of(self, port: str) -> str:
        """The wheel whose sensor wire ends in the plug of this port."""
        if not self.value("crossed"):
            return port
        side = next(side for side in sizes.SIDES if port.startswith(side))
        other = sizes.SIDES[1 - sizes.SIDES.index(side)]
        return port.replace(side, other, 1)

    def _supply(self) -> list[Element]:
        """Battery or alternator, breaker, switch, tractor's wires, socket and cord."""
        air = self.build.air
        volts, inner = (sizes.CHARGING, sizes.ALTERNATOR_OHMS) if self.engine else (sizes.RESTED, sizes.BATTERY_OHMS)
        hot = 0.0 if self.key else math.inf
        # stop lamps work without the key; a test supply feeds both pins
        braking = hot if self.build.supply != "tractor" else 0.0 if self.pedal else math.inf
        parts: list[Element] = [VoltageSource("battery", GROUND, volts, inner)]
        parts += [
            self.link("tractor blue breaker", "battery", "tractor blue", sizes.BREAKER + hot),
            self.link("tractor red breaker", "battery", "tractor red", sizes.BREAKER + sizes.SWITCH + braking),
            Resistor("tractor ground", GROUND, sizes.CONTACT),
            Resistor("frame", GROUND, sizes.KINGPIN),
        ]
        for pin, color in COLORS.items():
            feet, gauge = sizes.TRACTOR_FEET, sizes.GAUGE[pin]
            ohms = wire_ohms(gauge, feet, air) + sizes.CONTACT
            parts.append(self.link(f"tractor {color} wire", f"tractor {color}", f"tractor pin {pin}", ohms))
            ohms = wire_ohms(gauge, sizes.CORD_FEET, air) + sizes.CONTACT
            parts.append(
                self.link(f"cord pin {pin}", f"tractor pin {pin}", f"cord pin {pin}", ohms, CORD_OFF_TRACTOR)
            )
            parts.append(
                self.link(f"nose pin {pin}", f"cord pin {pin}", f"nose pin {pin}", sizes.CONTACT, CORD_OFF_NOSE)
            )
        return parts

    def _trailer_wires(self) -> list[Element]:
        air = self.build.air
        parts: list[Element] = [
            self.link("frame ground", "nose pin 1", "frame", sizes.CONTACT),
            Resistor("frame", "axle", 0.5),
            self.link("light wire", "lamp out", "lamp plug", wire_ohms(16, sizes.LIGHT_FEET, air)),
            self.link("light plug", "lamp plug", "lamp", sizes.CONTACT),
            self.link("light filament", "lamp", "lamp return", sizes.BULB),
            self.link("light ground", "lamp return", "frame", sizes.CONTACT),
        ]
        for pin in PINS:
            color = COLORS[pin]
            ohms = wire_ohms(sizes.GAUGE[pin], sizes.TRAILER_FEET, air) + 2 * sizes.CONTACT
            parts.append(self.link(f"trailer {color} wire", f"nose pin {pin}", f"module {color}", ohms))
        return parts

    def _module(self, feed: str | None, running: bool, click: str | None) -> list[Element]:
        parts: list[Element] = [
            self.link("module ground pin", "module ground", "module in ground", sizes.CONTACT, POWER_PLUG)
        ]
        for wheel in self.build.wheels:
            parts += [
                self.link(f"{wheel} port feed", "module rail", f"{wheel} port 1", sizes.PULL_UP),
                Resistor(f"{wheel} port 2", "module in ground", sizes.PULL_DOWN),
            ]
        if running:
            rail = self.link("module regulator", "module 5 volts", "module rail", 0.0)
            parts += [VoltageSource("module 5 volts", "module in ground", self.build.rail), rail]
        if feed is not None:
            parts += [
                VoltageSource(f"module {feed}", "module in", sizes.DIODE, 0.02),
                Resistor("module in", "module in ground", sizes.MODULE_OHMS),
            ]
        if click is not None and feed is not None:
            parts += [Resistor("module in", f"{click} driver {coil}", 0.3) for coil in ("hold", "dump")]
        return parts

    def _sensor(self, port: str) -> list[Element]:
        """The port's plug, the wire in it, the plug at that wire's wheel, and the sensor there."""
        into = dict((self.swapped, self.swapped[::-1])) if self.swapped else {}
        wheel = self.wheel_of(port)
        air, coil = self.build.air, self._coil(wheel)
        parts: list[Element] = []
        for leg in ("1", "2"):
            parts += [
                self.link(
                    f"{port} module plug {leg}", f"{into.get(port, port)} port {leg}", f"{port} lead {leg}",
                    sizes.CONTACT, f"{port} plug at the module",
                ),
                self.link(
                    f"{wheel} wire {leg}", f"{port} lead {leg}", f"{wheel} wheel end {leg}", wire_ohms(16, 12, air)
                ),
                self.link(
                    f"{wheel} wheel plug {leg}", f"{wheel} wheel end {leg}", f"{wheel} sensor {leg}",
                    sizes.CONTACT, f"{wheel} wheel plug",
                ),
                Resistor(f"{wheel} wheel end {leg}", "frame", sizes.LEAK),
                Resistor(f"{wheel} sensor {leg}", "axle", sizes.LEAK),
            ]  # fmt: skip
        return [
            *parts,
            self.link(f"{wheel} coil", f"{wheel} sensor 1", f"{wheel} inside", coil),
            Resistor(f"{wheel} inside", f"{wheel} sensor 2", 0.0),
        ]

    def _coil(self, wheel: str) -> float:
        given = self.build.sensor_ohms
        ohms = given[self.build.wheels.index(wheel) % len(given)] if given else sizes.SENSOR
        return copper_at(ohms, self.build.hubs) * (1 - self.value(f"{wheel} turns lost"))

    def _valve(self, valve: str) -> list[Element]:
        parts: list[Element] = []
        plug, coil_ohms = f"{valve} plug", copper_at(sizes.COIL, self.build.air)
        for wire in ("hold", "dump", "common"):
            inside = "module in ground" if wire == "common" else f"{valve} driver {wire}"
            parts += [
                self.link(
                    f"{valve} module plug {wire}", inside, f"{valve} lead {wire}", sizes.CONTACT,
                    f"{valve} plug at the module",
                ),
                self.link(f"{valve} {wire} wire", f"{valve} lead {wire}", f"{valve} wire end {wire}", 0.1),
                self.link(
                    f"{valve} valve plug {wire}", f"{valve} wire end {wire}", f"{valve} valve {wire}",
                    sizes.CONTACT, plug,
                ),
            ]  # fmt: skip
            if wire != "common":
                parts.append(
                    self.link(f"{valve} {wire} coil", f"{valve} valve {wire}", f"{valve} valve common", coil_ohms)
                )
        return parts


def _joins(element: Element, first: str, second: str) -> bool:
    return isinstance(element, Resistor) and (element.first, element.second) == (first, second)
