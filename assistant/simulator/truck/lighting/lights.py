"""A trailer's light circuits behind a tractor: seven-way, cord, joints, wires, lamps and the ground that all share.

Pins are those of SAE J560: one ground, two markers, three left turn, four stop lamps, five right turn, six tail
lamps, seven (the center) constant power for the ABS. Nodes carry the trade's words: ``tractor pin seven``, ``cord
tractor end seven`` and ``cord pin seven`` (the cord's two plugs), ``nose pin seven`` (back of the nose socket),
``front wire seven``, ``junction in seven``, ``junction out seven`` and, of the circuit that the complaint is of,
``plug wire`` and ``far end``. ``one`` is the same path for ground. A lamp has ``left stop power`` and ``left stop
ground``, the wires behind its plug.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from assistant.simulator.circuit import GROUND, Element, Resistor, VoltageSource
from assistant.simulator.truck import build as sizes
from assistant.simulator.truck.lighting.lamps import Lamp, settle
from assistant.simulator.truck.machine import TESTER, Machine, silenced
from assistant.simulator.truck.trailer import CORD_OFF_NOSE, CORD_OFF_TRACTOR
from assistant.simulator.truck.wire import wire_ohms

PINS = ("two", "three", "four", "five", "six", "seven")
"""Pins that bring power."""
CIRCUITS = {
    "two": "markers", "three": "left turn", "four": "stop lamps", "five": "right turn", "six": "tail lamps",
    "seven": "center pin",
}  # fmt: skip
"""What each pin feeds, which is also the name of its switch."""
GAUGE = {"one": 8, "two": 12, "three": 12, "four": 10, "five": 12, "six": 12, "seven": 10}
"""Conductors by pin: SAE J560 and, for the cord, SAE J2394 (1 x 8, 2 x 10, 4 x 12)."""
AMPS = ("four", "seven")
"""Pins for which ten amps are published: TMC RP 137."""
FRONT_JOINTS = ("cord plug at the tractor", "cord plug at the nose")
REAR_JOINTS = ("nose box", "junction box", "last plug")
SIDES = ("left", "right")
STOP_OR_TURN, TAIL, MARKER = 26.9, 8.3, 4.0
"""Watts of bulbs: 2.1 and 0.59 amps at 12.8 volts for the two filaments of a stop and tail bulb, about 4 watts for a
marker: from memory of SAE J573."""
LED_SHARE = 0.15
"""Watts of an LED lamp beside those of the bulb that it replaces: from memory."""
LAST = {
    "two": "right rear marker", "three": "left turn", "four": "right stop", "five": "right turn", "six": "right tail",
}  # fmt: skip
"""The last lamp of each circuit."""
BRANCH_FEET = 6.0
"""Feet from the junction box to a lamp: from memory."""
OFF_FRAME = 0.02
"""Ohms of a clean ground from lamp to frame: from memory."""


@dataclass(frozen=True, slots=True)
class LightBuild:
    """One trailer with its tractor, and the circuit that the complaint is of."""

    feet: float = sizes.TRAILER_FEET
    """From the nose to the far end."""
    led: bool = False
    """True for LED lamps."""
    to_frame: bool = False
    """True where lamps are grounded to the frame near them, False where a wire runs to the nose."""
    kingpin: float = sizes.KINGPIN
    """Ohms through the coupling, standing still."""
    air: float = 20.0
    """Temperature of the wires, C."""
    load_ohms: float = sizes.LOAD
    """What the technician loads wires with."""
    pin: str = "four"
    """The circuit that the complaint is of."""
    far: bool = False
    """True where the last lamp of that circuit, or the module, sits behind a plug at its far end."""

    def lamps(self) -> tuple[tuple[str, str, float], ...]:
        """Every lamp: its name, its pin, its watts as a bulb."""
        both = [
            (f"{side} {name}", pin, watts)
            for name, pin, watts in (
                ("front marker", "two", MARKER), ("rear marker", "two", MARKER), ("tail", "six", TAIL),
                ("stop", "four", STOP_OR_TURN),
            )
            for side in SIDES
        ]  # fmt: skip
        turns = [
            (f"{side} {name}", pin, watts)
            for side, pin in (("left", "three"), ("right", "five"))
            for name, watts in (("turn", STOP_OR_TURN), ("side turn", TAIL))
        ]
        return (*both, *turns, ("license lamp", "six", MARKER))

    def places(self, group: str) -> tuple[str, ...]:
        """Its lamps, the joints of its circuits, and the pins of its seven-way."""
        named = {
            "lamp": tuple(name for name, _, _ in self.lamps()),
            "double lamp": ("left tail", "right tail"), "front joint": FRONT_JOINTS,
            "rear joint": REAR_JOINTS, "pin": tuple(f"pin {pin}" for pin in PINS),
        }  # fmt: skip
        return named.get(group, ())


@dataclass
class Lights(Machine[LightBuild]):
    """The trailer and its tractor, in the state in which hands left them."""

    def connectors(self) -> set[str]:
        """The cord's two plugs, and the plug at the far end of the circuit."""
        return {CORD_OFF_TRACTOR, CORD_OFF_NOSE, "last plug"}

    def controls(self) -> Mapping[str, tuple[str, ...]]:
        """One switch for each circuit, also by its pin; hazard for both turns; the coupling, which can be rocked."""
        circuits = dict.fromkeys((*CIRCUITS.values(), "hazard"), ("off", "on"))
        pins = dict.fromkeys((f"pin {pin}" for pin in PINS), ("off", "on"))
        return {**circuits, **pins, "coupling": ("standing", "rocked")}

    def groups(self) -> tuple[str, ...]:
        """Lamps, joints and pins."""
        return ("lamp", "front joint", "rear joint", "pin")

    def loads(self) -> Mapping[str, float]:
        """The tester or the headlamp, a headlamp for certain, and ten amps or a headlamp as a pin asks for it."""
        fitting = {f"load for pin {pin}": sizes.LOAD if pin in AMPS else sizes.HEADLAMP for pin in PINS}
        return {TESTER: self.build.load_ohms, "headlamp": sizes.HEADLAMP, **fitting}

    def mistaken(self, node: str) -> str:
        """A neighbor of the pin."""
        head, _, pin = node.rpartition(" ")
        pins = ("one", *PINS)
        here = head in {"tractor pin", "cord pin", "nose pin", "cord tractor end"}
        return f"{head} {pins[(pins.index(pin) + 1) % len(pins)]}" if here and pin in pins else node

    def hot(self, pin: str) -> bool:
        """True when the tractor feeds this pin now."""
        if pin == "seven":
            return self.key
        braking = pin == "four" and self.pedal
        by_pin = self.at(f"pin {pin}") == "on"
        hazard = pin in {"three", "five"} and self.at("hazard") == "on"
        return braking or hazard or by_pin or self.at(CIRCUITS[pin]) == "on"

    def network(self, *, signals: bool = False) -> list[Element]:
        """The circuit as a meter meets it, every lamp as hot as it is."""
        network = self._settled()[0]
        return silenced(network) if signals else network

    def lit(self) -> Mapping[str, float]:
        """Light of every lamp, as a share of what it gives at its rated volts."""
        volts = self._settled()[1]
        return {lamp.name: lamp.light(volts[lamp.name]) for lamp in self.lamps()}

    def _settled(self) -> tuple[list[Element], Mapping[str, float]]:
        return settle(self.wires(), self.lamps())

    def lamps(self) -> list[Lamp]:
        """Every lamp between the two contacts of its socket."""
        led, made = self.build.led, []
        for name, _, watts in self.build.lamps():
            plus = self._turned_round(name)
            made.append(Lamp(name, f"{plus} filament", f"{name} return", watts * (LED_SHARE if led else 1), led=led))
        return made

    def _turned_round(self, name: str) -> str:
        """The socket contact that a filament meets: a double bulb that is turned round has its two changed over."""
        side, _, kind = name.partition(" ")
        other = {"tail": "stop", "stop": "tail"}.get(kind)
        return f"{side} {other}" if other and self.value(f"{side} bulb turned round") else name

    def wires(self) -> list[Element]:
        """Everything but the lamps."""
        parts = self._tractor()
        for pin in ("one", *PINS):
            parts += self._cord_and_wires(pin)
        parts += [
            self.link("frame ring", "front wire one", "frame", sizes.CONTACT),
            Resistor("frame", GROUND, self._kingpin()),
            *self._module(),
        ]
        for name, pin, _ in self.build.lamps():
            parts += self._lamp(name, pin)
        for ground in dict.fromkeys(ground_of(name) for name, _, _ in self.build.lamps()):
            home, ohms = ("frame", OFF_FRAME) if self.build.to_frame else ("junction out one", self._branch())
            parts.append(self.link(f"{ground} ground", f"{ground} ground stud", home, ohms))
        return parts + self._far_end() + self.added()

    def _kingpin(self) -> float:
        """Ohms through the coupling: they change with every move (a factor from memory)."""
        return self.build.kingpin * (6.0 if self.at("coupling") == "rocked" else 1.0)

    def _tractor(self) -> list[Element]:
        volts, inner = (sizes.CHARGING, sizes.ALTERNATOR_OHMS) if self.engine else (sizes.RESTED, sizes.BATTERY_OHMS)
        parts: list[Element] = [
            VoltageSource("battery", GROUND, volts, inner), Resistor("battery minus", GROUND, 0.0),
            self.link("tractor ground", "tractor ground", GROUND, sizes.CONTACT),
        ]  # fmt: skip
        for pin in PINS:
            switch = sizes.BREAKER + sizes.SWITCH if self.hot(pin) else math.inf
            parts.append(self.link(f"tractor switch {pin}", "battery", f"tractor feed {pin}", switch))
        for pin in ("one", *PINS):
            start = "tractor ground" if pin == "one" else f"tractor feed {pin}"
            ohms = wire_ohms(GAUGE[pin], sizes.TRACTOR_FEET, self.build.air) + sizes.CONTACT
            parts.append(self.link(f"tractor wire {pin}", start, f"tractor pin {pin}", ohms))
        return parts

    def _cord_and_wires(self, pin: str) -> list[Element]:
        air, gauge = self.build.air, GAUGE[pin]
        cord, long = wire_ohms(gauge, sizes.CORD_FEET, air), wire_ohms(gauge, self.build.feet, air)
        touch = sizes.CONTACT
        return [
            self.link(f"cord plug at the tractor {pin}", f"tractor pin {pin}", f"cord tractor end {pin}", touch,
                      CORD_OFF_TRACTOR),
            self.link(f"cord {pin}", f"cord tractor end {pin}", f"cord pin {pin}", cord),
            self.link(f"cord plug at the nose {pin}", f"cord pin {pin}", f"nose pin {pin}", touch, CORD_OFF_NOSE),
            self.link(f"nose box {pin}", f"nose pin {pin}", f"front wire {pin}", touch),
            self.link(f"trailer wire {pin}", f"front wire {pin}", f"junction in {pin}", 0.9 * long),
            self.link(f"junction box {pin}", f"junction in {pin}", f"junction out {pin}", touch),
        ]  # fmt: skip

    def _branch(self) -> float:
        return wire_ohms(14, BRANCH_FEET, self.build.air)

    def _module(self) -> list[Element]:
        """The ABS module on the constant power, and behind the far end's plug where the complaint is of that."""
        last = self.build.far and self.build.pin == "seven"
        feed, home = ("after plug", "after plug one") if last else ("junction out seven", "junction out one")
        return [Resistor(feed, home, sizes.MODULE_OHMS)]

    def _lamp(self, name: str, pin: str) -> list[Element]:
        last = self.build.far and LAST.get(self.build.pin) == name
        feed = "after plug" if last else f"junction out {pin}"
        home = "after plug one" if last else f"{ground_of(name)} ground stud"
        return [
            self.link(f"{name} wire", feed, f"{name} power", self._branch()),
            self.link(f"{name} plug", f"{name} power", f"{name} socket", sizes.CONTACT),
            self.link(f"{name} lamp", f"{name} socket", f"{name} filament", sizes.CONTACT),
            Resistor(f"{name} return", f"{name} ground", sizes.CONTACT),
            Resistor(f"{name} ground", home, 0.0),
        ]

    def _far_end(self) -> list[Element]:
        """The last stretch of the circuit of the complaint, from the junction box to the plug of lamp or module."""
        if not self.build.far:
            return []
        parts: list[Element] = []
        shut = math.inf if "last plug" in self.unplugged else 0.0
        for pin, one in ((self.build.pin, ""), ("one", " one")):
            ohms = wire_ohms(GAUGE[pin], 0.1 * self.build.feet, self.build.air)
            parts += [
                self.link(f"rear wire {pin}", f"junction out {pin}", f"plug wire{one}", ohms),
                self.link(f"last plug {pin}", f"plug wire{one}", f"far end{one}", sizes.CONTACT),
                Resistor(f"far end{one}", f"after plug{one}", shut),
                *_joints(pin, one),
            ]
        return parts


def _joints(pin: str, one: str) -> list[Element]:
    """Both sides of every joint of a path, by the joint's name."""
    sides = (
        (FRONT_JOINTS[0], f"tractor pin {pin}", f"cord tractor end {pin}"),
        (FRONT_JOINTS[1], f"cord pin {pin}", f"nose pin {pin}"),
        (REAR_JOINTS[0], f"nose pin {pin}", f"front wire {pin}"),
        (REAR_JOINTS[1], f"junction in {pin}", f"junction out {pin}"),
        (REAR_JOINTS[2], f"plug wire{one}", f"far end{one}"),
    )  # fmt: skip
    return [
        part
        for joint, before, behind in sides
        for part in (Resistor(f"before {joint} {pin}", before, 0.0), Resistor(f"behind {joint} {pin}", behind, 0.0))
    ]


def ground_of(lamp: str) -> str:
    """Which ground a lamp shares: those of a rear corner share one, the others have their own."""
    side, _, kind = lamp.partition(" ")
    return f"{side} rear" if kind in {"stop", "tail", "turn", "rear marker"} else lamp
