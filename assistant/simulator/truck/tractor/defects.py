"""What can be wrong with a tractor's ABS, as physics: its own supply and light; wheel ends are those of a trailer."""

from __future__ import annotations

import math
from random import Random

from assistant.simulator.truck.defects import KINDS, MOVED, WARM, WET, Defect, Kind
from assistant.simulator.truck.tractor.system import TractorBuild

_AHEAD = {
    "blue wire open", "resistance in the blue wire", "bad ground", "weak supply from the tractor", "bad cord",
    "breaker that opens when warm", "light wire chafed to a hot wire", "light fed from the marker circuit",
}  # fmt: skip
"""Kinds of a trailer that a tractor does not have."""


def _comes_and_goes(rng: Random) -> frozenset[str]:
    return frozenset() if rng.random() < 0.8 else frozenset({rng.choice((MOVED, MOVED, WET, WARM))})


def _power_open(place: str, build: TractorBuild, rng: Random) -> Defect:
    link = rng.choice(("fuse", "power wire"))
    return Defect("power wire or fuse open", None, "power wire", {link: math.inf}, visible=link == "fuse")


def _power_resistance(place: str, build: TractorBuild, rng: Random) -> Defect:
    link = {rng.choice(("fuse", "power wire", "power wire")): rng.uniform(1.3, 8)}
    return Defect(
        "resistance in the power wire",
        None,
        "power wire",
        link,
        when=_comes_and_goes(rng),
        visible=rng.random() < 0.2,
    )


def _bad_ground(place: str, build: TractorBuild, rng: Random) -> Defect:
    link = {"ground wire": rng.uniform(1.3, 8)}
    return Defect("bad ground", None, "ground wire", link, when=_comes_and_goes(rng))


def _weak_battery(place: str, build: TractorBuild, rng: Random) -> Defect:
    values = {"battery volts lost": rng.uniform(0.9, 2.2), "battery ohms": rng.uniform(0.3, 1)}
    return Defect("weak battery", None, "battery", settings=values)


def _trailer(place: str, build: TractorBuild, rng: Random) -> Defect:
    return Defect("trailer's fault", None, "trailer", settings={"trailer fault": 1.0})


def _light(place: str, build: TractorBuild, rng: Random) -> Defect:
    nodes = ("lamp", "module blue", rng.uniform(0.05, 5))
    return Defect("light wire chafed to a hot wire", None, "light wire", shunts=(nodes,))


TRACTOR_KINDS = (
    Kind("trailer's fault", None, 2, _trailer),
    Kind("weak battery", None, 2, _weak_battery),
    Kind("power wire or fuse open", None, 3, _power_open, "wiring"),
    Kind("resistance in the power wire", None, 4, _power_resistance, "wiring"),
    Kind("bad ground", None, 5, _bad_ground),
    Kind("light wire chafed to a hot wire", None, 2, _light, "wiring"),
    *(kind for kind in KINDS if kind.name not in _AHEAD and not kind.name.startswith("light")),
)
"""Every kind of defect of a tractor's ABS, whether a procedure names it or not."""
