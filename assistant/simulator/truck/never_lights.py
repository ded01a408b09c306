"""A trailer that comes in because its ABS light never lights, not even for a moment when the power comes on."""

from __future__ import annotations

from random import Random

from assistant.errors import DefectError
from assistant.simulator.truck import build as sizes
from assistant.simulator.truck.build import Build
from assistant.simulator.truck.case import Arrival, Case, Places
from assistant.simulator.truck.controller import Controller
from assistant.simulator.truck.dark_defects import DARK_KINDS
from assistant.simulator.truck.defects import Defect, Kind, defects_of
from assistant.simulator.truck.looks import LOOKS
from assistant.simulator.truck.meter import Instrument
from assistant.simulator.truck.trailer import Trailer

TRIES = 200
"""Units drawn until the light of one stays dark."""


def _draw(kinds: tuple[Kind, ...], places: Places, rng: Random) -> Case:
    for _ in range(TRIES):
        ahead = any(kind.ahead for kind in kinds)
        build = Build(
            valves=rng.choice((1, 2)),
            supply=rng.choices(("tractor", "test power"), (17, 0 if ahead else 3))[0],
            air=rng.uniform(0, 35),
            sensor_ohms=tuple(rng.uniform(1020, 1330) for _ in range(6)),
            load_ohms=rng.choices((sizes.LOAD, sizes.HEADLAMP), (3, 2))[0],
        )
        defects = defects_of(kinds, places, build, rng)
        controller = Controller(Trailer(build, list(defects), key=True))
        dark = [Controller(Trailer(build, [one], key=True)).light_at_power_up() == "stays dark" for one in defects]
        if all(dark):
            return _case(controller, defects, rng)
    raise DefectError(f"No trailer's light stays dark with these defects: {[kind.name for kind in kinds]}.")


def _case(controller: Controller, defects: tuple[Defect, ...], rng: Random) -> Case:
    build = controller.trailer.build
    controller.power_up()
    story = {
        "powered by": build.supply,
        "other lights": rng.choices(("all work", "some"), (9, 1))[0],
        "unit number": "4019",
        "load at hand": "ten amps" if build.load_ohms < 2 else "headlamp",
        "ohms of the leads": "0.2",
    }
    return Case(controller, defects, story, Instrument(), LOOKS)


NEVER_LIGHTS = Arrival("trailer, ABS light never lights", DARK_KINDS, Build(), _draw)
"""A trailer whose anti-lock light stays dark when the power comes on."""
