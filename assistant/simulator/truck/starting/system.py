"""A truck's batteries, starter and charging in their present state, as a circuit.

Nodes carry the trade's words: ``first battery positive``, ``positive post`` and ``negative post`` (the ends of the
bank), ``positive clamp`` (the cable's end on the post), ``starter stud``, ``starter case``, ``start terminal``,
``alternator output``, ``alternator case`` and ``frame``.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from itertools import pairwise

from assistant.simulator.circuit import GROUND, CurrentSource, Element, Resistor, Solution, VoltageSource, solve
from assistant.simulator.truck.defects import Defect
from assistant.simulator.truck.machine import Machine, silenced
from assistant.simulator.truck.starting import build as sizes
from assistant.simulator.truck.starting.battery import CELL, charging_ohms, inner_ohms, rest_volts
from assistant.simulator.truck.starting.build import StartingBuild
from assistant.simulator.truck.starting.defects import SHAKEN
from assistant.simulator.truck.wire import wire_ohms

LAMPS, STARTER, MODULES, SURFACE_CHARGE, CHARGER = "lamps", "starter switch", "modules", "surface charge", "charger"
TIME = "time at fast idle"
"""What can be switched, held, or waited for."""
PILE = "half the cold cranking amps"
"""The load tester: whatever the volts, it draws so many amps."""
LOST = "charge lost"
JUMPERS, GROUND_CABLE = "jumper cables", "ground cable"
"""What can be taken off: the cables between the batteries and to the truck, and the ground cable alone."""
CHARGED = 0.92
"""Charge of a bank in daily use: from memory."""
FULL = 0.98
SURFACE = 0.35
"""Volts above rest just after a run or a charge: common practice, no source."""
LESS_HUNGRY = 3.0
"""Charging ohms of a battery whose volts no longer rise, beside those after five minutes: from memory."""
_ROUNDS = 12
"""Rounds in which the state of batteries, alternator and starter settles."""


@dataclass(frozen=True, slots=True)
class _Mode:
    """Which way each battery, the alternator and the starter work: each linear in itself."""

    charging: frozenset[str] = frozenset()
    alternator: str = "off"
    """``off``, ``volts`` (regulated) or ``amps`` (at its limit)."""
    starter: str = "off"
    """``off``, ``turns`` or ``stands``."""


@dataclass
class StartingSystem(Machine[StartingBuild]):
    """A truck in the state in which hands left it."""

    surface: float = 0.0
    """Volts above rest, until it is taken off."""
    celsius: float = 0.0
    """Of the batteries."""
    charged: bool = False
    """True once every battery was charged in the shop."""
    lost: dict[str, float] = field(default_factory=dict)
    """Charge that mended faults have cost, battery by battery."""

    def __post_init__(self) -> None:
        self.celsius = self.celsius or self.build.celsius

    # ------------------------------------------------------------------------------------------------- defects

    def shows(self, defect: Defect) -> bool:
        """Whether a defect shows under the conditions of now; cranking shakes what is loose."""
        return super().shows(defect) or (SHAKEN in defect.when and self.cranks)

    def renew(self, parts: Iterable[str]) -> bool:
        """Mend or replace parts; what a mended fault has cost the batteries is missing until they are charged."""
        names = set(parts)
        for one in self.defects:
            if one.part in names:
                self.lost |= {name: value for name, value in one.settings.items() if name.endswith(LOST)}
        self.lost |= {f"{battery} {LOST}": 0.0 for battery in names & set(self.build.batteries)}
        return super().renew(names)

    def charge(self, battery: str) -> float:
        """Its charge, 0 to 1."""
        if self.charged:
            return FULL
        name = f"{battery} {LOST}"
        return max(0.02, CHARGED - max(self.value(name), self.lost.get(name, 0.0)))

    # ---------------------------------------------------------------------------------------------------- hands

    @property
    def cranks(self) -> bool:
        """True while somebody holds the key at start."""
        return self.at(STARTER) == "held at start"

    def connectors(self) -> set[str]:
        """The cables that can be taken off."""
        return {JUMPERS, GROUND_CABLE}

    def groups(self) -> tuple[str, ...]:
        """Its batteries."""
        return ("battery",)

    def controls(self) -> Mapping[str, tuple[str, ...]]:
        """What is switched, held or waited for."""
        return {
            LAMPS: ("off", "headlamps", "headlamps and blower"),
            STARTER: ("off", "held at start"),
            MODULES: ("awake", "asleep"),
            SURFACE_CHARGE: ("as it came", "taken off"),
            CHARGER: ("off", "on for a night"),
            TIME: ("five minutes", "until the volts stop rising"),
        }

    def loads(self) -> Mapping[str, float]:
        """The load tester is set in amps, not in ohms: see ``added``."""
        return {}

    def set(self, switches: Mapping[str, str], *, hold: bool = False) -> None:
        """Set switches; a night on the charger warms the batteries and fills them."""
        super().set(switches, hold=hold)
        if switches.get(SURFACE_CHARGE) == "taken off":
            self.surface = 0.0
        if switches.get(CHARGER) == "on for a night":
            self.charged, self.surface, self.celsius = True, 0.0, max(self.celsius, sizes.WARM)
            self.switches.pop(CHARGER)
        if self.at(STARTER) != "off" or self.at(LAMPS) != "off":
            # whoever cranks, or burns lamps, takes the surface charge off and wakes the modules
            self.surface = 0.0
            self.switches.pop(MODULES, None)

    def plug(self, names: Iterable[str], *, in_: bool) -> None:
        """Put cables on, or take them off: that wakes the modules."""
        before = set(self.unplugged)
        super().plug(names, in_=in_)
        if self.unplugged != before:
            self.switches.pop(MODULES, None)

    # -------------------------------------------------------------------------------------------------- circuit

    def added(self) -> list[Element]:
        """What joins nodes beside its own wires; the load tester is set to half the cold cranking amps."""
        if self.load is None or self.load_kind != PILE:
            return super().added()
        self_without = replace(self, load=None)
        if self.load_dead:
            return Machine.added(self_without)
        return [*Machine.added(self_without), CurrentSource(*self.load, self.build.cranking_amps / 2)]

    def network(self, *, signals: bool = False) -> list[Element]:
        """The circuit as a meter meets it; nothing in it alternates but what an alternator leaves."""
        if not signals:
            return self.circuit()
        return silenced([one for one in self.circuit() if not isinstance(one, CurrentSource)])

    def circuit(self) -> list[Element]:
        """The network at direct current, with batteries, alternator and starter in the way they work now."""
        charging = frozenset(self.build.batteries if self.engine else ())
        alternator, starter = "volts" if self.engine else "off", "turns" if self.cranks else "off"
        mode = _Mode(charging, alternator, starter)
        for _ in range(_ROUNDS):
            parts = self._parts(mode)
            settled = self._settle(mode, solve(parts))
            if settled == mode:
                break
            mode = settled
        return parts

    def solved(self) -> Solution:
        """The circuit's volts."""
        return solve(self.circuit())

    def starter_amps(self) -> float:
        """Amps in the starter's cable."""
        solution = self.solved()
        joint = solution.between("positive clamp", "starter stud")
        return joint / self.ohms_of("power cable", self._cable_ohms(sizes.POWER_FEET))

    def speed(self) -> float:
        """How fast it cranks, as a share of a sound truck's speed at that temperature; 0 when it stands."""
        held = {STARTER: "held at start"}
        now = replace(self, engine=False, unplugged=set(), moved=False, held=held, load=None)
        return now.turning_volts() / StartingSystem(self.build, held=held).turning_volts()

    def turning_volts(self) -> float:
        """Volts that the turning starter makes against the battery: they go with its speed."""
        solution = self.solved()
        volts = solution.between("starter motor", "starter case")
        if solution.between("start terminal", "starter case") < sizes.PULLS_IN:
            return 0.0
        return max(0.0, self._turning(volts))

    def _turning(self, volts: float) -> float:
        fixed, slope = self._torque()
        amps = (fixed + slope * volts) / (1 + slope * sizes.STARTER_OHMS)
        return volts - amps * sizes.STARTER_OHMS

    def _torque(self) -> tuple[float, float]:
        """Amps for the torque at a stand, and amps for each volt of speed."""
        usual = self.build.engine_amps * self.build.torque
        drag = self.value("starter drag") + self.value("engine drag")
        return usual * (sizes.DRAG_SHARE + drag), usual * (1 - sizes.DRAG_SHARE) / sizes.USUAL_SPEED_VOLTS

    def _settle(self, mode: _Mode, solution: Solution) -> _Mode:
        """The mode that the volts of this one ask for."""
        charging = frozenset(
            battery
            for battery in self.build.batteries
            if solution.between(f"{battery} positive", f"{battery} negative") > self._rest(battery) + 1e-9
        )
        alternator, starter = mode.alternator, mode.starter
        if alternator == "volts":
            across = solution.between("alternator output", "alternator case")
            amps = (self._set_volts() - across) / sizes.ALTERNATOR_OHMS
            alternator = "amps" if amps > self._most_amps() else "off" if amps < -0.1 else "volts"
        elif alternator == "amps" and self._most_amps() > 0:
            over = solution.between("alternator output", "alternator case") > self._set_volts() + 1e-9
            alternator = "volts" if over else "amps"
        if starter != "off":
            pulled = solution.between("start terminal", "starter case") >= sizes.PULLS_IN
            volts = solution.between("starter motor", "starter case")
            # a battery that sags lets the solenoid drop out again; it is held once it has pulled in
            starter = "off" if not pulled and starter == "turns" and self._start_open() else starter
            starter = "stands" if starter == "turns" and self._turning(volts) < 0 else starter
        return _Mode(charging, alternator, starter)

    def _start_open(self) -> bool:
        return self.ohms_of("start circuit", 0.02) > sizes.SOLENOID_OHMS

    def _set_volts(self) -> float:
        usual = sizes.SET_VOLTS + sizes.SET_A_DEGREE * (self.celsius - sizes.SET_CELSIUS)
        return min(usual, 14.7) + self.value("set volts over")

    def _most_amps(self) -> float:
        left = max(0.0, 1 - self.value("alternator lost")) * max(0.0, 1 - self.value("belt slip"))
        return self.build.alternator_amps * sizes.FAST_IDLE_SHARE * left

    def _rest(self, battery: str) -> float:
        cells = self.value(f"{battery} cells shorted")
        return rest_volts(self.charge(battery), self.celsius, self.build.kind) - CELL * cells + self.surface

    def ohms_of(self, name: str, ohms: float) -> float:
        """Ohms of a named piece of the circuit: its own and what defects add."""
        return ohms + sum(one.series.get(name, 0.0) for one in self.there())

    def _cable_ohms(self, feet: float, gauge: int = sizes.CABLE, beside: int = sizes.SIDE_BY_SIDE) -> float:
        return wire_ohms(gauge, feet, self.build.celsius) / beside + 2 * sizes.JOINT

    def _parts(self, mode: _Mode) -> list[Element]:
        names = self.build.batteries
        apart, off = JUMPERS in self.unplugged, GROUND_CABLE in self.unplugged
        parts: list[Element] = [Resistor("negative clamp", GROUND, 0.0)]
        for battery in names:
            ohms = inner_ohms(self.build.cranking_amps, self.charge(battery), self.celsius)
            ohms *= 1 + self.value(f"{battery} wear")
            if battery in mode.charging:
                ohms += charging_ohms(self.charge(battery)) * (1 if self.at(TIME) == "five minutes" else LESS_HUNGRY)
            parts.append(VoltageSource(f"{battery} positive", f"{battery} negative", self._rest(battery), ohms))
        jumper = wire_ohms(sizes.CABLE, sizes.JUMPER_FEET, self.build.celsius) + 2 * sizes.JOINT
        for number, (one, other) in enumerate(pairwise(names), 1):
            for pole in ("positive", "negative"):
                ohms = math.inf if apart else self.ohms_of(f"{pole} jumper {number}", jumper)
                parts.append(Resistor(f"{one} {pole}", f"{other} {pole}", ohms))
        parts += [
            Resistor("positive post", f"{names[0]} positive", 0.0),
            Resistor("negative post", f"{names[-1]} negative", 0.0),
            Resistor("far positive post", f"{names[-1]} positive", 0.0),
            Resistor("far negative post", f"{names[0]} negative", 0.0),
            self._joint("positive clamp joint", "positive post", "positive clamp", open_=apart),
            self._joint("negative clamp joint", "negative post", "negative clamp", open_=apart or off),
            Resistor("frame", "negative clamp", 0.0005),
        ]
        return [*parts, *self._cables(), *self._loads(), *self._starter(mode), *self._alternator(mode), *self.added()]

    def _joint(self, name: str, first: str, second: str, *, open_: bool) -> Resistor:
        return Resistor(first, second, math.inf if open_ else self.ohms_of(name, sizes.JOINT))

    def _cables(self) -> list[Element]:
        power, ground = self._cable_ohms(sizes.POWER_FEET), self._cable_ohms(sizes.GROUND_FEET)
        charging = self._cable_ohms(sizes.CHARGING_FEET, sizes.CHARGING_GAUGE, 1)
        return [
            Resistor("positive clamp", "starter stud", self.ohms_of("power cable", power)),
            Resistor("starter case", "negative clamp", self.ohms_of("ground cable", ground)),
            Resistor("alternator output", "positive clamp", self.ohms_of("charging cable", charging)),
            Resistor("alternator case", "starter case", self.ohms_of("alternator ground", 0.0003)),
        ]

    def _loads(self) -> list[Element]:
        asleep = self.at(MODULES) == "asleep" and not self.key and not self.engine
        lamps = self.at(LAMPS)
        amps = self.build.sleeping_amps + (0.0 if asleep else sizes.AWAKE_AMPS)
        amps += sizes.KEY_AMPS * self.key + sizes.LAMP_AMPS * (lamps != "off")
        amps += sizes.BLOWER_AMPS * (lamps == "headlamps and blower")
        amps += sizes.ENGINE_AMPS * self.engine
        return [Resistor("positive clamp", "frame", sizes.LOAD_VOLTS / amps)]

    def _starter(self, mode: _Mode) -> list[Element]:
        contacts = math.inf if mode.starter == "off" else self.ohms_of("solenoid contacts", sizes.JOINT)
        closed = self.ohms_of("start circuit", 0.02) if self.cranks else math.inf
        parts: list[Element] = [
            Resistor("starter stud", "starter motor", contacts),
            Resistor("positive clamp", "start terminal", closed),
            Resistor("start terminal", "starter case", sizes.SOLENOID_OHMS),
        ]
        fixed, slope = self._torque()
        if mode.starter == "turns":
            share = 1 + slope * sizes.STARTER_OHMS
            parts += [
                CurrentSource("starter motor", "starter case", fixed / share),
                Resistor("starter motor", "starter case", share / slope),
            ]
        else:
            parts.append(Resistor("starter motor", "starter case", sizes.STARTER_OHMS))
        return parts

    def _alternator(self, mode: _Mode) -> list[Element]:
        if mode.alternator == "volts":
            return [VoltageSource("alternator output", "alternator case", self._set_volts(), sizes.ALTERNATOR_OHMS)]
        amps = self._most_amps() if mode.alternator == "amps" else 0.0
        # a standing alternator's diodes let nothing through
        return [Resistor("alternator output", "alternator case", 1e6),
                CurrentSource("alternator case", "alternator output", amps)]  # fmt: skip
