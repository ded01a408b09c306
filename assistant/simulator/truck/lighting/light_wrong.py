"""A trailer that comes in with lights that are dead, faint, flickering, or lit when they should be off."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from assistant.errors import DefectError
from assistant.simulator.truck import build as sizes
from assistant.simulator.truck.case import Arrival, Case, Places
from assistant.simulator.truck.defects import Defect, Kind, defects_of
from assistant.simulator.truck.lighting.lights import CIRCUITS, LightBuild, Lights, ground_of
from assistant.simulator.truck.lighting.lights_defects import LIGHT_KINDS, SEVEN_WAY_KINDS, SURVEY_KINDS, bulb_of
from assistant.simulator.truck.lighting.lights_looks import LIGHT_LOOKS, shaken, with_on, wrong_lamps
from assistant.simulator.truck.machine import Plain
from assistant.simulator.truck.meter import Instrument

TRIES = 200
"""Units drawn until one shows its defects: a little corrosion before an LED lamp is no complaint."""
LONG, SHORT = (40.0, 45.0, 48.0), 28.0
"""Feet of wire along a long trailer and a short one: from memory."""


def draw_build(rng: Random, **more: object) -> LightBuild:
    """A trailer of these circuits, behind a tractor."""
    drawn = LightBuild(
        feet=rng.choice((*LONG, SHORT)),
        led=rng.random() < 0.4,
        to_frame=rng.random() < 0.5,
        kingpin=10 ** rng.uniform(-0.7, 1),
        air=rng.uniform(-10, 35),
        load_ohms=rng.choices((sizes.LOAD, sizes.HEADLAMP), (3, 2))[0],
    )
    return replace(drawn, **more)  # type: ignore[arg-type]


def _draw(kinds: tuple[Kind, ...], places: Places, rng: Random) -> Case:
    for _ in range(TRIES):
        build = draw_build(rng, **({"led": False} if any(kind.each == "double lamp" for kind in kinds) else {}))
        defects = defects_of(kinds, places, build, rng)
        unit = Lights(build, list(defects))
        wrong = wrong_lamps(shaken(unit))
        alone = len(defects) == 1 or all(wrong_lamps(shaken(Lights(build, [one]))) for one in defects)
        if not defects or (wrong and alone):
            return _case(unit, defects, kinds, wrong, rng)
    raise DefectError(f"No trailer shows these defects: {[kind.name for kind in kinds]}.")


def _case(
    unit: Lights, defects: tuple[Defect, ...], kinds: tuple[Kind, ...], wrong: dict[str, str], rng: Random
) -> Case:
    lamp = _examined(unit, wrong, rng)
    pin = next(pin for name, pin, _ in unit.build.lamps() if name == lamp)
    told = wrong or {lamp: "dark"}
    circuits = {at for name, at, _ in unit.build.lamps() if name in told}
    sides = {name.split()[0] for name in told}
    many = "one light" if len(told) == 1 else "all of them" if len(circuits) > 2 and len(sides) > 1 else "one side"
    does = {"dark": "dead", "faint": "faint", "lit": "wrong one lights"}[told[lamp]]
    if defects and all(one.when for one in defects):
        does = "flicker"
    ahead, tried = any(kind.ahead for kind in kinds), rng.random() < 0.4
    wired = any(kind.worked_on == "wiring" for kind in kinds)
    story = {
        "lights that are wrong": many,
        "what they do": does,
        "tractors that show it": ("only one" if ahead else "every tractor") if tried else "one tried",
        "lamp": "LED" if unit.build.led else "bulb",
        "repaired before": "repaired" if rng.random() < (0.5 if wired else 0.2) else "not repaired",
        "unit number": "4019",
        "load at hand": "ten amps" if unit.build.load_ohms < 2 else "headlamp",
    }  # fmt: skip
    means = {
        "place": lamp, "lamp": lamp, "pin": pin, "circuit": CIRCUITS[pin], "lamp part": bulb_of(lamp, unit.build),
        "lamp ground": f"{ground_of(lamp)} ground",
    }  # fmt: skip
    return Case(Plain(unit), defects, story, Instrument(), LIGHT_LOOKS, means)


def _examined(unit: Lights, wrong: dict[str, str], rng: Random) -> str:
    """The light that the technician goes to: the darkest with its own circuit on."""
    names = [name for name, _, _ in unit.build.lamps()]
    if not wrong:
        return rng.choice(names)
    pins = {name: pin for name, pin, _ in unit.build.lamps()}
    poor = [name for name in wrong if wrong[name] != "lit"] or list(wrong)
    shown = shaken(unit)
    light = {name: round(with_on(shown, CIRCUITS[pins[name]]).lit()[name], 2) for name in poor}
    return min(rng.sample(poor, len(poor)), key=light.__getitem__)


LIGHT_WRONG = Arrival("trailer, light wrong", LIGHT_KINDS, LightBuild(), _draw)
"""A trailer with a light, some or all of them dead, faint, flickering or lit when they should be off."""


def _draw_weak(kinds: tuple[Kind, ...], places: Places, rng: Random) -> Case:
    pin = rng.choice(("seven", "seven", "four", "four", "two", "three", "five", "six"))
    build = draw_build(rng, pin=pin, far=True)
    defects = defects_of(kinds, places, build, rng)
    unit = Lights(build, list(defects))
    ground = any(link.endswith(" one") for one in defects for link in one.series)
    when = set().union(*(one.when for one in defects)) if defects else {"moved"}
    loose = ("bumps", "bumps", "tied up", *(["wet"] * ("wet" in when)))
    pattern = "always" if defects and not when else rng.choice(loose)
    ahead, tried = any(kind.ahead for kind in kinds), rng.random() < 0.4
    repaired = ("at the nose", "further back", "not repaired", "not repaired")
    rear = any(kind.worked_on == "wiring" for kind in kinds)
    story = {
        "plug": "round pins",
        "circuit": {"seven": "center pin", "four": "stop lamps"}.get(pin, "another pin"),
        "length": "short" if build.feet == SHORT else "long",
        "circuits that are weak": "several" if ground and rng.random() < 0.8 else "only this one",
        "when it is weak": pattern,
        "tractors that show it": ("only one" if ahead else "every tractor") if tried else "one tried",
        "repaired before": rng.choice(repaired) if rear else "not repaired",
        "unit number": "4019",
        "load at hand": "ten amps" if build.load_ohms < 2 else "headlamp",
        "ohms of the leads": "0.2",
    }  # fmt: skip
    means = {"pin": pin, "circuit": CIRCUITS[pin]}
    return Case(Plain(unit), defects, story, Instrument(), LIGHT_LOOKS, means)


CIRCUIT_WEAK = Arrival("trailer, seven-way circuit weak", SEVEN_WAY_KINDS, LightBuild(far=True), _draw_weak)
"""A trailer of which one circuit of the seven-way is weak or dead with a load on it."""


def _draw_surveyed(kinds: tuple[Kind, ...], places: Places, rng: Random) -> Case:
    build = draw_build(rng)
    defects = defects_of(kinds, places, build, rng)
    story = {"plug": "round pins", "unit number": "4019", "ohms of the leads": "0.2"}
    return Case(Plain(Lights(build, list(defects))), defects, story, Instrument(), LIGHT_LOOKS)


SEVEN_WAY_SURVEYED = Arrival("tractor and cord, seven-way surveyed", SURVEY_KINDS, LightBuild(), _draw_surveyed)
"""A tractor and its cord, whose pins are read one by one with a load."""
