"""A trailer that comes in because its ABS light is on: its module has stored what it saw on the road.

The complaint follows from that.
"""

from __future__ import annotations

from random import Random

from assistant.errors import DefectError
from assistant.simulator.truck import build as sizes
from assistant.simulator.truck.build import AXLES, Build
from assistant.simulator.truck.case import Arrival, Case, Places
from assistant.simulator.truck.controller import Code, Controller
from assistant.simulator.truck.defects import KINDS, MOVED, WARM, WET, Kind, defects_of
from assistant.simulator.truck.looks import LOOKS
from assistant.simulator.truck.meter import Instrument
from assistant.simulator.truck.trailer import Trailer

ROAD = 30.0
"""Miles an hour at which the trailer was driven before it came in."""
NO_READER = 0.15
"""Share of technicians without a code reader at hand: from memory."""
_PATTERN = {MOVED: "bumps", WET: "wet", WARM: "warm"}
_NUMBERS = {2: "two", 4: "four", 6: "six"}


def _draw(kinds: tuple[Kind, ...], places: Places, rng: Random) -> Case:
    build = _build(rng, list(places), ahead=any(kind.ahead for kind in kinds))
    defects = defects_of(kinds, places, build, rng)
    controller = Controller(Trailer(build, list(defects)))
    trailer = controller.trailer
    trailer.key = trailer.engine = True
    controller.power_up()
    controller.roll(ROAD, rough=True)
    if not defects:
        controller.stored[Code("open", rng.choice(build.wheels), self_made=True)] = None
    trailer.engine = False
    controller.power_up()
    return Case(controller, defects, _story(controller, list(kinds), rng), Instrument(), LOOKS)


def _build(rng: Random, places: list[str | None], *, ahead: bool) -> Build:
    """A trailer that has these places, behind a tractor where the defect is ahead of the trailer."""
    for _ in range(1000):
        axles = rng.choice((1, 2, 2))
        given: tuple[tuple[str, ...], ...] = (
            (("rear",),) if axles == 1 else (("front", "rear"), ("front",), ("rear",))
        )
        hubs_over = rng.choice((0.0, 0.0, 20.0, 50.0))
        air = rng.uniform(0, 35)
        made = Build(
            axles=axles,
            sensor_axles=rng.choice(given),
            valves=rng.choice((1, 2)),
            brakes=rng.choices(("drum", "disc"), (17, 3))[0],
            shields=rng.choice(("come off", "fixed", "no shields")),
            rail=rng.choices((sizes.RAIL, sizes.LOW_RAIL), (19, 1))[0],
            holds_light=rng.random() < 0.7,
            supply=rng.choices(("tractor", "test power"), (17, 0 if ahead else 3))[0],
            dash_light=rng.random() < 0.75,
            air=air,
            hubs=air + hubs_over,
            sensor_ohms=tuple(rng.uniform(1020, 1330) for _ in range(6)),
            load_ohms=rng.choices((sizes.LOAD, sizes.HEADLAMP), (3, 2))[0],
        )
        if all(place is None or place in (*made.wheels, *made.modulators) for place in places):
            return made
    raise DefectError(f"No trailer has all of these places: {places}.")


def _story(controller: Controller, kinds: list[Kind], rng: Random) -> dict[str, str]:
    trailer = controller.trailer
    build = trailer.build
    when = [_comes_on(controller, rng)]
    conditions = sorted(set().union(*(one.when for one in trailer.defects)) if trailer.defects else set())
    pattern = _PATTERN[conditions[0]] if conditions and rng.random() < 0.7 else "no pattern"
    worked = [kind.worked_on for kind in kinds if kind.worked_on != "nothing" and rng.random() < 0.4]
    ahead = any(kind.ahead for kind in kinds)
    tried = rng.random() < 0.4
    told = {
        "light that is on": _which_light(controller),
        "comes on": when[0],
        "pattern": pattern,
        "worked on": worked[0] if worked else "nothing",
        "powered by": build.supply,
        "tractors that show it": ("only one" if ahead else "every tractor") if tried else "one tried",
        "trailers behind the tractor": "single",
        "sensors": _NUMBERS[len(build.wheels)],
        "sensor axle": build.sensor_axles[0] if len(build.sensor_axles) == 1 else "all of them",
        "axles": _NUMBERS.get(2 * len(AXLES[build.axles]), "two"),
        "modulators": {1: "one", 2: "two", 3: "three"}[build.valves],
        "brakes": build.brakes,
        "dust shields": build.shields,
        "meter's lowest AC range": rng.choices(("automatic", "two volts", "twenty volts"), (7, 1, 2))[0],
        "ohms of the leads": "0.2",
        "load at hand": "headlamp" if build.load_ohms == sizes.HEADLAMP else "ten amp tester",
        "hub temperature": f"{build.hubs * 9 / 5 + 32:.0f}",
        "unit number": "4019",
    }
    if rng.random() < NO_READER:
        told["codes"] = "no answer"
    return told


def _which_light(controller: Controller) -> str:
    """Which lights the driver saw: the trailer's own, the tractor's for the trailer, or both."""
    told = bool(controller.active() or controller.resting()) or not controller.connected()
    dash = told and controller.trailer.build.dash_light
    if controller.connected() and dash:
        return "both"
    return "dash light" if dash and not controller.light() else "trailer light"


def _comes_on(controller: Controller, rng: Random) -> str:
    """When the driver saw it come on."""
    defects = controller.trailer.defects
    if not defects or all(one.when for one in defects):
        return "comes and goes"
    if controller.standing() or (controller.light_at_power_up() != "goes out" and not controller.held):
        return "at once"
    return "at once" if controller.trailer.build.holds_light and rng.random() < 0.4 else "after rolling"


LIGHT_ON = Arrival("trailer, ABS light on", KINDS, Build(axles=2, sensor_axles=AXLES[2], valves=2), _draw)
"""A trailer of one or two axles whose anti-lock light is on."""
