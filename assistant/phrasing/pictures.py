"""Words of the pictures that show where hands go: the same facts as a line of text each."""

from __future__ import annotations

from collections.abc import Sequence

TOUCHES = {"red": "red probe", "black": "black probe", "load": "load"}
"""What touches a pin."""
GO_BY_NUMBERS = "Go by the numbers in the plastic."
"""Under the face of the seven-way: how the pins follow each other is from memory."""
TITLES = {
    "circuit": "Where the tips go",
    "plugs": "What is plugged in",
    "seven-way": "The seven-way, seen into the socket",
    "meter": "The meter",
    "plan": "The unit from above",
}
"""Title of each kind of picture."""
OFF = "off"
"""At a plug that is open, in the picture."""
LOAD, FEED, JUMPER = "load", "battery", "jumper"
"""What joins nodes beside the meter."""
OTHERS = "other {name}"
"""Plugs of all places but the one that is meant."""
COUNTS = "{checks} checks, {faults} faults, {fixes} fixes"
"""What a whole procedure has."""
NO_HANDS = "Nothing to plug, to measure or to move: it is looked at as the unit stands."
"""Of a check that hands have no part in."""
FRONT = "front"
SUSPECTED = "suspected {percent}%"
"""Beside a place of the plan that may be the bad one."""
SIDES = ("left", "right")
_LINES = {
    "red": "Red probe: {red}.",
    "black": "Black probe: {black}.",
    "dial": "Dial: {dial}.",
    "jack": "Red lead in: {jack}.",
    "off": "Unplugged: {off}.",
    "on": "Everything plugged in.",
    "taken off": "Taken off: {off}.",
    "plug": "Connected: {plug}.",
    "load": "Load across it.",
    "feed": "A charged battery feeds it.",
    "jumper": "A jumper wire joins the two ends.",
    "key on": "Key on.",
    "key off": "Key off.",
    "key cycled": "Key off, then on.",
    "engine running": "Engine running.",
    "engine off": "Engine off.",
    "pedal": "Brake pedal {pedal}.",
    "switch": "{name}: {value}.",
    "stand_in": "A known good {part} in its place.",
    "turn": "Turn the wheel by hand: {pace} a second.",
    "move": "Move wires and plugs.",
    "warm": "Leave the load on until it is warm.",
    "place": "Where: {place}.",
    "suspects": "Suspected: {suspects}.",
    "pin": "Pin {number}: {color}, {circuit} ({touch}).",
}
_PACES = {0.5: "half a turn", 1.0: "one turn"}


def line(key: str, /, **values: str) -> str:
    """One fact as a line."""
    text = _LINES[key].format(**values)
    return text[:1].upper() + text[1:]


def pace(turns: float) -> str:
    """Turns a second, as they are said before 'a second'."""
    return _PACES.get(turns, f"{turns:g} turns")


def plugs(names: Sequence[str]) -> str:
    """Names of plugs, in the order of the alphabet."""
    return ", ".join(sorted(names))
