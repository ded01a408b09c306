"""Where the places of a unit lie, seen from above: side, axle and ring out of the names that the trade gives them.

``left rear drive``, ``right second axle``, ``left forward inner``: left and right are as the driver sees them, the
front of the unit is at the top of the picture.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from assistant.diagnosis.conditions import may_hold
from assistant.pictures.scene import Scene
from assistant.procedure.model import Procedure

LEFT, RIGHT = "left", "right"
AXLES = (
    "steer", "first", "front", "forward", "second", "middle", "third", "fourth", "rear", "fifth", "back",
)  # fmt: skip
"""Names of axles from front to back, those of every kind of unit in one order."""
RINGS = ("outer", "inner", "single")
"""Which tire of a dual, from the side inward."""
STATIONS = (
    ("tractor pin", "tractor socket"), ("cord tractor end", "tractor socket"), ("cord pin", "nose"),
    ("nose pin", "nose"), ("front wire", "nose"), ("junction", "junction box"), ("plug wire", "far end"),
    ("far end", "far end"), ("module", "ABS module"), ("{lamp}", "lamp"),
)  # fmt: skip
"""What a node belongs to on a plan, by how its name begins."""
_SPOTS = {
    "cord plug at the tractor": "tractor socket", "cord plug at the nose": "nose", "nose box": "nose",
    "junction box": "junction box", "last plug": "far end",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Wheel:
    """A place at an axle's end."""

    name: str
    side: str
    axle: str
    ring: str = ""
    valve: bool = False
    """True for a modulator valve, which sits inward of the wheel."""


def wheel_of(name: str) -> Wheel | None:
    """The wheel, chamber, tire or valve of a place by its name; None for a place that is none."""
    words = name.split()
    valve = words[-1:] == ["valve"]
    if len(words) < 2 or words[0] not in (LEFT, RIGHT) or (words[1] not in AXLES and not valve):
        return None
    return Wheel(name, words[0], words[1], words[-1] if words[-1] in RINGS else "", valve)


@dataclass(frozen=True, slots=True)
class Plan:
    """What is drawn of a unit."""

    kind: str
    """``trailer``, ``truck``, ``tractor``, ``doubles`` or ``triples``."""
    wheels: tuple[Wheel, ...]
    valves: tuple[str, ...]
    """Valves and modulators that serve no one side."""

    @property
    def axles(self) -> tuple[str, ...]:
        """Axles, front to back."""
        found = {one.axle for one in self.wheels if not one.valve}
        return tuple(one for one in AXLES if one in found)


def plan_of(procedure: Procedure, facts: Mapping[str, str], scene: Scene | None) -> Plan | None:
    """What is drawn of the unit, as far as it is known; None for a unit without places or stations."""
    there = [one for one in procedure.places if may_hold(one.when, facts)]
    wheels = tuple(wheel for one in there if (wheel := wheel_of(one.name)))
    valves = tuple(one.name for one in there if one.group == "modulator" and not wheel_of(one.name))
    count = _trailers(scene)
    if count:
        return Plan("doubles" if count == 2 else "triples", (), ())
    stations = scene is not None and bool(stations_of(scene))
    names = {one.name for one in there}
    if not wheels and not stations and not names & set(_SPOTS):
        return None
    if any("drive" in one.name for one in wheels):
        kind = "tractor"
    elif any(one.axle == "steer" for one in wheels) or facts.get("unit kind") == "truck":
        kind = "truck"
    else:
        kind = "trailer"
    return Plan(kind, wheels, valves)


def _trailers(scene: Scene | None) -> int:
    if scene is None or scene.circuit is None:
        return 0
    return 3 if scene.circuit.node("third nose pin 7") else 2 if scene.circuit.node("second nose pin 7") else 0


def stations_of(scene: Scene) -> tuple[str, ...]:
    """Stations of the plan that a scene's tips and load touch, and that its place names."""
    if scene.place in _SPOTS:
        return (_SPOTS[scene.place],)
    if _trailers(scene):
        return tuple(dict.fromkeys(filter(None, (_of_train(one) for one in (*scene.red, *scene.black)))))
    nodes: Sequence[str] = (*scene.red, *scene.black)
    found = [station for one in nodes for begin, station in STATIONS if one.startswith(begin)]
    return tuple(dict.fromkeys(found))


def _of_train(node: str) -> str:
    """Such as ``second nose`` for ``second cord pin 7``: the end of that cord."""
    words = node.split()
    if words[0] == "tractor":
        return "tractor socket"
    if words[0] not in ("first", "second", "third"):
        return ""
    end = {"cord": "nose", "nose": "nose", "tail": "tail", "module": "module"}.get(words[1], "")
    return f"{words[0]} {end}" if end else ""
