"""A truck or a trailer with its drums off, whose wheel-speed sensors are looked at before they go back on."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random

from assistant.simulator.truck.build import SIDES, Build
from assistant.simulator.truck.case import Arrival, Case, Places
from assistant.simulator.truck.controller import Controller
from assistant.simulator.truck.defects import KINDS, Kind, defects_of
from assistant.simulator.truck.looks import LOOKS
from assistant.simulator.truck.meter import Instrument
from assistant.simulator.truck.trailer import Trailer

AT_THE_HUB = (
    "sensor backed off", "worn sensor clip", "open sensor", "shorted sensor", "grounded sensor", "damaged tone ring",
    "corroded wheel-end plug", "sensor wire chafed to ground", "loose wheel bearing",
)  # fmt: skip
"""Kinds of defects that sit where the drum was."""
HUB_KINDS = tuple(kind for kind in KINDS if kind.name in AT_THE_HUB)


@dataclass(frozen=True, slots=True)
class Hubs(Build):
    """Axles with sensors behind a steer axle, where there is one."""

    steer: bool = False
    """True for a truck or tractor, whose steer axle has sensors too."""

    @property
    def wheels(self) -> tuple[str, ...]:
        """Every wheel with a sensor, front to back."""
        axles = (*(("steer",) if self.steer else ()), *(("forward",) if self.axles == 2 else ()), "rear")
        return tuple(f"{side} {axle}" for axle in axles for side in SIDES)


def _draw(kinds: tuple[Kind, ...], places: Places, rng: Random) -> Case:
    air = rng.uniform(0, 35)
    build = Hubs(
        axles=2 if any("forward" in (place or "") for place in places) else rng.choice((1, 2)),
        steer=any("steer" in (place or "") for place in places) or rng.random() < 0.4,
        air=air,
        hubs=air,
        sensor_ohms=tuple(rng.uniform(1020, 1330) for _ in range(6)),
    )
    defects = defects_of(kinds, places, build, rng)
    trailer = Trailer(build, list(defects), lifted=set(build.wheels))
    story = {
        "unit number": "4019",
        "unit kind": "truck" if build.steer else "trailer",
        "axles": {1: "one axle", 2: "two axles"}[build.axles],
        "meter's lowest AC range": rng.choices(("automatic", "two volts", "twenty volts"), (7, 1, 2))[0],
        "ohms of the leads": "0.2",
        "hub temperature": f"{build.hubs * 9 / 5 + 32:.0f}",
    }
    return Case(Controller(trailer), defects, story, Instrument(), LOOKS)


DRUMS_OFF = Arrival("hubs, drums off", HUB_KINDS, Hubs(axles=2, steer=True), _draw)
"""Hubs without their drums, on stands, with the key off."""
