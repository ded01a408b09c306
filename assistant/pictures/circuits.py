"""The circuits that can be drawn, in the names of nodes and plugs that procedures use.

Only how they lie in a picture is told here. That the nodes are joined in this order is checked against the circuit of
the simulator, which does not know this file (``tests/pictures/test_circuits.py``).
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from assistant.pictures.layout import (
    JOINT,
    Across,
    Along,
    Box,
    Circuit,
    Ends,
    Item,
    Named,
    Node,
    Part,
    Plug,
    Wire,
    rails,
)

COLOR = {"7": "blue", "4": "red", "1": "ground"}
"""Wire of the module's power plug by the pin of the seven-way that feeds it (SAE J560)."""
_ORDINALS = ("first", "second", "third")


@cache
def every_circuit() -> tuple[Circuit, ...]:
    """All of them; where two would do, the earlier one is drawn."""
    return (
        *(_supply(pin) for pin in ("7", "4")),
        *(_sensor(plug) for plug in ("{place} plug at the module", "frame plug at the module")),
        _bare_sensor(),
        *(_modulator(plug) for plug in ("{place} plug at the module", "frame plug at the module")),
        *(_train(count) for count in (2, 3)),
        _tractor_power(),
        _own_light(),
        _tractor_and_cord(),
        _weak_circuit(),
        _lamp(),
        _starting(),
        _one_battery(),
    )


def _supply(pin: str) -> Circuit:
    """Tractor, cord, trailer, module: one pin and the ground."""
    return rails(
        "power to the ABS module",
        (
            Box("tractor", width=46),
            Ends((f"tractor pin {pin}", "tractor pin 1")),
            Across("cord at the tractor"),
            Ends((f"cord tractor end {pin}", "cord tractor end 1")),
            Along("cord"),
            Ends((f"cord pin {pin}", "cord pin 1")),
            Across("cord at the nose"),
            Named("trailer"),
            Ends((f"nose pin {pin}", "nose pin 1")),
            Along("trailer wire", 1.5),
            Ends((f"module {COLOR[pin]}", "module ground")),
            Across("module power plug"),
            Ends((f"module in {COLOR[pin]}", "module in ground")),
            Box("ABS module"),
        ),
        labels=(pin, "1"),
    )


def _sensor(plug: str) -> Circuit:
    """Module, plug, sensor wire, wheel plug, sensor."""
    return rails(
        "sensor circuit",
        (
            Box("ABS module"),
            Ends(("{place} port 1", "{place} port 2")),
            Across(plug),
            Ends(("{place} lead 1", "{place} lead 2")),
            Along("sensor wire"),
            Ends(("{place} wheel end 1", "{place} wheel end 2")),
            Across("{place} wheel plug"),
            Ends(("{place} sensor 1", "{place} sensor 2")),
            Box("sensor", "coil"),
        ),
        below={
            "frame": ("{place} lead 2", "{place} wheel end 2"),
            "axle": ("{place} wheel end 2", "{place} sensor 2"),
        },
        group="wheel",
    )


def _bare_sensor() -> Circuit:
    """A sensor with its plug, where nothing leads to a module."""
    return rails(
        "sensor",
        (
            Ends(("{place} wheel end 1", "{place} wheel end 2")),
            Across("{place} wheel plug"),
            Ends(("{place} sensor 1", "{place} sensor 2")),
            Along("", 1.0),
            Ends(("{place} coil 1", "{place} coil 2")),
            Box("sensor", "coil", 60),
        ),
        below={"axle": ("{place} sensor 2", "{place} coil 2")},
        group="wheel",
    )


def _modulator(plug: str) -> Circuit:
    """Module, plug, three wires, plug, valve."""
    wires = ("hold", "dump", "common")
    return rails(
        "modulator circuit",
        (
            Box("ABS module"),
            Ends(tuple(f"{{place}} driver {one}" for one in wires)),
            Across(plug),
            Ends(tuple(f"{{place}} lead {one}" for one in wires)),
            Along(),
            Ends(tuple(f"{{place}} wire end {one}" for one in wires)),
            Across("{place} plug"),
            Ends(tuple(f"{{place}} valve {one}" for one in wires)),
            Box("valve"),
        ),
        labels=wires,
        labelled="{place} lead hold",
        group="modulator",
    )


def _train(count: int) -> Circuit:
    """A tractor with its trailers: the constant power and the ground from socket to socket."""
    narrow = 26.0 if count == 2 else 18.0
    items: list[Item] = [
        Named("tractor"),
        Ends(("battery positive", "battery negative")),
        Along("", 1.2),
        Ends(("tractor pin 7", "tractor pin 1")),
        Named(""),
    ]
    for number in range(count):
        one = _ORDINALS[number]
        items += [
            Across(f"{one} cord at its front", width=narrow),
            Ends((f"{one} cord front 7", f"{one} cord front 1")),
            Along("", 0.4),
            Ends((f"{one} cord pin 7", f"{one} cord pin 1")),
            Across(f"{one} cord at the nose", width=narrow),
            Named(one),
            Ends((f"{one} nose pin 7", f"{one} nose pin 1")),
            Along("", 1.4),
            Ends((f"{one} tail pin 7", f"{one} tail pin 1")),
        ]
        if number < count - 1:
            items.append(Named(""))
    last = _ORDINALS[count - 1]
    items += [
        Along("", 0.5),
        Ends((f"{last} module blue", f"{last} module ground")),
        Across(f"{last} module power plug", width=narrow),
        Ends((f"{last} module in 7", f"{last} module in 1")),
        Box("ABS", width=28),
    ]
    kind = "doubles" if count == 2 else "triples"
    return replace(rails(f"power along the {kind}", items, labels=("7", "1")), only=kind)


def _own_light() -> Circuit:
    """The module's own light, its wire, and back through the frame."""
    return rails(
        "the ABS light's circuit",
        (
            Box("ABS module"),
            Ends(("lamp driver", "module in ground")),
            Across("module power plug"),
            Ends(("lamp out", "module ground")),
            Along("light wire"),
            Ends(("lamp plug", "lamp home")),
            Across("light plug", "screw", JOINT),
            Ends(("lamp", "lamp return")),
            Box("ABS light", "lamp"),
        ),
        below={"frame": ("module ground", "lamp home")},
    )


def _tractor_power() -> Circuit:
    """Battery, fuse and wire, the module's power plug, and back through the frame."""
    return rails(
        "power to the tractor's ABS module",
        (
            Box("battery", "battery"),
            Ends(("battery positive", "battery negative")),
            Along("power wire"),
            Ends(("module blue", "module ground")),
            Across("module power plug"),
            Ends(("module in blue", "module in ground")),
            Box("ABS module"),
        ),
    )


def _tractor_and_cord() -> Circuit:
    """One pin of the tractor's socket, and of the cord that hangs on it."""
    return rails(
        "tractor and cord",
        (
            Box("battery", "battery"),
            Ends(("battery", "battery minus")),
            Along("tractor's wires"),
            Ends(("tractor pin {pin}", "tractor pin one")),
            Across("cord at the tractor"),
            Ends(("cord tractor end {pin}", "cord tractor end one")),
            Along("cord"),
            Ends(("cord pin {pin}", "cord pin one")),
            Across("cord at the nose"),
            Ends(("nose pin {pin}", "nose pin one")),
            Box("trailer"),
        ),
    )


_JOINTS = (
    ("cord plug at the tractor", "tractor pin", "cord tractor end"),
    ("cord plug at the nose", "cord pin", "nose pin"),
    ("nose box", "nose pin", "front wire"),
    ("junction box", "junction in", "junction out"),
)


def _weak_circuit() -> Circuit:
    """One circuit of the seven-way with every joint, from the tractor to the last plug."""
    same = {
        name: f"{node} {rail}"
        for joint, before, behind in _JOINTS
        for rail in ("{pin}", "one")
        for name, node in ((f"before {joint} {rail}", before), (f"behind {joint} {rail}", behind))
    }
    for rail, tail in (("{pin}", ""), ("one", " one")):
        same |= {f"before last plug {rail}": f"plug wire{tail}", f"behind last plug {rail}": f"far end{tail}"}
    return rails(
        "one circuit of the seven-way",
        (
            Box("tractor", width=40),
            Ends(("tractor pin {pin}", "tractor pin one")),
            Across("cord at the tractor", width=24),
            Ends(("cord tractor end {pin}", "cord tractor end one")),
            Along("cord"),
            Ends(("cord pin {pin}", "cord pin one")),
            Across("cord at the nose"),
            Named("trailer"),
            Ends(("nose pin {pin}", "nose pin one")),
            Across("nose box", "screw", JOINT),
            Ends(("front wire {pin}", "front wire one")),
            Along("wire", 1.4),
            Ends(("junction in {pin}", "junction in one")),
            Across("junction box", "screw", JOINT),
            Ends(("junction out {pin}", "junction out one")),
            Along("", 0.6),
            Ends(("plug wire", "plug wire one")),
            Across("contacts of the last plug", "screw", 12),
            Ends(("far end", "far end one")),
            Across("last plug"),
            Ends(("after plug", "after plug one")),
            Box("last lamp", width=36),
        ),
        same=same,
    )


def _lamp() -> Circuit:
    """A lamp with its own wires, and the way of its circuit from the tractor."""
    return rails(
        "the lamp's circuit",
        (
            Box("tractor", width=42),
            Ends(("tractor pin {pin}", "tractor pin one")),
            Across("cord at the tractor"),
            Ends(("cord tractor end {pin}", "cord tractor end one")),
            Along("cord", 0.8),
            Ends(("cord pin {pin}", "cord pin one")),
            Across("cord at the nose"),
            Named("trailer"),
            Ends(("nose pin {pin}", "nose pin one")),
            Along("wire"),
            Ends(("junction in {pin}", "junction in one")),
            Across("junction box", "screw", JOINT),
            Ends(("junction out {pin}", "junction out one")),
            Along("", 0.6),
            Ends(("{lamp} power", "{lamp} ground")),
            Across("plug of the lamp", "screw", JOINT),
            Ends(("{lamp} socket", "{lamp} return")),
            Box("lamp", "lamp", 40),
        ),
        below={"frame": ("nose pin one", "junction in one")},
    )


def _one_battery() -> Circuit:
    """One battery with its cables off."""
    nodes = (Node("{place} positive", 150, 70), Node("{place} negative", 210, 70))
    return Circuit(
        "{place} alone",
        nodes,
        parts=(Part("{place}", 126, 84, 108, 56, "flat battery"),),
        plugs=(Plug("ground cable", (), "cable"), Plug("jumper cables", (), "cable")),
        stubs_down=((150, 70, 84), (210, 70, 84)),
        group="battery",
    )


def _starting() -> Circuit:
    """The bank of batteries, starter and alternator."""
    high, low = 66.0, 132.0
    nodes = (
        Node("positive post", 36, high), Node("far negative post", 36, low),
        Node("far positive post", 104, high), Node("negative post", 104, low),
        Node("negative clamp", 140, low),
        Node("starter stud", 200, high), Node("starter motor", 234, high), Node("start terminal", 268, high),
        Node("starter case", 234, low),
        Node("alternator output", 325, high), Node("alternator case", 325, low),
    )  # fmt: skip
    top, bottom = high + 8, low - 8
    return Circuit(
        "batteries, starter and alternator",
        nodes,
        wires=(
            Wire("positive post", "starter stud", "power cable", over=high - 16),
            Wire("positive post", "alternator output", "charging cable", over=high - 32),
            Wire("negative clamp", "starter case"),
            Wire("starter case", "alternator case"),
        ),
        plugs=(
            Plug(
                "jumper cables",
                (("positive post", "far positive post"), ("far negative post", "negative post")),
                "cable",
            ),
            Plug("ground cable", (("negative post", "negative clamp"),), "cable"),
        ),
        parts=(
            Part("first", 10, top, 52, bottom - top, "battery"),
            Part("last", 78, top, 52, bottom - top, "battery"),
            Part("starter", 184, top, 100, bottom - top),
            Part("alternator", 292, top, 64, bottom - top),
        ),
        stubs_down=tuple(
            (node.x, high, top) if node.y == high else (node.x, bottom, low)
            for node in nodes
            if node.name != "negative clamp"
        ),
        labels=(("stud", 187, top + 18), ("motor", 218, top + 18), ("start", 254, top + 18)),
    )
