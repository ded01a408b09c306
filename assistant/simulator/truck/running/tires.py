"""Tires as they wear: 32nds of an inch of tread across the face, and what the eye finds on them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from random import Random
from typing import cast

from assistant.errors import DefectError
from assistant.simulator.truck.case import Arrival, Case, Look, Places
from assistant.simulator.truck.defects import Defect, Kind, defects_of
from assistant.simulator.truck.machine import Brain, Machine, Plain
from assistant.simulator.truck.meter import Instrument

SIDES = ("left", "right")
AXLES = {1: ("rear",), 2: ("forward", "rear"), 3: ("forward", "middle", "rear")}
NEW = 18.0
"""32nds of a new tire of this kind: from memory."""


@dataclass(frozen=True, slots=True)
class TireBuild:
    """One unit's tires."""

    axles: int = 2
    """Axles behind any steer axle."""
    steers: bool = True
    duals: bool = True
    tread: tuple[float, ...] = ()
    """32nds tire by tire; empty for 12 everywhere."""

    @property
    def tires(self) -> tuple[str, ...]:
        """Its tires."""
        steer = tuple(f"{side} steer" for side in SIDES) if self.steers else ()
        ends = ("outer", "inner") if self.duals else ("single",)
        return steer + tuple(f"{side} {axle} {end}" for axle in AXLES[self.axles] for side in SIDES for end in ends)

    def places(self, group: str) -> tuple[str, ...]:
        """Its tires."""
        return self.tires if group == "tire" else ()


@dataclass
class Tires(Machine[TireBuild]):
    """The tires of a unit."""

    def groups(self) -> tuple[str, ...]:
        """Tires."""
        return ("tire",)

    def depths(self, tire: str) -> tuple[float, ...]:
        """32nds in each groove, off the wear bars."""
        at = self.build.tires.index(tire)
        even = self.build.tread[at] if self.build.tread else 12.0
        lost = (self.value(f"{tire} shoulder"), 0.0, 0.0)
        return tuple(max(0.0, even - self.value(f"{tire} worn") - one) for one in lost)


def _tires(brain: Brain) -> Tires:
    return cast("Tires", brain.machine)


def _shallowest(brain: Brain, place: str) -> str:
    return f"{int(min(_tires(brain).depths(place)))}"


def _seen(brain: Brain, place: str) -> str:
    unit = _tires(brain)
    if unit.value(f"{place} damage"):
        return "damaged"
    depths = unit.depths(place)
    return "uneven" if max(depths) - min(depths) >= 3 else "even"


TIRE_LOOKS: dict[str, Look] = {"shallowest groove": _shallowest, "tire": _seen}
"""What a gauge reads and what is looked at, by name."""


def _worn(place: str, build: TireBuild, rng: Random) -> Defect:
    return Defect("worn tire", place, place, settings={f"{place} worn": rng.uniform(17, 20)})


def _shoulder(place: str, build: TireBuild, rng: Random) -> Defect:
    return Defect("one shoulder worn", place, place, settings={f"{place} shoulder": rng.uniform(4, 7)})


def _damage(place: str, build: TireBuild, rng: Random) -> Defect:
    return Defect("cut or bulge", place, place, settings={f"{place} damage": 1.0}, visible=True)


TIRE_KINDS = (
    Kind("worn tire", "tire", 4, _worn),
    Kind("one shoulder worn", "tire", 2, _shoulder),
    Kind("cut or bulge", "tire", 1, _damage),
)
"""Every kind of defect of a tire that a survey can meet."""


def tire_story(build: TireBuild) -> dict[str, str]:
    """What is plain to see."""
    number = {1: "one axle", 2: "two axles", 3: "three axles"}[build.axles]
    return {
        "unit number": "8032", "unit kind": "truck" if build.steers else "trailer",
        "axles behind any steer axle": number, "tires on them": "duals" if build.duals else "wide singles",
    }  # fmt: skip


def _draw(kinds: tuple[Kind, ...], places: Places, rng: Random) -> Case:
    for _ in range(1000):
        made = TireBuild(rng.choice((1, 2, 2, 3)), rng.random() < 0.5, rng.random() < 0.7)
        if all(place is None or place in made.tires for place in places):
            break
    else:
        raise DefectError(f"No unit has all of these tires: {places}.")
    build = replace(made, tread=tuple(rng.uniform(6, NEW) for _ in made.tires))
    defects = defects_of(kinds, places, build, rng)
    return Case(Plain(Tires(build, list(defects))), defects, tire_story(build), Instrument(), TIRE_LOOKS)


TIRES = Arrival("unit, tires to be measured", TIRE_KINDS, TireBuild(axles=3), _draw)
"""A unit whose tread is read."""
