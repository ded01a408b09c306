"""A train that comes in because an ABS light is on: it has been on the road, by day and by night."""

from __future__ import annotations

from random import Random

from assistant.errors import DefectError
from assistant.simulator.truck import build as sizes
from assistant.simulator.truck.case import Arrival, Case, Places
from assistant.simulator.truck.defects import MOVED, WARM, WET, Kind, defects_of
from assistant.simulator.truck.meter import Instrument
from assistant.simulator.truck.train.defects import TRAIN_KINDS
from assistant.simulator.truck.train.looks import TRAIN_LOOKS, which
from assistant.simulator.truck.train.system import LAMPS, Modules, Train, TrainBuild

ROAD = 40.0
"""Miles an hour before it came in."""


def _draw(kinds: tuple[Kind, ...], places: Places, rng: Random) -> Case:
    for _ in range(400):
        build = TrainBuild(
            count=rng.choice((2, 2, 3)),
            air=rng.uniform(-10, 35),
            load_ohms=rng.choices((sizes.LOAD, sizes.HEADLAMP / 2), (3, 2))[0],
            holds_light=rng.random() < 0.7,
        )
        if not all(place is None or place in build.trailers for place in places):
            continue
        defects = defects_of(kinds, places, build, rng)
        mine = Modules(Train(build, list(defects), key=True, engine=True))
        mine.power_up()
        mine.roll(ROAD, rough=True)
        told = list(mine.held) if defects else [rng.choice(build.trailers)]
        mine.told = tuple(told)
        if told:
            return Case(
                mine, defects, _story(mine, kinds, told, rng), Instrument(), TRAIN_LOOKS, {"last": build.trailers[-1]}
            )
    raise DefectError(f"No train's light comes on for {[kind.name for kind in kinds]} at {places}.")


def _story(mine: Modules, kinds: tuple[Kind, ...], told: list[str], rng: Random) -> dict[str, str]:
    train = mine.train
    last = train.build.trailers[-1]
    ahead = any(kind.ahead for kind in kinds)
    tried = rng.random() < 0.4
    return {
        "train": {2: "doubles", 3: "triples"}[train.build.count],
        "lights that are on": which(told, last),
        "tractors that show it": ("only one" if ahead else "every tractor") if tried else "one tried",
        "pattern": _pattern(mine),
        "unit number": "6114",
    }


def _pattern(mine: Modules) -> str:
    when = frozenset().union(*(one.when for one in mine.train.defects))
    if MOVED in when:
        return "bumps"
    if WET in when:
        return "cold or wet"
    if WARM in when:
        return "when warm"
    dark = mine.copy(switches={LAMPS: "off"})
    if mine.train.defects and not (dark.faults(rolling=True) or dark.dark()):
        return "lamps on"
    return "all the time"


TRAIN = Arrival("train, ABS light on", TRAIN_KINDS, TrainBuild(count=3), _draw)
"""Doubles or triples with an ABS light on."""
