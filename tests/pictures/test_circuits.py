"""Every circuit as it is drawn, against the circuit of the simulator, which knows no picture.

The simulator solves its own network node by node: a plug that is drawn between two nodes must open there when it is
unplugged, a wire that is drawn must be one there, and both tips must stand on nodes that a meter can read there.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from functools import cache
from random import Random
from typing import Any
from xml.etree import ElementTree as ET

import pytest

from assistant.pictures.layout import Circuit
from assistant.pictures.scene import Scene, scene_of
from assistant.pictures.sheet import pictures_of, places_of
from assistant.procedure.load import list_procedures, load_procedure
from assistant.procedure.model import Check, Procedure
from assistant.simulator.circuit import Resistor, VoltageSource
from assistant.simulator.truck.arrivals import arrival_named
from assistant.simulator.truck.machine import Machine

PROCEDURES = [load_procedure(path).procedure for path in list_procedures()]
NOT_SIMULATED = {("frame plug at the module", "modulator circuit")}
"""Plugs that the simulator leaves out: its tractor knows the large plug for the sensors only."""
WIRE_OHMS = 3.0
"""A wire of these circuits, with its joints, has less; a lamp, a coil and a leak have more."""


@cache
def sample(led_on: str) -> tuple[type[Machine[Any]], Mapping[str, str]]:
    """Of one unit of a kind: what kind of machine it is, and what names mean there."""
    case = arrival_named(led_on).draw((), (), Random(5))
    return type(case.machine), case.means


def units(procedure: Procedure) -> tuple[Machine[Any], Mapping[str, str]]:
    """A sound unit with every place that some unit of its kind has, and what the procedure leaves open there."""
    kind, told = sample(procedure.led_on)
    machine = kind(arrival_named(procedure.led_on).largest)
    means = {"last": "third", **told}
    if "lamp" not in means:
        means["pin"] = getattr(machine.build, "pin", "")
    machine.key = True
    machine.set({name: "on" for name in machine.controls() if name.startswith("pin ")})
    return machine, means


def drawn(procedure: Procedure) -> Iterator[tuple[Check, str | None, Scene, Circuit]]:
    """Every check that has a circuit, at its first place."""
    for check in procedure.checks:
        place = places_of(procedure, check)[0]
        scene = scene_of(procedure, check, place, {"trailers": "triples"})
        if scene is not None and scene.circuit is not None:
            yield check, place, scene, scene.circuit


def filled(name: str, means: Mapping[str, str]) -> str:
    for word, meaning in means.items():
        name = name.replace(f"{{{word}}}", meaning)
    return name


def resistors(machine: Machine[Any]) -> dict[tuple[str, str], float]:
    """Ohms between each two nodes that a part joins."""
    found = {}
    for one in machine.network():
        if isinstance(one, Resistor):
            found[one.first, one.second] = one.ohms
        elif isinstance(one, VoltageSource):
            found[one.plus, one.minus] = math.inf  # no wire, and a plug may part it
    return found


def nodes_of(machine: Machine[Any]) -> set[str]:
    return {node for pair in resistors(machine) for node in pair}


def joined(network: Mapping[tuple[str, str], float], start: str) -> set[str]:
    """Nodes that wires and joints alone join to this one."""
    near: dict[str, set[str]] = {}
    for (first, second), ohms in network.items():
        if ohms <= WIRE_OHMS:
            near.setdefault(first, set()).add(second)
            near.setdefault(second, set()).add(first)
    found, left = {start}, [start]
    while left:
        new = near.get(left.pop(), set()) - found
        found |= new
        left += new
    return found


LED = [one for one in PROCEDURES if one.led_on and any(True for _ in drawn(one))]


@pytest.mark.parametrize("procedure", LED, ids=lambda one: one.name)
def test_tips_and_loads_stand_on_nodes_of_the_unit(procedure: Procedure) -> None:
    machine, means = units(procedure)
    real = nodes_of(machine)
    for check, _, scene, circuit in drawn(procedure):
        loaded = (scene.load.plus, scene.load.minus) if scene.load else ()
        for name in (*scene.red, *scene.black, *loaded):
            assert circuit.node(name) is not None, (check.name, name)
            assert filled(name, means) in real, (check.name, name)


@pytest.mark.parametrize("procedure", LED, ids=lambda one: one.name)
def test_a_plug_parts_the_nodes_that_it_is_drawn_between(procedure: Procedure) -> None:
    machine, means = units(procedure)
    whole = resistors(machine)
    real = {node for pair in whole for node in pair}
    known = machine.connectors() | set(machine.groups_of_plugs())
    tried = 0
    for circuit in {one.name: one for _, _, _, one in drawn(procedure)}.values():
        for plug in circuit.plugs:
            if plug.name not in known or plug.kind == "screw" or (plug.name, circuit.name) in NOT_SIMULATED:
                continue
            machine.unplugged = set()
            machine.plug([plug.name], in_=False)
            out = resistors(machine)
            parted = {frozenset(pair) for pair, ohms in whole.items() if out.get(pair) != ohms}
            found: list[bool] = []
            for first, second in plug.pairs:
                pair = {filled(first, means), filled(second, means)}
                tried += 1
                if pair <= real:
                    one, other = sorted(pair)
                    apart = other in joined(whole, one) and other not in joined(out, one)
                    assert apart or frozenset(pair) in parted, (circuit.name, plug.name, pair)
                    found.append(True)
                else:  # a node that the unit has no name for: the other one is where the plug is
                    found.append(any(pair & one for one in parted))
            assert any(found) or not found, (circuit.name, plug.name)
    assert tried >= 2


@pytest.mark.parametrize("procedure", LED, ids=lambda one: one.name)
def test_a_wire_is_drawn_where_the_unit_has_one(procedure: Procedure) -> None:
    machine, means = units(procedure)
    network = resistors(machine)
    real = {node for pair in network for node in pair}
    for circuit in {one.name: one for _, _, _, one in drawn(procedure)}.values():
        for wire in circuit.wires:
            first, second = filled(wire.first, means), filled(wire.second, means)
            if {first, second} <= real:
                assert second in joined(network, first), (circuit.name, first, second)


def test_the_two_rails_of_a_supply_are_not_joined() -> None:
    """The measure itself: power and ground of a sound trailer are no wire apart."""
    network = resistors(units(next(one for one in PROCEDURES if one.name == "trailer-abs-light-on"))[0])
    assert "module ground" not in joined(network, "module blue")
    assert "module blue" in joined(network, "nose pin 7")


@pytest.mark.parametrize("name", ["tractor blue loaded", "cord blue loaded", "module blue loaded"])
def test_the_number_of_a_pin_is_not_hidden_behind_its_connector(name: str) -> None:
    """Ten-point figures are about six wide; a shell that reaches over one makes it unreadable."""
    procedure = load_procedure("trailer-abs-light-on").procedure
    check = next(one for one in procedure.checks if one.name == name)
    drawing = next(one.drawing for one in pictures_of(procedure, check) if one.kind == "circuit")
    root = ET.fromstring(drawing.svg())  # noqa: S314 - our own drawing
    shells = [one for one in root.iter() if one.tag.endswith("rect") and "shellhalf" in one.get("class", "")]
    numbers = [one for one in root.iter() if one.tag.endswith("text") and (one.text or "") in ("1", "7")]
    assert len(numbers) >= 2
    for number in numbers:
        right = float(number.get("x", "0"))
        left = right - 6 if number.get("text-anchor") == "end" else right
        right = right if number.get("text-anchor") == "end" else right + 6
        for shell in shells:
            start = float(shell.get("x", "0"))
            assert right <= start or left >= start + float(shell.get("width", "0")), name
