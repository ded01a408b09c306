"""A tractor that comes in because its ABS light is on: its module has stored what it saw on the road."""

from __future__ import annotations

from random import Random

from assistant.errors import DefectError
from assistant.simulator.truck import build as sizes
from assistant.simulator.truck.case import Arrival, Case, Places
from assistant.simulator.truck.controller import Code
from assistant.simulator.truck.defects import MOVED, WARM, WET, Defect, Kind, defects_of
from assistant.simulator.truck.meter import Instrument
from assistant.simulator.truck.tractor.defects import TRACTOR_KINDS
from assistant.simulator.truck.tractor.looks import TRACTOR_LOOKS
from assistant.simulator.truck.tractor.system import Tractor, TractorBuild, TractorModule

ROAD = 30.0
"""Miles an hour at which it was driven before it came in."""
NO_READER = 0.15
"""Share of technicians without a code reader at hand: from memory."""
_PATTERN = {MOVED: "bumps", WET: "wet", WARM: "warm"}


def _draw(kinds: tuple[Kind, ...], places: Places, rng: Random) -> Case:
    for _ in range(1000):
        build = _build(rng)
        if not all(place is None or place in (*build.wheels, *build.modulators) for place in places):
            continue
        defects = defects_of(kinds, places, build, rng)
        mine = _driven(build, defects)
        if not defects:
            mine.stored[Code("open", rng.choice(build.wheels), self_made=True)] = None
        noticed = mine.stored or mine.lit() or mine.dash() != "goes out" or mine.trailer.value("trailer fault")
        if noticed or any(one.when for one in defects):
            return Case(mine, defects, _story(mine, kinds, rng), Instrument(), TRACTOR_LOOKS)
    raise DefectError(f"No tractor comes in with {[kind.name for kind in kinds]} at {places}.")


def _driven(build: TractorBuild, defects: tuple[Defect, ...]) -> TractorModule:
    """Started, driven on a day's road, and parked with the key on."""
    mine = TractorModule(Tractor(build, list(defects)))
    tractor = mine.trailer
    tractor.key = True
    mine.power_up()
    tractor.engine = True
    mine.roll(ROAD, rough=True)
    tractor.engine = False
    mine.power_up()
    return mine


def _build(rng: Random) -> TractorBuild:
    air = rng.uniform(0, 35)
    return TractorBuild(
        six_sensors=rng.random() < 0.35,
        drive_axle=rng.choice(("forward", "rear")),
        valve_count=rng.choice((3, 4, 4, 6)),
        brakes=rng.choices(("drum", "disc"), (3, 1))[0],
        shields=rng.choice(("come off", "fixed", "no shields")),
        rail=rng.choices((sizes.RAIL, sizes.LOW_RAIL), (19, 1))[0],
        holds_light=rng.random() < 0.7,
        air=air,
        hubs=air + rng.choice((0.0, 0.0, 20.0, 50.0)),
        sensor_ohms=tuple(rng.uniform(1020, 1330) for _ in range(6)),
        load_ohms=rng.choices((sizes.LOAD, sizes.HEADLAMP), (3, 2))[0],
    )


def _story(mine: TractorModule, kinds: tuple[Kind, ...], rng: Random) -> dict[str, str]:
    tractor = mine.trailer
    build = tractor.build
    conditions = sorted(set().union(*(one.when for one in tractor.defects)) if tractor.defects else set())
    worked = [kind.worked_on for kind in kinds if kind.worked_on != "nothing" and rng.random() < 0.4]
    trailer = bool(tractor.value("trailer fault"))
    told = {
        "light that is on": "trailer light"
        if trailer and len(kinds) == 1
        else "both"
        if trailer
        else "tractor light",
        "comes on": _comes_on(mine, rng),
        "pattern": _PATTERN[conditions[0]] if conditions and rng.random() < 0.7 else "no pattern",
        "worked on": worked[0] if worked else "nothing",
        "sensors": "six" if len(build.wheels) == 6 else "four",
        "drive axle": _axle(mine),
        "modulators": {3: "three valves", 4: "four valves", 6: "six valves"}[len(build.modulators)],
        "brakes": build.brakes,
        "dust shields": build.shields,
        "meter's lowest AC range": rng.choices(("automatic", "two volts", "twenty volts"), (7, 1, 2))[0],
        "ohms of the leads": "0.2",
        "hub temperature": f"{build.hubs * 9 / 5 + 32:.0f}",
        "unit number": "7120",
    }
    if rng.random() < NO_READER:
        told["codes"] = "no answer"
    return told


def _axle(mine: TractorModule) -> str:
    drives = {wheel.split(" ")[1] for wheel in mine.trailer.build.wheels if wheel.endswith("drive")}
    return f"{min(drives)} axle" if len(drives) == 1 else "both axles"


def _comes_on(mine: TractorModule, rng: Random) -> str:
    """When the driver saw it come on."""
    defects = mine.trailer.defects
    if not defects or all(one.when for one in defects):
        return "comes and goes"
    if mine.standing() or not mine.connected() or (mine.dash() != "goes out" and not mine.held):
        return "at once"
    if mine.trailer.value("trailer fault"):
        return rng.choice(("at once", "after rolling"))
    return "at once" if mine.trailer.build.holds_light and rng.random() < 0.4 else "after rolling"


TRACTOR = Arrival("tractor, ABS light on", TRACTOR_KINDS, TractorBuild(six_sensors=True, valve_count=6), _draw)
"""A tractor whose own anti-lock light is on, or whose dash shows its trailer's."""
