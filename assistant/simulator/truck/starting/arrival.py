"""A truck that comes in because it cranks badly, goes flat, or charges wrongly: it stood, or it just ran.

The complaint follows from what is wrong: only a truck on which that shows comes in.
"""

from __future__ import annotations

from dataclasses import replace
from random import Random

from assistant.errors import DefectError
from assistant.simulator.truck.case import Arrival, Case, Places
from assistant.simulator.truck.defects import Kind, defects_of
from assistant.simulator.truck.machine import Plain
from assistant.simulator.truck.meter import Instrument
from assistant.simulator.truck.starting.battery import AGM, FLOODED
from assistant.simulator.truck.starting.build import FREEZING, WARM, ZERO, StartingBuild
from assistant.simulator.truck.starting.defects import STARTING_KINDS
from assistant.simulator.truck.starting.looks import FAST, GREEN, STANDS_STILL, STARTING_LOOKS
from assistant.simulator.truck.starting.system import LAMPS, SURFACE, StartingSystem

_NUMBERS = {2: "two", 3: "three", 4: "four"}
_STANDS = ("overnight", "some hours", "just ran")
FLATTENS = {"drain", "charge"}
"""Parts that empty the batteries while it stands."""


def _draw(kinds: tuple[Kind, ...], places: Places, rng: Random) -> Case:
    for _ in range(400):
        build = _build(rng)
        if not all(place is None or place in build.batteries for place in places):
            continue
        defects = defects_of(kinds, places, build, rng)
        unit = StartingSystem(build, list(defects))
        told = _complaint(unit, rng)
        if told or not defects:
            return Case(Plain(unit), defects, _story(unit, kinds, told, rng), Instrument(), STARTING_LOOKS)
    raise DefectError(f"On no truck does anybody notice {[kind.name for kind in kinds]} at {places}.")


def _build(rng: Random) -> StartingBuild:
    count = rng.choice((2, 3, 4, 4))
    low, high = {2: (1000, 1150), 3: (800, 1000), 4: (650, 950)}[count]
    middle = rng.choices((WARM, FREEZING, ZERO), (4, 2, 1))[0]
    cold = rng.uniform(low, high)
    return StartingBuild(
        count=count,
        kind=rng.choices((FLOODED, AGM), (3, 1))[0],
        cranking_amps=cold,
        engine_amps=min(800.0, rng.uniform(0.2, 0.28) * count * cold),
        celsius=middle + rng.uniform(-3, 3),
        alternator_amps=rng.uniform(140, 200),
        sleeping_amps=rng.uniform(0.02, 0.06),
    )


def _complaint(unit: StartingSystem, rng: Random) -> str:
    """What its driver notices; '' for nothing."""
    running = replace(unit, engine=True, switches={LAMPS: "headlamps and blower"})
    volts = running.solved().between("positive clamp", "frame")
    if volts > GREEN[1]:
        return "too high"
    noticed = ["low volts"] if volts < GREEN[0] and not _flattened(unit) else []
    speed = _worst_speed(unit)
    if speed < FAST:
        badly = "no crank" if speed <= STANDS_STILL else "slow cranking"
        noticed.append("goes flat" if _flattened(unit) and rng.random() < 0.6 else badly)
    return rng.choice(noticed) if noticed else ""


def _worst_speed(unit: StartingSystem) -> float:
    """How fast it cranks at its worst: what comes and goes is there."""
    steady = [replace(one, when=frozenset()) for one in unit.defects]
    return min(unit.speed(), replace(unit, defects=steady).speed())


def _flattened(unit: StartingSystem) -> bool:
    return any(one.part in FLATTENS | set(unit.build.batteries) for one in unit.defects)


def _story(unit: StartingSystem, kinds: tuple[Kind, ...], complaint: str, rng: Random) -> dict[str, str]:
    stood = rng.choice(_STANDS)
    unit.surface = SURFACE if stood == "just ran" else 0.0
    worked = [kind.worked_on for kind in kinds if kind.worked_on != "nothing" and rng.random() < 0.4]
    goes = any(one.when for one in unit.defects)
    lights = {WARM: "warm", FREEZING: "freezing", ZERO: "zero"}
    nearest = min(lights, key=lambda middle: abs(unit.build.celsius - middle))
    return {
        "complaint": complaint or rng.choice(("no crank", "slow cranking", "goes flat", "low volts")),
        "how often": "comes and goes" if goes or not unit.defects else "every time",
        "batteries": _NUMBERS[unit.build.count],
        "kind of batteries": unit.build.kind,
        "batteries' temperature": lights[nearest],
        "stood": stood,
        "worked on": worked[0] if worked else "nothing",
        "unit number": "5207",
    }


STARTING = Arrival("truck, starting and charging", STARTING_KINDS, StartingBuild(count=4), _draw)
"""A truck with trouble at its batteries, its starter or its charging."""
