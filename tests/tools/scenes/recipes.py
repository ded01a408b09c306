"""Recipes of the demo scenes: invented units, hidden faults, and what the technician says in his own way."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta, timezone
from decimal import Decimal

_MORNING = datetime(2026, 3, 2, 7, 40, tzinfo=timezone(timedelta(hours=-6)))


@dataclass(frozen=True)
class Recipe:
    """One scene: the truth about the unit, and what is said otherwise than by the simulated unit."""

    name: str
    title: str
    summary: str
    faults: tuple[str, ...]
    facts: Mapping[str, str]
    says: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Prompt to what is said there, in order; ``=`` stands for the simulated unit's own answer."""
    procedure: str = "trailer-abs-light-on"
    started: datetime = _MORNING
    meter: str = "shop"
    unit: str = ""
    air_fahrenheit: Decimal | None = None
    voice: str = "rms"
    noise_db: float | None = None
    seed: int = 1


_USUAL = {
    "light": "trailer light",
    "comes on": "at once",
    "lately": "nothing",
    "powered by": "tractor",
    "tractors": "every tractor",
    "trailers": "single",
    "sensors wired": "four",
    "modulators": "one valve",
    "brakes": "drum",
    "shields": "fixed",
    "codes": "active",
    "active codes": "one",
    "stored codes": "zero",
}

RECIPES = {
    recipe.name: recipe
    for recipe in (
        Recipe(
            name="sensor-open-behind-a-drum",
            title="Sensor open behind a drum",
            summary="A trailer whose light comes on with the key; the electrical checks come before the drum.",
            faults=("sensor open @ left rear",),
            facts={**_USUAL, "lowest AC range": "automatic", "lead ohms": "0.2", "coil temperature": "75"},
            says={
                "fact:unit number": ("unit oh three seven seven",),
                # a slip of the tongue, noticed one prompt later and taken back
                "check:wheel end volts:left rear": ("four point one nine volts", "four point nine one volts"),
                "check:sensor ohms:left rear": ("scratch that", "open line", "twelve six"),
                # after the repair: 'twelve six' at an ohms prompt can be two things, so it is asked back
                "choose:check:sensor ohms:left rear": ("twelve hundred sixty ohms",),
            },
        ),
        Recipe(
            name="corroded-plug",
            title="Corroded plug at the wheel end",
            summary="The code says open or short; the plug at the wheel is looked into before anything is measured.",
            faults=("corroded plug @ right front",),
            facts={
                **_USUAL,
                "comes on": "comes and goes",
                "pattern": "wet",
                "codes": "stored only",
                "stored codes": "one",
            },
            says={"fact:unit number": ("two five two eight",)},
            voice="slt",
        ),
        Recipe(
            name="backed-off-on-a-disc",
            title="Backed-off sensor on a disc brake",
            summary="Every ohm is good; the sensor is in reach of the hand, so it is pushed home at once.",
            faults=("sensor backed off @ right rear",),
            facts={**_USUAL, "comes on": "after rolling", "brakes": "disc", "lately": "wheels or brakes"},
            says={
                "fact:unit number": ("six eight oh three",),
                "check:sensor against ring:right rear": ("hold on", "backed off"),
                "held": ("resume",),
                "fix:push the sensor home:right rear": ("why", "="),
            },
            voice="awb",
        ),
        Recipe(
            name="ground-that-passes-unloaded",
            title="Ground that passes without a load",
            summary="The power wires are read under load, each side apart, and the drop is on the ground.",
            faults=("bad ground",),
            facts={**_USUAL, "comes on": "comes and goes", "pattern": "no pattern", "codes": "no codes"},
            says={"fact:unit number": ("one seven eight six",)},
            noise_db=15.0,
        ),
        Recipe(
            name="two-faults-in-a-row",
            title="Two faults, one after the other",
            summary="The first cure is proven wrong by the light; the codes are read again and the second is found.",
            faults=("sensor open @ right front", "sensor backed off @ left rear"),
            facts={**_USUAL, "brakes": "disc"},
            says={"fact:unit number": ("eight five two nine",)},
            voice="slt",
            seed=2,  # a proof that fails: it misses three sensors in ten that are backed off
        ),
    )
}
