"""What can be wrong between a tractor's battery and a trailer's lamps: opens, resistances, shorts, wrong bulbs.

A joint that loses volts has ohms from corrosion or a loose screw; one that comes and goes has them only while it is
moved or wet.
"""

from __future__ import annotations

import math
from random import Random

from assistant.simulator.truck.defects import MOVED, WET, Defect, Kind
from assistant.simulator.truck.lighting.lights import PINS, LightBuild, ground_of

CORD, SOCKET, TRACTOR = "cord", "nose socket", "tractor supply"
_LOOSE = frozenset({MOVED})


def _ohms(build: LightBuild, rng: Random, opens: float = 0.35) -> float:
    """An open, or so many ohms that it is noticed: more where LED lamps draw little."""
    if rng.random() < opens:
        return math.inf
    return 10 ** rng.uniform(1.0, 2.3) if build.led else 10 ** rng.uniform(0.3, 1.6)


def _few_ohms(rng: Random, opens: float = 0.2) -> float:
    """Ohms that a circuit loses volts across at ten amps, or an open."""
    return math.inf if rng.random() < opens else 10 ** rng.uniform(-0.05, 0.9)


def _sometimes(rng: Random) -> frozenset[str]:
    return frozenset({MOVED}) if rng.random() < 0.7 else frozenset({MOVED, WET})


def bulb_of(lamp: str, build: LightBuild) -> str:
    """The part that is replaced for a lamp: stop and tail of a side are one double bulb, or one LED lamp."""
    side, _, kind = lamp.partition(" ")
    return f"{side} stop and tail lamp" if kind in {"stop", "tail"} else f"{lamp} lamp"


def _dead_lamp(place: str, build: LightBuild, rng: Random) -> Defect:
    return Defect("dead lamp", place, bulb_of(place, build), {f"{place} lamp": math.inf})


def _wrong_bulb(place: str, build: LightBuild, rng: Random) -> Defect:
    side = place.split()[0]
    if rng.random() < 0.5:
        values = {f"{side} bulb turned round": 1.0}
        return Defect("bulb turned round", place, bulb_of(place, build), settings=values, visible=True)
    # a single bulb's foot bridges both contacts of a double socket
    nodes = (f"{side} tail socket", f"{side} stop socket", 0.05)
    return Defect("single bulb in a double socket", place, bulb_of(place, build), shunts=(nodes,), visible=True)


def _lamp_plug(place: str, build: LightBuild, rng: Random) -> Defect:
    series = {f"{place} plug": _ohms(build, rng)}
    return Defect("corroded lamp plug", place, f"{place} plug", series, visible=rng.random() < 0.92)


def _loose_lamp_plug(place: str, build: LightBuild, rng: Random) -> Defect:
    series = {f"{place} plug": math.inf}
    return Defect("lamp plug that comes and goes", place, f"{place} plug", series, when=_LOOSE,
                  visible=rng.random() < 0.5)  # fmt: skip


def _lamp_ground(place: str, build: LightBuild, rng: Random) -> Defect:
    ground = ground_of(place)
    return Defect("bad ground at the lamp", place, f"{ground} ground", {f"{ground} ground": _ohms(build, rng)})


def _lamp_wire(place: str, build: LightBuild, rng: Random) -> Defect:
    return Defect("lamp wire open or eaten", place, f"{place} wire", {f"{place} wire": _ohms(build, rng)})


def _any_pin(build: LightBuild, rng: Random) -> str:
    return build.pin if build.far else rng.choice(PINS[:5])


def _side_wire(place: str, build: LightBuild, rng: Random) -> Defect:
    pin = _any_pin(build, rng)
    link = f"trailer wire {pin}"
    return Defect("circuit's wire open or eaten", None, link, {link: _ohms(build, rng)})


def _box(place: str, build: LightBuild, rng: Random) -> Defect:
    pin = _any_pin(build, rng)
    link = f"{rng.choice(('nose box', 'junction box'))} {pin}"
    return Defect("corroded splice", None, link, {link: _ohms(build, rng)})


def _main_ground(place: str, build: LightBuild, rng: Random) -> Defect:
    series = {"nose box one": _ohms(build, rng, 0.5)}
    return Defect("trailer's main ground", None, "nose box one", series, when=_steady(rng, 0.8))


def _socket(place: str, build: LightBuild, rng: Random) -> Defect:
    pin = rng.choice((_any_pin(build, rng), "one"))
    series = {f"cord plug at the nose {pin}": _ohms(build, rng)}
    return Defect("bad pin in the trailer's socket", None, SOCKET, series, visible=rng.random() < 0.9)


def _loose_socket(place: str, build: LightBuild, rng: Random) -> Defect:
    pin = rng.choice((_any_pin(build, rng), "one"))
    series = {f"cord plug at the nose {pin}": math.inf}
    return Defect("socket's pin that comes and goes", None, SOCKET, series, when=_sometimes(rng),
                  visible=rng.random() < 0.5)  # fmt: skip


def _cord(place: str, build: LightBuild, rng: Random) -> Defect:
    pin = rng.choice((_any_pin(build, rng), _any_pin(build, rng), "one"))
    return Defect("bad cord", None, CORD, {f"cord {pin}": _ohms(build, rng)}, visible=rng.random() < 0.15)


def _loose_cord(place: str, build: LightBuild, rng: Random) -> Defect:
    pin = rng.choice((_any_pin(build, rng), _any_pin(build, rng), "one"))
    series = {f"cord {pin}": math.inf}
    return Defect("cord that comes and goes", None, CORD, series, when=_sometimes(rng), visible=rng.random() < 0.1)


def _tractor(place: str, build: LightBuild, rng: Random) -> Defect:
    pin = rng.choice((_any_pin(build, rng), _any_pin(build, rng), "one"))
    return Defect("weak supply from the tractor", None, TRACTOR, {f"tractor wire {pin}": _ohms(build, rng)})


def _shorted(place: str, build: LightBuild, rng: Random) -> Defect:
    first, second = rng.sample(PINS[:5], 2)
    nodes = (f"junction in {first}", f"junction in {second}", rng.uniform(0.02, 0.5))
    return Defect("wires of two circuits touch", None, "loom", shunts=(nodes,))


def _swapped_pins(place: str, build: LightBuild, rng: Random) -> Defect:
    """Two wires on each other's pins behind the nose socket: a wrong repair."""
    first, second = rng.sample(PINS[:5], 2)
    series = {f"nose box {first}": math.inf, f"nose box {second}": math.inf}
    across = (
        (f"nose pin {first}", f"front wire {second}", 0.003), (f"nose pin {second}", f"front wire {first}", 0.003),
    )  # fmt: skip
    return Defect("wires on each other's pins", None, "nose box wiring", series, across, visible=False)


def _steady(rng: Random, share: float) -> frozenset[str]:
    return frozenset() if rng.random() < share else frozenset({MOVED})


LIGHT_KINDS = (
    Kind("dead lamp", "lamp", 0.7, _dead_lamp),
    Kind("wrong bulb", "double lamp", 0.7, _wrong_bulb),
    Kind("corroded lamp plug", "lamp", 0.6, _lamp_plug),
    Kind("lamp plug that comes and goes", "lamp", 0.12, _loose_lamp_plug),
    Kind("bad ground at the lamp", "lamp", 0.5, _lamp_ground),
    Kind("lamp wire open or eaten", "lamp", 0.25, _lamp_wire, "wiring"),
    Kind("circuit's wire open or eaten", None, 3, _side_wire, "wiring"),
    Kind("corroded splice", None, 1, _box, "wiring"),
    Kind("trailer's main ground", None, 5, _main_ground),
    Kind("bad pin in the trailer's socket", None, 5, _socket),
    Kind("socket's pin that comes and goes", None, 1, _loose_socket),
    Kind("bad cord", None, 5, _cord, ahead=True),
    Kind("cord that comes and goes", None, 1, _loose_cord, ahead=True),
    Kind("weak supply from the tractor", None, 4, _tractor, ahead=True),
    Kind("wires of two circuits touch", None, 1.5, _shorted, "wiring"),
    Kind("wires on each other's pins", None, 0.5, _swapped_pins, "wiring"),
)
"""What can be wrong with a trailer's lights."""


def _joint(place: str, build: LightBuild, rng: Random, kind: str) -> Defect:
    pin = "one" if kind == "ground" else build.pin
    link = f"{place} {pin}"
    front = place.startswith("cord")
    return Defect(f"bad {kind} joint", place, place, {link: _few_ohms(rng)}, visible=front and rng.random() < 0.75)


def _power_joint(place: str, build: LightBuild, rng: Random) -> Defect:
    return _joint(place, build, rng, "power")


def _ground_joint(place: str, build: LightBuild, rng: Random) -> Defect:
    return _joint(place, build, rng, "ground")


def _loose_joint(place: str, build: LightBuild, rng: Random) -> Defect:
    link = f"{place} {rng.choice((build.pin, 'one'))}"
    front = place.startswith("cord")
    series = {link: rng.choice((math.inf, 10 ** rng.uniform(0.3, 1)))}
    return Defect("joint that comes and goes", place, place, series, when=_sometimes(rng),
                  visible=front and rng.random() < 0.6)  # fmt: skip


def _weak_cord(place: str, build: LightBuild, rng: Random) -> Defect:
    link = f"cord {rng.choice((build.pin, 'one'))}"
    return Defect("bad cord", None, CORD, {link: _few_ohms(rng, 0.3)}, visible=rng.random() < 0.15)


def _weak_tractor(place: str, build: LightBuild, rng: Random) -> Defect:
    link = f"tractor wire {rng.choice((build.pin, build.pin, 'one'))}"
    return Defect("weak supply from the tractor", None, TRACTOR, {link: _few_ohms(rng)})


def _power_wire(place: str, build: LightBuild, rng: Random) -> Defect:
    link = f"{rng.choice(('trailer wire', 'trailer wire', 'rear wire'))} {build.pin}"
    return Defect("power wire eaten along the trailer", None, "wire along the trailer", {link: _few_ohms(rng)})


def _ground_wire(place: str, build: LightBuild, rng: Random) -> Defect:
    link = f"{rng.choice(('trailer wire', 'trailer wire', 'rear wire'))} one"
    return Defect("ground wire eaten along the trailer", None, "wire along the trailer", {link: _few_ohms(rng)})


def _leaking_wire(place: str, build: LightBuild, rng: Random) -> Defect:
    """A power wire that leaks to the frame: it takes amps that the lamps then lack."""
    nodes = (f"junction in {build.pin}", "frame", rng.uniform(0.5, 0.9))
    series = {f"trailer wire {build.pin}": 0.5}
    return Defect("power wire chafed to the frame", None, "wire along the trailer", series, (nodes,))


SEVEN_WAY_KINDS = (
    Kind("weak supply from the tractor", None, 6, _weak_tractor, ahead=True),
    Kind("bad cord", None, 5, _weak_cord, ahead=True),
    Kind("cord that comes and goes", None, 1.5, _loose_cord, ahead=True),
    Kind("front joint that comes and goes", "front joint", 1, _loose_joint),
    Kind("rear joint that comes and goes", "rear joint", 0.7, _loose_joint, "wiring"),
    Kind("bad power joint in front", "front joint", 4, _power_joint),
    Kind("bad ground joint in front", "front joint", 4, _ground_joint),
    Kind("bad power joint behind", "rear joint", 3, _power_joint, "wiring"),
    Kind("bad ground joint behind", "rear joint", 4, _ground_joint, "wiring"),
    Kind("power wire eaten along the trailer", None, 2, _power_wire),
    Kind("ground wire eaten along the trailer", None, 2, _ground_wire),
    Kind("power wire chafed to the frame", None, 0.3, _leaking_wire),
)
"""What can take the volts of one circuit of the seven-way."""


def _pin_at_tractor(place: str, build: LightBuild, rng: Random) -> Defect:
    pin = place.removeprefix("pin ")
    return Defect("weak pin of the tractor", place, TRACTOR, {f"tractor wire {pin}": _few_ohms(rng)})


def _ground_at_tractor(place: str, build: LightBuild, rng: Random) -> Defect:
    return Defect("tractor socket's ground", None, TRACTOR, {"tractor wire one": _few_ohms(rng)})


def _wire_of_cord(place: str, build: LightBuild, rng: Random) -> Defect:
    pin = place.removeprefix("pin ")
    return Defect("bad wire of the cord", place, CORD, {f"cord {pin}": _few_ohms(rng)})


def _ground_of_cord(place: str, build: LightBuild, rng: Random) -> Defect:
    return Defect("cord's ground", None, CORD, {"cord one": _few_ohms(rng)}, when=_steady(rng, 0.7))


SURVEY_KINDS = (
    Kind("weak pin of the tractor", "pin", 1, _pin_at_tractor, ahead=True),
    Kind("tractor socket's ground", None, 3, _ground_at_tractor, ahead=True),
    Kind("bad wire of the cord", "pin", 1, _wire_of_cord, ahead=True),
    Kind("cord's ground", None, 3, _ground_of_cord, ahead=True),
)
"""What a survey of the seven-way's pins can show."""
