"""What keeps an ABS light dark: the light, its plug, wire and output, or a module that does not wake."""

from __future__ import annotations

import math
from random import Random

from assistant.simulator.truck.build import Build
from assistant.simulator.truck.defects import Defect, Kind


def _gone(rng: Random, least: float = 60.0) -> float:
    """An open, or ohms through which a module or its light does not wake."""
    return math.inf if rng.random() < 0.7 else least * 10 ** rng.uniform(0, 2)


def _unplugged(place: str, build: Build, rng: Random) -> Defect:
    return Defect("ABS light unplugged", None, "ABS light in its plug", {"light plug": math.inf}, visible=True)


def _dead_light(place: str, build: Build, rng: Random) -> Defect:
    return Defect("dead ABS light", None, "ABS light", {"light filament": math.inf})


def _corroded(place: str, build: Build, rng: Random) -> Defect:
    series = {"light plug": _gone(rng)}
    return Defect("corroded plug of the ABS light", None, "ABS light plug", series, visible=rng.random() < 0.85)


def _light_wire(place: str, build: Build, rng: Random) -> Defect:
    link = rng.choice(("light wire", "light wire", "light ground"))
    return Defect("wire of the ABS light open", None, "light wire", {link: _gone(rng)})


def _light_wire_grounded(place: str, build: Build, rng: Random) -> Defect:
    nodes = ("lamp plug", "frame", rng.uniform(0.02, 0.1))
    return Defect("wire of the ABS light chafed to the frame", None, "light wire", shunts=(nodes,))


def _blue_wire(place: str, build: Build, rng: Random) -> Defect:
    return Defect("blue wire open", None, "trailer blue wire", {"trailer blue wire": _gone(rng)})


def _ground(place: str, build: Build, rng: Random) -> Defect:
    return Defect("module's ground open", None, "trailer ground wire", {"trailer ground wire": _gone(rng)})


def _tractor(place: str, build: Build, rng: Random) -> Defect:
    link = rng.choice(("tractor blue breaker", "tractor blue wire"))
    return Defect("no blue supply from the tractor", None, "tractor supply", {link: _gone(rng)})


def _cord(place: str, build: Build, rng: Random) -> Defect:
    return Defect("blue wire of the cord open", None, "cord", {"cord pin 7": _gone(rng)})


def _nose(place: str, build: Build, rng: Random) -> Defect:
    return Defect("center pin of the nose socket eaten", None, "trailer blue wire", {"nose pin 7": _gone(rng)})


def _module(place: str, build: Build, rng: Random) -> Defect:
    return Defect("module that does not wake", None, "module", settings={"module does not wake": 1.0})


def _driver(place: str, build: Build, rng: Random) -> Defect:
    return Defect("module without its light's output", None, "module", {"light driver": math.inf})


DARK_KINDS = (
    Kind("ABS light unplugged", None, 3, _unplugged),
    Kind("dead ABS light", None, 6, _dead_light),
    Kind("corroded plug of the ABS light", None, 2, _corroded),
    Kind("wire of the ABS light open", None, 4, _light_wire, "wiring"),
    Kind("wire of the ABS light chafed to the frame", None, 0.5, _light_wire_grounded, "wiring"),
    Kind("blue wire open", None, 3, _blue_wire, "wiring"),
    Kind("center pin of the nose socket eaten", None, 0.5, _nose),
    Kind("module's ground open", None, 1.5, _ground),
    Kind("no blue supply from the tractor", None, 2, _tractor, ahead=True),
    Kind("blue wire of the cord open", None, 1, _cord, ahead=True),
    Kind("module that does not wake", None, 0.7, _module),
    Kind("module without its light's output", None, 0.3, _driver),
)
"""What keeps an ABS light dark."""
