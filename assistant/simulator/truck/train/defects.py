"""What can be wrong along a train, as physics; ``truck.defects`` says what a defect is."""

from __future__ import annotations

import math
from random import Random

from assistant.simulator.truck.defects import MOVED, WARM, WET, Defect, Kind
from assistant.simulator.truck.train.system import TrainBuild


def _resistance(rng: Random) -> float:
    """Ohms of a joint that starves what lies behind it."""
    return rng.choice((math.inf, *(rng.uniform(0.5, 8) for _ in range(4))))


def _supply(place: str, build: TrainBuild, rng: Random) -> Defect:
    link = {f"tractor wire {rng.choice('17')}": rng.uniform(0.4, 4)}
    return Defect("weak supply at the tractor's socket", None, "tractor supply", link)


def _charging(place: str, build: TrainBuild, rng: Random) -> Defect:
    return Defect("weak charging", None, "charging", settings={"charging lost": rng.uniform(0.9, 2.6)})


def _cord(place: str, build: TrainBuild, rng: Random) -> Defect:
    link = {f"{place} cord {rng.choice('17')}": _resistance(rng)}
    return Defect("bad cord", place, f"{place} cord", link, visible=rng.random() < 0.5)


def _loose_cord(place: str, build: TrainBuild, rng: Random) -> Defect:
    link = {f"{place} cord {rng.choice('17')}": _resistance(rng)}
    when = frozenset({MOVED, WET} if rng.random() < 0.4 else {MOVED})
    return Defect("loose cord", place, f"{place} cord", link, when=when, visible=rng.random() < 0.4)


def _power(place: str, build: TrainBuild, rng: Random) -> Defect:
    return Defect("power wire of a trailer", place, f"{place} power wire", {f"{place} wire 7": _resistance(rng)})


def _ground(place: str, build: TrainBuild, rng: Random) -> Defect:
    return Defect("ground of a trailer", place, f"{place} ground wire", {f"{place} wire 1": rng.uniform(1.5, 30)})


def _own(place: str, build: TrainBuild, rng: Random) -> Defect:
    name = f"{place} own fault" if rng.random() < 0.6 else f"{place} own fault, rolling"
    return Defect("fault of a trailer of its own", place, f"{place} ABS", settings={name: 1.0})


def _breaker(place: str, build: TrainBuild, rng: Random) -> Defect:
    link = {"tractor blue breaker": math.inf}
    return Defect("breaker that opens when warm", None, "tractor breaker", link, when=frozenset({WARM}))


TRAIN_KINDS = (
    Kind("weak supply at the tractor's socket", None, 5, _supply, ahead=True),
    Kind("weak charging", None, 2, _charging, ahead=True),
    Kind("bad cord", "cord", 5, _cord),
    Kind("loose cord", "cord", 1.5, _loose_cord),
    Kind("power wire of a trailer", "trailer", 3, _power),
    Kind("ground of a trailer", "trailer", 4, _ground),
    Kind("fault of a trailer of its own", "trailer", 4, _own),
    Kind("breaker that opens when warm", None, 0.3, _breaker, ahead=True),
)
"""Every kind of defect along a train, whether a procedure names it or not."""
