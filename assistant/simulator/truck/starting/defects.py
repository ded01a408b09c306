"""What can be wrong with a truck's starting and charging, as physics; ``truck.defects`` says what a defect is."""

from __future__ import annotations

import math
from random import Random

from assistant.simulator.truck.defects import MOVED, Defect, Kind, Maker
from assistant.simulator.truck.starting.build import StartingBuild

SHAKEN = "shaken"
"""Condition: the engine cranks and shakes its cables."""


def _charge(build: StartingBuild, rng: Random, low: float, high: float) -> dict[str, float]:
    """The charge that is left in every battery of the bank when it comes in, less than a whole one."""
    left = rng.uniform(low, high)
    return {
        f"{battery} charge lost": 0.92 - min(0.92, left + rng.uniform(-0.04, 0.04)) for battery in build.batteries
    }


def _shorted_cell(place: str, build: StartingBuild, rng: Random) -> Defect:
    # it drags its mates down while they stand side by side
    values = {f"{place} cells shorted": 1.0, f"{place} wear": rng.uniform(0.5, 3)} | _charge(build, rng, 0.1, 0.4)
    return Defect("battery with a shorted cell", place, place, settings=values)


def _worn_out(place: str, build: StartingBuild, rng: Random) -> Defect:
    # it holds little and leaks: after a night the whole bank stands low
    values = {f"{place} wear": rng.uniform(1.6, 7)} | _charge(build, rng, 0.3, 0.6)
    return Defect("worn out battery", place, place, settings=values)


def _drain(place: str, build: StartingBuild, rng: Random) -> Defect:
    amps = 10 ** rng.uniform(-0.5, 0.6)
    shunts = (("positive clamp", "frame", 12.6 / amps),)
    return Defect("drain with the key off", None, "drain", shunts=shunts, settings=_charge(build, rng, 0.05, 0.45))


def _lamps_left_on(place: str, build: StartingBuild, rng: Random) -> Defect:
    return Defect("lamps left on", None, "charge", settings=_charge(build, rng, 0.05, 0.4))


def _power_cable(place: str, build: StartingBuild, rng: Random) -> Defect:
    link = {rng.choice(("positive clamp joint", "power cable")): rng.uniform(0.0022, 0.009)}
    return Defect("bad power cable", None, "power cable", link, visible=rng.random() < 0.6)


def _ground_cable(place: str, build: StartingBuild, rng: Random) -> Defect:
    link = {rng.choice(("negative clamp joint", "ground cable")): rng.uniform(0.0022, 0.009)}
    return Defect("bad ground cable", None, "ground cable", link, visible=rng.random() < 0.6)


def _jumper(place: str, build: StartingBuild, rng: Random) -> Defect:
    # the first one parts the most from the starter
    link = {f"{rng.choice(('positive', 'negative'))} jumper {1 if build.count < 4 else rng.choice((1, 2))}": 1.0}
    link = {name: rng.choice((math.inf, rng.uniform(0.008, 0.1))) for name in link}
    return Defect("bad jumper cable", None, "jumper cables", link, visible=rng.random() < 0.6)


def _loose(side: str, clamp: str, part: str) -> Maker:
    def make(place: str, build: StartingBuild, rng: Random) -> Defect:
        link = {clamp: rng.uniform(0.03, 0.2)}
        when = frozenset({MOVED, SHAKEN} if rng.random() < 0.6 else {MOVED})
        return Defect(f"loose {side} end", None, part, link, when=when, visible=rng.random() < 0.7)

    return make


def _starter_drags(place: str, build: StartingBuild, rng: Random) -> Defect:
    return Defect("dragging starter", None, "starter", settings={"starter drag": rng.uniform(0.55, 1.2)})


def _solenoid(place: str, build: StartingBuild, rng: Random) -> Defect:
    return Defect("burnt solenoid contacts", None, "starter", {"solenoid contacts": rng.uniform(0.003, 0.012)})


def _start_circuit(place: str, build: StartingBuild, rng: Random) -> Defect:
    return Defect("start relay or its wires", None, "start circuit", {"start circuit": rng.choice((math.inf, 2.0))})


def _stiff_engine(place: str, build: StartingBuild, rng: Random) -> Defect:
    return Defect("engine or what it drives is stiff", None, "engine", settings={"engine drag": rng.uniform(0.55, 1)})


def _weak_alternator(place: str, build: StartingBuild, rng: Random) -> Defect:
    values = {"alternator lost": rng.choice((1.0, rng.uniform(0.7, 0.97)))} | _charge(build, rng, 0.2, 0.5)
    return Defect("weak alternator", None, "alternator", settings=values)


def _belt(place: str, build: StartingBuild, rng: Random) -> Defect:
    values = {"belt slip": rng.uniform(0.72, 1)} | _charge(build, rng, 0.2, 0.5)
    return Defect("slipping belt", None, "belt", settings=values, visible=rng.random() < 0.9)


def _charging_cable(place: str, build: StartingBuild, rng: Random) -> Defect:
    link = {"charging cable": rng.choice((math.inf, *(10 ** rng.uniform(-1.7, -0.3) for _ in range(3))))}
    return Defect("charging cable", None, "charging cable", link, settings=_charge(build, rng, 0.25, 0.55))


def _charging_ground(place: str, build: StartingBuild, rng: Random) -> Defect:
    link = {"alternator ground": 10 ** rng.uniform(-1.7, -0.3)}
    return Defect("alternator's ground", None, "charging cable", link, settings=_charge(build, rng, 0.25, 0.55))


def _regulator(place: str, build: StartingBuild, rng: Random) -> Defect:
    return Defect("regulator that overcharges", None, "regulator", settings={"set volts over": rng.uniform(1.6, 3)})


STARTING_KINDS = (
    Kind("battery with a shorted cell", "battery", 2, _shorted_cell),
    Kind("worn out battery", "battery", 3, _worn_out),
    Kind("drain with the key off", None, 3, _drain, "wired in"),
    Kind("lamps left on", None, 2, _lamps_left_on),
    Kind("bad power cable", None, 4, _power_cable, "batteries"),
    Kind("bad ground cable", None, 4, _ground_cable, "batteries"),
    Kind("bad jumper cable", None, 1.5, _jumper, "batteries"),
    Kind("loose power end", None, 1.5, _loose("power", "positive clamp joint", "power cable"), "batteries"),
    Kind("loose ground end", None, 1.5, _loose("ground", "negative clamp joint", "ground cable"), "batteries"),
    Kind("dragging starter", None, 2, _starter_drags),
    Kind("burnt solenoid contacts", None, 1.5, _solenoid),
    Kind("start relay or its wires", None, 1.5, _start_circuit, "wired in"),
    Kind("engine or what it drives is stiff", None, 0.3, _stiff_engine),
    Kind("weak alternator", None, 4, _weak_alternator, "alternator"),
    Kind("slipping belt", None, 3, _belt, "alternator"),
    Kind("charging cable", None, 2, _charging_cable, "alternator"),
    Kind("alternator's ground", None, 0.7, _charging_ground, "alternator"),
    Kind("regulator that overcharges", None, 1, _regulator),
)
"""Every kind of defect of a truck's starting and charging, whether a procedure names it or not."""
