"""Air brakes as a mechanism: reservoirs that each application empties a little, chambers, adjusters, spring brakes.

Inches and psi. A pushrod comes out by its free stroke and by what shoe, drum and rod give under the pressure.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from random import Random
from typing import cast

from assistant.simulator.truck.case import Arrival, Case, Look, Places
from assistant.simulator.truck.defects import Defect, Kind, defects_of
from assistant.simulator.truck.machine import Brain, Machine, Plain
from assistant.simulator.truck.meter import Instrument

SIDES = ("left", "right")
AXLES = ("first axle", "second axle", "third axle", "fourth axle", "fifth axle")
SPRINGS, PEDAL, RESERVOIRS = "spring brakes", "brake pedal", "reservoirs"
FULL, GOVERNOR = 98.0, 125.0
"""psi in the reservoirs when somebody has set them for measuring, and when the compressor cuts out: from memory."""
USED = 5.0
"""psi that one full application takes: reservoirs hold some twelve times the chambers' volume; from memory."""
LEAKS = 0.5
"""psi lost while a sound unit is held applied and its rods are read: from memory."""
FREE, GIVES = 0.55, 0.55
"""Free stroke of an adjuster that keeps up, and what the brake gives at 100 psi: from memory."""
PARKED = 0.15
"""How far a rod still moves when the spring brake holds it out: from memory."""
LIMIT = {
    # 49 CFR 393.47(e), clamp type: standard and long stroke, in inches; from memory except 20, 30, 36 and long 30
    "standard": {"sixteen": 1.75, "twenty": 1.75, "twenty four": 1.75, "thirty": 2.0, "thirty six": 2.25},
    "long stroke": {"sixteen": 2.0, "twenty": 2.0, "twenty four": 2.0, "thirty": 2.5},
}  # fmt: skip
OUT_OF_SERVICE = 0.2
"""Share of defective brakes at which a unit is out of service: CVSA criteria."""


@dataclass(frozen=True, slots=True)
class BrakeBuild:
    """One unit's brakes."""

    axles: int = 2
    steers: bool = False
    """True for a truck: its first axle steers and has chambers of its own."""
    stroke: str = "standard"
    """``standard`` or ``long stroke``, on the axles that do not steer."""
    size: str = "thirty"
    steer_size: str = "twenty"

    @property
    def chambers(self) -> tuple[str, ...]:
        """Its chambers, axle by axle."""
        return tuple(f"{side} {axle}" for axle in AXLES[: self.axles] for side in SIDES)

    def places(self, group: str) -> tuple[str, ...]:
        """Its chambers."""
        return self.chambers if group == "chamber" else ()

    def limit(self, chamber: str) -> float:
        """Greatest stroke that the regulation allows there."""
        steer = self.steers and chamber.endswith("first axle")
        return LIMIT["standard"][self.steer_size] if steer else LIMIT[self.stroke][self.size]


@dataclass
class Brakes(Machine[BrakeBuild]):
    """The brakes in the state in which hands and feet left them."""

    psi: float = GOVERNOR

    def groups(self) -> tuple[str, ...]:
        """Chambers."""
        return ("chamber",)

    def controls(self) -> Mapping[str, tuple[str, ...]]:
        """Spring brakes, pedal, and what somebody does to the reservoirs."""
        return {
            SPRINGS: ("set", "released"),
            PEDAL: ("up", "held down"),
            RESERVOIRS: ("as they are", "set between 90 and 100"),
        }

    def set(self, switches: Mapping[str, str], *, hold: bool = False) -> None:
        """Set switches; a new application takes air out of the reservoirs."""
        before = self.at(PEDAL)
        super().set(switches, hold=hold)
        if switches.get(RESERVOIRS) == "set between 90 and 100":
            self.psi = FULL
            self.switches.pop(RESERVOIRS)
        if before == "up" and self.at(PEDAL) == "held down":
            self.psi -= USED

    def stroke(self, chamber: str) -> float:
        """How far a pushrod comes out from rest, in inches."""
        if self.at(PEDAL) == "up":
            return 0.0
        if self.at(SPRINGS) == "set":
            return PARKED
        gives = GIVES * self.psi / 100
        return max(0.1, FREE + gives + self.value(f"{chamber} slack"))

    def defective(self) -> list[str]:
        """Chambers that count: stroke over the limit at 95 psi, or damaged, leaking, frozen or unlike their mate."""
        at_95 = FREE + GIVES * 0.95
        found = []
        for chamber in self.build.chambers:
            over = at_95 + self.value(f"{chamber} slack") > self.build.limit(chamber) + 1 / 32
            if over or self.value(f"{chamber} looks"):
                found.append(chamber)
        return found


def _brakes(brain: Brain) -> Brakes:
    return cast("Brakes", brain.machine)


def _sixteenths(inches: float) -> str:
    return f"{round(inches * 16) / 16:.4f}".rstrip("0").rstrip(".")


def _look(brain: Brain, place: str) -> str:
    """What is seen at one chamber."""
    names = {1.0: "damaged", 2.0: "leaking", 3.0: "not matched"}
    return names.get(_brakes(brain).value(f"{place} looks"), "sound")


def _count(brain: Brain, place: str) -> str:
    mine = _brakes(brain)
    bad = len(mine.defective())
    if not bad:
        return "none"
    return "one in five or more" if bad >= OUT_OF_SERVICE * len(mine.build.chambers) else "fewer than one in five"


def _adjusters(brain: Brain, place: str) -> str:
    mine = _brakes(brain)
    over = any(mine.value(f"{chamber} slack") > 0 for chamber in mine.defective())
    return "worn or loose" if over else "none is over"


BRAKE_LOOKS: dict[str, Look] = {
    "reservoir gauge": lambda brain, _: f"{_brakes(brain).psi - LEAKS:.0f}",
    "pushrod": lambda brain, place: _sixteenths(_brakes(brain).stroke(place)),
    "chamber, rod and slack": _look,
    "defective brakes": _count,
    "adjusters of those over": _adjusters,
}
"""What can be read or looked at, by name."""


def _slack(place: str, build: BrakeBuild, rng: Random) -> Defect:
    over = build.limit(place) - (FREE + GIVES * 0.95) + rng.uniform(0.1, 0.5)
    return Defect("adjuster that does not keep up", place, f"{place} adjuster", settings={f"{place} slack": over})


def _seen(name: str, number: float) -> Kind:
    def make(place: str, build: BrakeBuild, rng: Random) -> Defect:
        return Defect(name, place, f"{place} chamber", settings={f"{place} looks": number}, visible=True)

    return Kind(name, "chamber", 1, make)


BRAKE_KINDS = (
    Kind("adjuster that does not keep up", "chamber", 6, _slack),
    _seen("cracked or rusted chamber", 1.0),
    _seen("chamber that leaks", 2.0),
    _seen("chamber unlike its mate", 3.0),
)
"""Every kind of defect of the brakes that a survey can meet."""
_WORDS = {1: "one", 2: "two", 3: "three", 4: "four", 5: "five"}


def brake_story(build: BrakeBuild) -> dict[str, str]:
    """What plates and tags tell."""
    return {
        "unit number": "8031", "unit kind": "truck" if build.steers else "trailer",
        "axles with air brakes": f"{_WORDS[build.axles]} {'axle' if build.axles == 1 else 'axles'}",
        "chambers": "clamp" if build.stroke == "standard" else "long stroke", "size of the chambers": build.size,
        "steer chambers": "clamp", "size of the steer chambers": build.steer_size,
    }  # fmt: skip


def _draw(kinds: tuple[Kind, ...], places: Places, rng: Random) -> Case:
    least = max([AXLES.index(place.split(" ", 1)[1]) + 1 for place in places if place], default=1)
    steers = rng.random() < 0.5
    build = BrakeBuild(
        axles=rng.randint(max(least, 2 if steers else 1), 5),
        steers=steers,
        stroke=rng.choice(("standard", "long stroke")),
        size=rng.choice(("twenty", "twenty four", "thirty")),
    )
    defects = defects_of(kinds, places, build, rng)
    return Case(Plain(Brakes(build, list(defects))), defects, brake_story(build), Instrument(), BRAKE_LOOKS)


BRAKES = Arrival("unit, brakes to be measured", BRAKE_KINDS, BrakeBuild(axles=5), _draw)
"""A unit whose pushrods are read."""
