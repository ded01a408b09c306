"""A train in its present state: the tractor's supply, a cord and a trailer in turn, each trailer with its ABS module.

Nodes carry the trade's words: ``tractor pin 7``, ``second cord pin 7`` (the end of the cord to the second trailer),
``second nose pin 7``, ``second tail pin 7``, ``second module blue`` and ``second module ground`` (wire side of that
module's power plug), ``second frame``, ``battery positive`` and ``battery negative``.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from assistant.simulator.circuit import GROUND, Element, Resistor, Solution, VoltageSource, solve
from assistant.simulator.truck import build as sizes
from assistant.simulator.truck.defects import WARM, Defect
from assistant.simulator.truck.machine import TESTER, Machine, silenced
from assistant.simulator.truck.wire import wire_ohms

TRAILERS = ("first", "second", "third")
LAMPS, LOADED = "lamps", "time under load"
PINS = {"1": 8, "6": 12, "7": 10}
"""Pins that matter here and their gauge: ground, tail lamps, constant power (SAE J560 and J2394)."""
FEET, STUB_FEET = 28.0, 3.0
"""Length of a short trailer from nose to tail, and from there to its module: from memory."""
LAMPS_OHMS = 2.1
"""The lamps of one trailer: 6 amps at 12.6 volts, from memory."""
PULL_OHMS = 4.5
"""Both solenoids of a modulator side by side with their driver: ``build.COIL`` halved, from memory."""
_ROUNDS = 6


@dataclass(frozen=True, slots=True)
class TrainBuild:
    """One train and how it is worked on."""

    count: int = 2
    """Trailers: 2 or 3."""
    air: float = 20.0
    """C."""
    load_ohms: float = sizes.LOAD
    """What the technician loads wires with."""
    holds_light: bool = True
    """True where a module keeps its light on after a fault until the wheels have rolled."""

    @property
    def trailers(self) -> tuple[str, ...]:
        """Its trailers, front to back."""
        return TRAILERS[: self.count]

    def places(self, group: str) -> tuple[str, ...]:
        """Its trailers, or its cords by the trailer that they lead to."""
        return self.trailers if group in {"trailer", "cord"} else ()


@dataclass
class Train(Machine[TrainBuild]):
    """A train in the state in which hands left it."""

    # ---------------------------------------------------------------------------------------------------- hands

    def connectors(self) -> set[str]:
        """Every plug that can be open: both ends of each cord, and each module's power plug."""
        ends = {f"{name} cord at {end}" for name in self.build.trailers for end in ("its front", "the nose")}
        return ends | {f"{name} module power plug" for name in self.build.trailers}

    def groups_of_plugs(self) -> Mapping[str, set[str]]:
        """Both ends of every cord."""
        return {"every cord": {one for one in self.connectors() if " cord at " in one}}

    def controls(self) -> Mapping[str, tuple[str, ...]]:
        """The lamps of the whole train, and how long the tester's load stays on."""
        return {LAMPS: ("off", "on"), LOADED: ("a moment", "ten minutes")}

    def shows(self, defect: Defect) -> bool:
        """Whether a defect shows now; a load that stays on warms breakers and joints."""
        if self.load is None or self.at(LOADED) == "a moment":
            return super().shows(defect)
        return not defect.when or WARM in defect.when

    def loads(self) -> Mapping[str, float]:
        """The tester, or the headlamp that stands for it."""
        return {TESTER: self.build.load_ohms}

    # -------------------------------------------------------------------------------------------------- circuit

    def network(self, *, signals: bool = False) -> list[Element]:
        """The circuit as a meter meets it; nothing in it alternates."""
        parts = self.circuit(self.running())
        return silenced(parts) if signals else parts

    def running(self) -> frozenset[str]:
        """Trailers whose module has the volts to run."""
        on: frozenset[str] = frozenset()
        for _ in range(_ROUNDS):
            solution = solve(self.circuit(on))
            found = frozenset(name for name in self.build.trailers if self.volts_at(name, solution) >= sizes.RUNS)
            if found == on:
                break
            # one that runs pulls the volts down, and one that drops out lets them up again
            on = found & on if on and not on <= found else found
        return on

    def volts_at(self, name: str, solution: Solution) -> float:
        """Volts that a module gets; 0 with its plug off."""
        if f"{name} module power plug" in self.unplugged:
            return 0.0
        return solution.between(f"{name} module blue", f"{name} module ground")

    def lowest(self, name: str) -> float:
        """Volts inside a module while all of the train's modules pull their solenoids at power-up."""
        on = self.running()
        if name not in on:
            return 0.0
        return self.volts_at(name, solve(self.circuit(on, pulling=True))) - sizes.DIODE

    def circuit(self, on: frozenset[str] = frozenset(), *, pulling: bool = False) -> list[Element]:
        """The network at direct current.

        Args:
            on: trailers whose module runs.
            pulling: True while they pull their solenoids.
        """
        parts = self._tractor()
        ahead = "tractor"
        for name in self.build.trailers:
            parts += self._cord(ahead, name) + self._trailer(name)
            if name in on:
                ohms = sizes.MODULE_OHMS
                ohms = 1 / (1 / ohms + 1 / PULL_OHMS) if pulling else ohms
                parts.append(Resistor(f"{name} module blue", f"{name} module ground", ohms))
            ahead = f"{name} tail"
        return parts + self.added()

    def _tractor(self) -> list[Element]:
        air, hot = self.build.air, 0.0 if self.key else math.inf
        lamps = 0.0 if self.at(LAMPS) == "on" else math.inf
        volts, inner = (sizes.CHARGING, sizes.ALTERNATOR_OHMS) if self.engine else (sizes.RESTED, sizes.BATTERY_OHMS)
        lost = self.value("charging lost")
        if lost:
            # the alternator adds nothing: what is left is a battery that the engine's own loads pull down
            volts, inner = sizes.RESTED - lost, 3 * sizes.BATTERY_OHMS
        parts: list[Element] = [
            VoltageSource("battery positive", "battery negative", volts, inner),
            Resistor("battery negative", GROUND, 0.0005),
            Resistor("battery positive", "battery negative", 1.2 if self.engine else 40.0),
            self.link("tractor blue breaker", "battery positive", "tractor 7", sizes.BREAKER + hot),
            Resistor("battery positive", "tractor 6", sizes.BREAKER + lamps),
            Resistor("tractor 1", "battery negative", sizes.CONTACT),
            Resistor("frame", GROUND, 0.001),
        ]
        for pin, gauge in PINS.items():
            ohms = wire_ohms(gauge, sizes.TRACTOR_FEET, air) + sizes.CONTACT
            parts.append(self.link(f"tractor wire {pin}", f"tractor {pin}", f"tractor pin {pin}", ohms))
        return parts

    def _cord(self, ahead: str, name: str) -> list[Element]:
        """From the socket ahead to a trailer's nose; the first one hangs on the tractor, the others on a dolly."""
        parts: list[Element] = []
        for pin, gauge in PINS.items():
            ohms = wire_ohms(gauge, sizes.CORD_FEET, self.build.air) + sizes.CONTACT
            first, end, nose = f"{ahead} pin {pin}", f"{name} cord pin {pin}", f"{name} nose pin {pin}"
            parts += [
                self.link(f"{name} cord {pin}", first, end, ohms, f"{name} cord at its front"),
                self.link(f"{name} nose {pin}", end, nose, sizes.CONTACT, f"{name} cord at the nose"),
            ]
        return parts

    def _trailer(self, name: str) -> list[Element]:
        air = self.build.air
        before = TRAILERS.index(name) - 1
        frame = "frame" if before < 0 else f"{TRAILERS[before]} frame"
        parts: list[Element] = [
            Resistor(frame, f"{name} frame", sizes.KINGPIN),
            Resistor(f"{name} nose pin 1", f"{name} frame", sizes.CONTACT + 0.5),
            Resistor(f"{name} tail pin 6", f"{name} tail pin 1", LAMPS_OHMS),
        ]
        for pin, gauge in PINS.items():
            ohms = wire_ohms(gauge, FEET, air) + 2 * sizes.CONTACT
            parts.append(self.link(f"{name} wire {pin}", f"{name} nose pin {pin}", f"{name} tail pin {pin}", ohms))
        for pin, end in (("7", "blue"), ("1", "ground")):
            ohms = wire_ohms(PINS[pin], STUB_FEET, air) + sizes.CONTACT
            parts.append(self.link(f"{name} stub {pin}", f"{name} tail pin {pin}", f"{name} module {end}", ohms))
        return parts


@dataclass
class Modules:
    """What the ABS modules of a train remember, and their lights."""

    train: Train
    held: dict[str, None] = field(default_factory=dict)
    """Trailers whose module keeps its light on until the wheels have rolled."""
    told: tuple[str, ...] = ()
    """Trailers whose light the driver saw."""

    @property
    def machine(self) -> Train:
        """The train."""
        return self.train

    def faults(self, *, rolling: bool = False) -> list[str]:
        """Trailers whose module sees a fault now; some show only while it rolls."""
        found = []
        running = self.train.running()
        for name in self.train.build.trailers:
            weak = self.train.lowest(name) < sizes.RUNS_SOUND - sizes.DIODE
            own = self.train.value(f"{name} own fault") or (
                rolling and self.train.value(f"{name} own fault, rolling")
            )
            if name in running and (weak or own):
                found.append(name)
        return found

    def dark(self) -> list[str]:
        """Trailers whose module has no power: their light cannot even be checked."""
        running = self.train.running()
        return [name for name in self.train.build.trailers if name not in running]

    def lit(self) -> list[str]:
        """Trailers whose light stays on now, wheels still."""
        running = self.train.running()
        held = [name for name in self.held if self.train.build.holds_light and name in running]
        return list(dict.fromkeys([*self.faults(), *held]))

    def power_up(self) -> None:
        """Key on: each module looks for faults."""
        if self.train.key:
            self.held |= dict.fromkeys(self.faults())

    def clear(self) -> None:
        """No reader at hand clears several trailers at once: nothing."""

    def roll(self, speed: float, *, rough: bool) -> None:
        """Drive it; ``rough`` for a day's road: bumps, water, warm parts, and the night with all lamps on."""
        if speed < sizes.WATCHES:
            return
        train = self.train
        before, lamps = (train.moved, train.wet, train.warm), dict(train.switches)
        seen: dict[str, None] = {}
        states = [(False, False, False, train.at(LAMPS))]
        if rough:
            states += [(False, False, False, "on"), (True, False, False, "off"), (False, True, True, "off")]
        for moved, wet, warm, on in states:
            train.moved, train.wet, train.warm = moved, wet, warm
            train.set({LAMPS: on})
            seen |= dict.fromkeys([*self.faults(rolling=True), *self.dark()])
        train.moved, train.wet, train.warm = before
        train.switches = lamps
        self.held = seen

    def copy(self, **changes: object) -> Modules:
        """The same train with some of it changed, and nothing remembered."""
        return Modules(replace(self.train, **changes))  # type: ignore[arg-type]
