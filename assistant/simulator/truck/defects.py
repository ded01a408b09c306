"""What can be wrong with a trailer, as physics: a resistance, an open, a short, a gap, a tooth, a tire.

A defect sits in one part and is gone when that part is renewed or mended. It can be steady, or there only while the
part is moved, wet, warm or rolling.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from random import Random
from typing import Any

from assistant.simulator.truck.build import Build

MOVED, WET, WARM = "moved", "wet", "warm"
"""Conditions under which a defect can be there; a wheel on the road has all three at some time."""
BEHIND_PLUG = "break right behind the plug"
"""Setting of a wire that is broken where it enters its plug: whoever moves the plug moves the break. One in ten, from
memory."""


@dataclass(frozen=True)
class Defect:
    """One thing that is wrong."""

    name: str
    """What it is, in the trade's words."""
    place: str | None
    """Wheel or modulator, None where there is only one such part."""
    part: str
    """The part that must be mended or replaced."""
    series: Mapping[str, float] = field(default_factory=dict)
    """Ohms added in a link of the circuit, by its name; infinity for an open."""
    shunts: tuple[tuple[str, str, float], ...] = ()
    """Ohms between two nodes that nothing should join."""
    settings: Mapping[str, float] = field(default_factory=dict)
    """Mechanical values, such as ``left rear gap`` in millimeters."""
    when: frozenset[str] = frozenset()
    """Conditions of which one must hold; empty: always there."""
    visible: bool = False
    """True when somebody who looks at the part sees it."""
    also: tuple[str, ...] = ()
    """Other parts that it takes: mending one of them mends it too."""


Maker = Callable[[str, Any, Random], Defect]
"""The place ('' for none), the build of the unit and the dice to a defect."""


def _steady(rng: Random, share: float) -> frozenset[str]:
    """Always there with this share, else by movement, water or warmth."""
    return frozenset() if rng.random() < share else frozenset({rng.choice((MOVED, MOVED, WET, WARM))})


def _power_open(place: str, build: Build, rng: Random) -> Defect:
    return Defect("blue wire open", None, "trailer blue wire", series={"trailer blue wire": math.inf})


def _power_resistance(place: str, build: Build, rng: Random) -> Defect:
    ohms = rng.uniform(1.3, 8)
    return Defect(
        "resistance in the blue wire",
        None,
        "trailer blue wire",
        series={"trailer blue wire": ohms},
        when=_steady(rng, 0.8),
    )


def _bad_ground(place: str, build: Build, rng: Random) -> Defect:
    ohms = rng.uniform(1.3, 8)
    return Defect(
        "bad ground", None, "trailer ground wire", series={"trailer ground wire": ohms}, when=_steady(rng, 0.8)
    )


def _weak_tractor(place: str, build: Build, rng: Random) -> Defect:
    ohms, both = rng.uniform(1.3, 6), rng.random() < 0.5
    link = "tractor ground wire" if both else "tractor blue wire"
    return Defect("weak supply from the tractor", None, "tractor supply", series={link: ohms}, when=_steady(rng, 0.8))


def _bad_cord(place: str, build: Build, rng: Random) -> Defect:
    pin, ohms = rng.choice(("1", "7")), rng.choice((rng.uniform(1.3, 8), math.inf))
    return Defect("bad cord", None, "cord", series={f"cord pin {pin}": ohms}, when=_steady(rng, 0.6))


def _dead_module(place: str, build: Build, rng: Random) -> Defect:
    return Defect("dead module", None, "module", series={"module regulator": math.inf})


def _dead_port(place: str, build: Build, rng: Random) -> Defect:
    return Defect("dead port", place, "module", series={f"{place} port feed": math.inf})


def _valve(place: str, build: Build, rng: Random) -> Defect:
    coil = rng.choice(("hold", "dump"))
    if rng.random() < 0.5:
        ohms = rng.choice((math.inf, rng.uniform(25, 200)))
        return Defect("modulator coil open", place, f"{place} valve", series={f"{place} {coil} coil": ohms})
    nodes = (f"{place} valve {coil}", f"{place} valve common", rng.uniform(0.2, 2))
    return Defect("modulator coil shorted", place, f"{place} valve", shunts=(nodes,))


def _light_wire(place: str, build: Build, rng: Random) -> Defect:
    nodes = ("lamp", "module blue", rng.uniform(0.05, 5))
    return Defect("light wire chafed to a hot wire", None, "light wire", shunts=(nodes,))


def _crossed(place: str, build: Build, rng: Random) -> Defect:
    return Defect("sensor wires crossed", None, "harness", settings={"crossed": 1.0})


def _tires(place: str, build: Build, rng: Random) -> Defect:
    wheel = rng.choice(build.wheels)
    size = rng.choice((-1, 1)) * rng.uniform(0.08, 0.16)
    return Defect("mixed tire sizes", None, "tires", settings={f"{wheel} tire": size})


def _backed_off(place: str, build: Build, rng: Random) -> Defect:
    return Defect("sensor backed off", place, f"{place} gap", settings={f"{place} gap": rng.uniform(1.3, 4)})


def _worn_clip(place: str, build: Build, rng: Random) -> Defect:
    values = {f"{place} gap": rng.uniform(1.5, 4), f"{place} creeps above": rng.uniform(2, 9)}
    return Defect("worn sensor clip", place, f"{place} clip", settings=values)


def _wire_open(place: str, build: Build, rng: Random) -> Defect:
    link = f"{place} wire {rng.choice('12')}"
    return Defect(
        "sensor wire open", place, f"{place} sensor wire", series={link: math.inf}, visible=rng.random() < 0.5
    )


def _wire_shorted(place: str, build: Build, rng: Random) -> Defect:
    nodes = (f"{place} wheel end 1", f"{place} wheel end 2", rng.uniform(0, 30))
    return Defect(
        "sensor wires shorted together", place, f"{place} sensor wire", shunts=(nodes,), visible=rng.random() < 0.5
    )


def _wire_grounded(place: str, build: Build, rng: Random) -> Defect:
    nodes = (f"{place} wheel end {rng.choice('12')}", "frame", 10 ** rng.uniform(-1, 2.8))
    return Defect(
        "sensor wire chafed to ground", place, f"{place} sensor wire", shunts=(nodes,), visible=rng.random() < 0.7
    )


def _wire_hot(place: str, build: Build, rng: Random) -> Defect:
    nodes = (f"{place} wheel end {rng.choice('12')}", "module blue", 10 ** rng.uniform(-1, 2.5))
    return Defect(
        "sensor wire chafed to a hot wire", place, f"{place} sensor wire", shunts=(nodes,), visible=rng.random() < 0.7
    )


def _plug(place: str, build: Build, rng: Random) -> Defect:
    ohms = rng.choice((10 ** rng.uniform(3.9, 5), 10 ** rng.uniform(3.9, 5), math.inf))
    return Defect(
        "corroded wheel-end plug", place, f"{place} wheel plug",
        series={f"{place} wheel plug {rng.choice('12')}": ohms}, when=_steady(rng, 0.7), visible=rng.random() < 0.93,
    )  # fmt: skip


def _flexes(place: str, build: Build, rng: Random) -> Defect:
    return Defect(
        "sensor wire that opens when it flexes", place, f"{place} sensor wire",
        series={f"{place} wire {rng.choice('12')}": math.inf}, when=frozenset({MOVED}), visible=rng.random() < 0.4,
        settings={BEHIND_PLUG: 1.0} if rng.random() < 0.1 else {},
    )  # fmt: skip


def _sensor_open(place: str, build: Build, rng: Random) -> Defect:
    return Defect("open sensor", place, f"{place} sensor", series={f"{place} coil": math.inf})


def _sensor_shorted(place: str, build: Build, rng: Random) -> Defect:
    # turns that short each other carry nothing: the output falls with the ohms
    left = rng.uniform(0.02, 0.26)
    values = {f"{place} turns lost": 1 - left}
    return Defect("shorted sensor", place, f"{place} sensor", settings=values)


def _sensor_grounded(place: str, build: Build, rng: Random) -> Defect:
    nodes = (f"{place} sensor {rng.choice('12')}", "axle", 10 ** rng.uniform(-1, 2.8))
    return Defect("grounded sensor", place, f"{place} sensor", shunts=(nodes,))


def _ring(place: str, build: Build, rng: Random) -> Defect:
    values = rng.choice(
        ({f"{place} teeth missing": float(rng.randint(1, 8))}, {f"{place} ring runout": rng.uniform(0.4, 1.2)})
    )
    return Defect("damaged tone ring", place, f"{place} ring", settings=values, visible=True)


def _bearing(place: str, build: Build, rng: Random) -> Defect:
    play = rng.uniform(0.012, 0.08)
    values = {f"{place} play": play, f"{place} gap": 8 * play * rng.uniform(0.4, 1.6)}
    return Defect("loose wheel bearing", place, f"{place} bearing", settings=values, visible=play > 0.04)


def _drag(place: str, build: Build, rng: Random) -> Defect:
    return Defect("dragging brake", place, f"{place} brake", settings={f"{place} drag": rng.uniform(0.55, 1)})


def _wires_touch(place: str, build: Build, rng: Random) -> Defect:
    other = next(wheel for wheel in build.wheels if wheel != place)
    nodes = (f"{place} wheel end 1", f"{other} wheel end 2", rng.uniform(0, 50))
    # whichever wire is mended and tied away from the other, nothing touches any more
    return Defect(
        "two sensor wires chafed into each other", place, f"{place} sensor wire", shunts=(nodes,),
        also=(f"{other} sensor wire",),
    )  # fmt: skip


def _breaker(place: str, build: Build, rng: Random) -> Defect:
    link = {"tractor blue breaker": math.inf}
    return Defect("breaker that opens when warm", None, "tractor supply", series=link, when=frozenset({WARM}))


def _valve_wire(place: str, build: Build, rng: Random) -> Defect:
    link = {f"{place} {rng.choice(('hold', 'dump'))} wire": math.inf}
    return Defect("modulator wire open", place, f"{place} valve wire", series=link, visible=rng.random() < 0.5)


def _light_backfeed(place: str, build: Build, rng: Random) -> Defect:
    return Defect("light fed from the marker circuit", None, "light socket", shunts=(("lamp", "module blue", 12.0),))


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of defect: where it can sit, how common it is and how it is made."""

    name: str
    each: str | None
    """Group of places, such as ``wheel`` or ``modulator``; None where there is only one."""
    weight: float
    """How common it is beside the others: invented, of the order that the trade's surveys and talk suggest."""
    make: Maker
    worked_on: str = "nothing"
    """What was often worked on before it came."""
    ahead: bool = False
    """True for a defect of the tractor or of the cord."""


def defects_of(
    kinds: tuple[Kind, ...], places: tuple[str | None, ...], build: Any, rng: Random
) -> tuple[Defect, ...]:
    """One defect of each kind, at its place, on a unit of this build."""
    return tuple(kind.make(place or "", build, rng) for kind, place in zip(kinds, places, strict=True))


KINDS = (
    Kind("blue wire open", None, 1, _power_open, "wiring"),
    Kind("resistance in the blue wire", None, 4, _power_resistance, "wiring"),
    Kind("bad ground", None, 5, _bad_ground),
    Kind("weak supply from the tractor", None, 3, _weak_tractor, ahead=True),
    Kind("bad cord", None, 2, _bad_cord, ahead=True),
    Kind("dead module", None, 1, _dead_module),
    Kind("dead port", "wheel", 0.15, _dead_port),
    Kind("modulator valve", "modulator", 3, _valve),
    Kind("light wire chafed to a hot wire", None, 2, _light_wire, "wiring"),
    Kind("sensor wires crossed", None, 0.8, _crossed, "wiring"),
    Kind("mixed tire sizes", None, 0.8, _tires, "tires"),
    Kind("sensor backed off", "wheel", 10, _backed_off, "wheels or brakes"),
    Kind("worn sensor clip", "wheel", 2, _worn_clip),
    Kind("sensor wire open", "wheel", 3, _wire_open, "wheels or brakes"),
    Kind("sensor wires shorted together", "wheel", 1, _wire_shorted),
    Kind("sensor wire chafed to ground", "wheel", 1.5, _wire_grounded),
    Kind("sensor wire chafed to a hot wire", "wheel", 0.4, _wire_hot),
    Kind("corroded wheel-end plug", "wheel", 5, _plug),
    Kind("sensor wire that opens when it flexes", "wheel", 1, _flexes),
    Kind("open sensor", "wheel", 4, _sensor_open),
    Kind("shorted sensor", "wheel", 1.5, _sensor_shorted),
    Kind("grounded sensor", "wheel", 0.6, _sensor_grounded),
    Kind("damaged tone ring", "wheel", 1.2, _ring, "wheels or brakes"),
    Kind("loose wheel bearing", "wheel", 1.2, _bearing, "wheels or brakes"),
    Kind("dragging brake", "wheel", 0.5, _drag),
    Kind("two sensor wires chafed into each other", "wheel", 0.2, _wires_touch),
    Kind("breaker that opens when warm", None, 0.3, _breaker, ahead=True),
    Kind("modulator wire open", "modulator", 0.5, _valve_wire),
    Kind("light fed from the marker circuit", None, 0.2, _light_backfeed, "wiring"),
)
"""Every kind of defect that a trailer can have, whether a procedure names it or not."""
