"""What eyes find along a train, each finding by its name."""

from __future__ import annotations

from typing import cast

from assistant.simulator.truck.case import Look
from assistant.simulator.truck.machine import Brain
from assistant.simulator.truck.train.system import LAMPS, Modules


def modules(brain: Brain) -> Modules:
    """The modules of the train."""
    return cast("Modules", brain)


def which(names: list[str], last: str) -> str:
    """Whose light it is, in a driver's words."""
    if not names:
        return "none"
    if len(names) > 1:
        return "more than one"
    return "last only" if names[0] == last else "further forward"


def _lights(brain: Brain, place: str) -> str:
    mine = modules(brain)
    return which(sorted({*mine.lit(), *mine.dark()}), mine.train.build.trailers[-1])


def _lights_at_power_up(brain: Brain, place: str) -> str:
    """Every light comes on and goes out, or one stays on, or stays dark because its module sleeps."""
    mine = modules(brain)
    if mine.faults() or mine.dark():
        return "one stays"
    return "stays until it rolls" if mine.lit() else "good"


def _all_out(brain: Brain, place: str) -> str:
    mine = modules(brain)
    return "one is lit" if mine.lit() or mine.dark() else "all out"


def _plugs(brain: Brain, place: str) -> str:
    mine = modules(brain)
    return "one is bad" if any(one.visible for one in mine.train.defects) else "all clean"


def _alone(brain: Brain, place: str) -> str:
    """The trailer whose light is on, alone behind the tractor with a good cord, driven at night."""
    mine = modules(brain)
    lit = mine.told[-1]
    kept = [one for one in mine.train.defects if one.place in (None, lit) and one.part != f"{lit} cord"]
    train = mine.copy(defects=kept, key=True, engine=True, unplugged=set(), load=None, switches={LAMPS: "on"}).train
    # its mates are not there to draw anything
    train.unplugged = {f"{name} module power plug" for name in train.build.trailers if name != lit}
    single = Modules(train)
    single.roll(20, rough=False)
    return "lit" if lit in {*single.held, *single.dark(), *single.faults(rolling=True)} else "out"


TRAIN_LOOKS: dict[str, Look] = {
    "ABS lights": _lights,
    "ABS lights at key on": _lights_at_power_up,
    "ABS lights after rolling": _all_out,
    "plugs and sockets": _plugs,
    "lit trailer alone": _alone,
}
"""What can be looked at, by name; the second argument is the place, '' for none."""
