"""A unit in the state in which hands left it: what every kind of unit shares.

A kind of unit adds its plugs, its switches and its circuit. Nothing here or there knows a procedure.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, Generic, Protocol, TypeVar

from assistant.errors import DefectError
from assistant.simulator.circuit import Element, Resistor, VoltageSource
from assistant.simulator.truck.defects import Defect

EVERYTHING = "everything"
"""Stands for every plug there is."""
TESTER = "tester"
"""The load that the technician has at hand, where an instruction asks for ten amps."""
TEST_BATTERY, TEST_BATTERY_OHMS = 12.6, 0.02
"""Volts and inner ohms of a charged battery that feeds a circuit, with its fused jumper wires: from memory."""


class Made(Protocol):
    """What a unit is built with: it names its places."""

    def places(self, group: str) -> tuple[str, ...]:
        """The places of a group, such as ``wheel``; empty for a group that it lacks."""
        ...


BuildT = TypeVar("BuildT", bound=Made)


@dataclass
class Machine(Generic[BuildT]):
    """A unit, in the state in which hands left it."""

    build: BuildT
    defects: list[Defect] = field(default_factory=list)
    key: bool = False
    engine: bool = False
    pedal: bool = False
    switches: dict[str, str] = field(default_factory=dict)
    """Switches that are set, and to what; the others stand as they do at rest."""
    held: dict[str, str] = field(default_factory=dict)
    """Switches that somebody holds for as long as a check lasts."""
    load: tuple[str, str] | None = None
    """Nodes between which the load sits."""
    load_kind: str = TESTER
    """Which load it is."""
    load_dead: bool = False
    """True while the load draws nothing: a blown bulb, a clip on paint."""
    jumper: tuple[str, str] | None = None
    """Nodes that a wire joins."""
    feed: tuple[str, str] | None = None
    """Nodes of a charged battery's posts."""
    stands_in: set[str] = field(default_factory=set)
    """Parts in whose place a known good one sits for now."""
    unplugged: set[str] = field(default_factory=set)
    """Connectors that are open."""
    lifted: set[str] = field(default_factory=set)
    """Wheels off the ground with their brake released."""
    turning: str | None = None
    """Wheel that is turned by hand."""
    pace: float = 0.0
    """Its turns a second."""
    moved: bool = False
    """True while wires and plugs are flexed."""
    wet: bool = False
    """True while plugs and wires are wet."""
    warm: bool = False
    """True while parts are as warm as on the road."""

    # ---------------------------------------------------------------------------------- what a kind of unit adds

    def connectors(self) -> set[str]:
        """Every plug that can be open."""
        return set()

    def groups_of_plugs(self) -> Mapping[str, set[str]]:
        """Names that stand for several plugs, beside ``everything``."""
        return {}

    def controls(self) -> Mapping[str, tuple[str, ...]]:
        """Every switch and what it can be set to, as it stands at rest first."""
        return {}

    def loads(self) -> Mapping[str, float]:
        """Loads that there are to put somewhere, in ohms."""
        return {}

    def groups(self) -> tuple[str, ...]:
        """Groups of places that it has, such as ``wheel``."""
        return ()

    def mistaken(self, node: str) -> str:
        """The node at which a hand ends that takes one pin for another; the same where there is no such."""
        return node

    def network(self, *, signals: bool = False) -> list[Element]:  # noqa: ARG002 - for those that have any
        """The circuit as a meter meets it; ``signals``: the alternating voltages alone."""
        return []

    def pulse(self) -> float:
        """Share by which a reading in AC volts pulses with each turn of what is turned by hand."""
        return 0.0

    # ------------------------------------------------------------------------------------------------- defects

    def there(self) -> list[Defect]:
        """Defects that show under the conditions of now."""
        return [one for one in self.defects if self.shows(one)]

    def shows(self, defect: Defect) -> bool:
        """Whether a defect shows under the conditions of now."""
        if defect.part in self.stands_in:
            return False
        now = (("moved", self.moved), ("wet", self.wet), ("warm", self.warm))
        return not defect.when or any(on and name in defect.when for name, on in now)

    @property
    def sound(self) -> bool:
        """True when nothing is wrong any more, whether it shows now or not."""
        return not self.defects

    def renew(self, parts: Iterable[str]) -> bool:
        """Mend, adjust or replace parts; True when one of them was bad and all is well with it now."""
        names = set(parts)
        gone = [one for one in self.defects if names & {one.part, *one.also}]
        self.defects = [one for one in self.defects if one not in gone]
        return bool(gone)

    def value(self, name: str) -> float:
        """A mechanical value, such as ``left rear gap``, 0 where nothing is wrong."""
        return sum(one.settings[name] for one in self.defects if name in one.settings and self.shows(one))

    # ---------------------------------------------------------------------------------------------------- hands

    def place_group(self, place: str) -> tuple[str, ...]:
        """All places of the group that this one is of; empty where the unit lacks it."""
        for group in self.groups():
            if place in (places := self.build.places(group)):
                return places
        return ()

    def plug(self, names: Iterable[str], *, in_: bool) -> None:
        """Plug in, or unplug, these connectors, by their names or the names that stand for many.

        Raises:
            DefectError: there is no such connector.
        """
        for name in names:
            every = self.connectors()
            found = every if name == EVERYTHING else self.groups_of_plugs().get(name, {name})
            if unknown := set(found) - every:
                raise DefectError(f"The unit has no plug '{min(unknown)}'.")
            self.unplugged = self.unplugged - found if in_ else self.unplugged | found

    def set(self, switches: Mapping[str, str], *, hold: bool = False) -> None:
        """Set switches, for good or while they are held.

        Raises:
            DefectError: there is no such switch, or it cannot be set to that.
        """
        for name, state in switches.items():
            if state not in self.controls().get(name, ()):
                raise DefectError(f"The unit has no switch '{name}' that can be '{state}'.")
        (self.held if hold else self.switches).update(switches)

    def at(self, switch: str) -> str:
        """What a switch stands at now."""
        return self.held.get(switch, self.switches.get(switch, self.controls()[switch][0]))

    def let_go(self) -> None:
        """What hands and feet hold only for a check is let go."""
        self.pedal = self.moved = self.warm = False
        self.turning = self.jumper = self.feed = None
        self.held, self.stands_in = {}, set()

    def put_back(self) -> None:
        """Everything as it was: plugs in, loads off, wheels down, nothing flexed, turned or switched on."""
        self.let_go()
        self.unplugged, self.lifted, self.switches = set(), set(), {}
        self.load = None
        self.wet = False

    # -------------------------------------------------------------------------------------------------- circuit

    def link(self, name: str, first: str, second: str, ohms: float, plug: str | None = None) -> Resistor:
        """A named piece of the circuit: its own ohms and what defects add; open where its plug is."""
        if plug in self.unplugged:
            return Resistor(first, second, math.inf)
        added = [one.series[name] for one in self.defects if name in one.series and self.shows(one)]
        return Resistor(first, second, ohms + sum(added))

    def added(self) -> list[Element]:
        """What joins nodes beside the unit's own wires: defects, the load, a jumper wire and a battery's clips.

        Raises:
            DefectError: the unit has no such load.
        """
        parts: list[Element] = [Resistor(*nodes) for one in self.there() for nodes in one.shunts]
        if self.load is not None and not self.load_dead:
            if self.load_kind not in self.loads():
                raise DefectError(f"There is no load '{self.load_kind}'.")
            parts.append(Resistor(*self.load, self.loads()[self.load_kind]))
        if self.jumper is not None:
            parts.append(Resistor(*self.jumper, TEST_BATTERY_OHMS))
        if self.feed is not None:
            parts.append(VoltageSource(*self.feed, TEST_BATTERY, TEST_BATTERY_OHMS))
        return parts


def silenced(network: list[Element]) -> list[Element]:
    """The network to an alternating current: it passes a direct voltage source as it passes a wire."""
    return [Resistor(one.plus, one.minus, one.ohms) if isinstance(one, VoltageSource) else one for one in network]


class Brain(Protocol):
    """What a unit remembers and does of itself: an ABS module with its codes, or nothing (``Plain``)."""

    @property
    def machine(self) -> Machine[Any]:
        """The unit that it sits in."""
        ...

    def power_up(self) -> None:
        """The key goes on."""
        ...

    def clear(self) -> None:
        """Codes are cleared."""
        ...

    def roll(self, speed: float, *, rough: bool) -> None:
        """It is driven at so many miles an hour; ``rough`` for a day's road."""
        ...


MachineT = TypeVar("MachineT", bound=Machine[Any])


@dataclass
class Plain(Generic[MachineT]):
    """A unit that remembers nothing and looks for nothing."""

    machine: MachineT
    """The unit."""

    def power_up(self) -> None:
        """Nothing looks for faults."""

    def clear(self) -> None:
        """There is nothing to clear."""

    def roll(self, speed: float, *, rough: bool) -> None:
        """Nothing watches the road."""
