"""What eyes, ears and hands find on a truck's batteries, starter and charging, each finding by its name."""

from __future__ import annotations

from dataclasses import replace
from typing import cast

from assistant.simulator.circuit import solve
from assistant.simulator.truck.case import Look
from assistant.simulator.truck.machine import Brain
from assistant.simulator.truck.starting.system import JUMPERS, LAMPS, STARTER, StartingSystem

FAST = 0.8
"""Share of its usual speed below which everybody hears that it cranks slowly: from memory."""
STANDS_STILL = 0.02
"""Share of its usual speed up to which it does not turn at all."""
FLICKER = 0.3
"""Volts at the lamps that the eye sees come and go: from memory."""
FAR_ABOVE, FAR_BELOW = 1.3, 0.6
"""Shares of the usual amps at that temperature beyond which a clamp on the starter cable is called off."""
GREEN = (13.4, 15.0)
"""Volts between which a dash voltmeter stands in its green band, engine running: from memory."""
POWER, GROUND = {"power cable"}, {"ground cable"}


def truck(brain: Brain) -> StartingSystem:
    """The truck itself."""
    return cast("StartingSystem", brain.machine)


def _seen(unit: StartingSystem, parts: set[str]) -> bool:
    return any(one.part in parts and one.visible for one in unit.defects)


def _posts(brain: Brain, place: str) -> str:
    unit = truck(brain)
    if _seen(unit, POWER):
        return "power side"
    if _seen(unit, GROUND):
        return "ground side"
    return "jumper cable" if _seen(unit, {JUMPERS}) else "all tight"


def _moved(brain: Brain, place: str) -> str:
    """Whether the lamps flicker while each cable end is pulled, and at whose end."""
    unit = truck(brain)
    if unit.at(LAMPS) == "off":
        return "steady"
    still = solve(replace(unit, moved=False).circuit()).between("positive clamp", "frame")
    for end, parts in (("power end", POWER), ("ground end", GROUND)):
        others = [one for one in unit.defects if one.part in parts or not one.when]
        moving = solve(replace(unit, defects=others, moved=True).circuit()).between("positive clamp", "frame")
        if abs(moving - still) > FLICKER:
            return end
    return "steady"


def _cranks(brain: Brain, place: str) -> str:
    unit = truck(brain)
    speed = unit.speed()
    if speed <= STANDS_STILL:
        return "not at all"
    return "fast" if speed >= FAST else "slow"


def _amps(brain: Brain, place: str) -> str:
    """Amps in the starter's cable beside what such an engine usually draws when it is as warm as now."""
    unit = truck(brain)
    usual = StartingSystem(unit.build, held={STARTER: "held at start"}).starter_amps()
    share = unit.starter_amps() / usual
    return "far above" if share > FAR_ABOVE else "low" if share < FAR_BELOW else "within"


def _belt(brain: Brain, place: str) -> str:
    return "loose" if _seen(truck(brain), {"belt"}) else "tight"


def _belt_runs(brain: Brain, place: str) -> str:
    unit = truck(brain)
    loaded = unit.engine and unit.at(LAMPS) != "off"
    return "squeals" if loaded and unit.value("belt slip") > 0.2 else "runs true"


def _voltmeter(brain: Brain, place: str) -> str:
    unit = truck(brain)
    volts = solve(unit.circuit()).between("positive clamp", "frame")
    return "low" if volts < GREEN[0] else "high" if volts > GREEN[1] else "green"


def _engine_by_hand(brain: Brain, place: str) -> str:
    return "stiff" if truck(brain).value("engine drag") else "evenly"


STARTING_LOOKS: dict[str, Look] = {
    "posts and cables": _posts,
    "lamps while the cable ends are moved": _moved,
    "cranking": _cranks,
    "amps in the starter cable": _amps,
    "alternator belt": _belt,
    "belt while it charges": _belt_runs,
    "dash voltmeter": _voltmeter,
    "engine turned by hand": _engine_by_hand,
}
"""What can be looked at, by name; the second argument is the place, '' for none."""
