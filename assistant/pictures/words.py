"""The facts of a picture in words: for a terminal, for a screen reader, and as the lines under the picture."""

from __future__ import annotations

from assistant.phrasing.pictures import TOUCHES, line, pace, plugs
from assistant.pictures.scene import Scene
from assistant.pictures.seven_way import FACE
from assistant.session.observing.standing import EVERYTHING

_CABLES = ("cable", "cables")


def meter_lines(scene: Scene) -> list[str]:
    """Both tips, dial and jack, one line each."""
    probe, leads = scene.probe, scene.leads
    if probe is None:
        return []
    return [
        line("red", red=leads.red if leads and leads.red else " / ".join(scene.red)),
        line("black", black=leads.black if leads and leads.black else " / ".join(scene.black)),
        line("dial", dial=leads.dial if leads and leads.dial else probe.dial),
        line("jack", jack=leads.hole if leads and leads.hole else probe.jack),
    ]


def state_lines(scene: Scene) -> list[str]:
    """How the unit must stand: plugs, load, key, engine, switches, what is turned or moved."""
    hands = scene.hands
    cables = [one for one in scene.off_named if one.endswith(_CABLES)]
    others = [one for one in scene.off_named if one not in cables]
    told = [line(name, off=", ".join(names)) for name, names in (("off", others), ("taken off", cables)) if names]
    if not told and EVERYTHING in hands.plug:
        told.append(line("on"))
    elif not told and hands.plug:
        told.append(line("plug", plug=plugs(hands.plug)))
    told += [line(name) for name, on in (("load", scene.load), ("feed", hands.feed), ("jumper", hands.jumper)) if on]
    if hands.key:
        told.append(line(f"key {hands.key}"))
    if hands.engine:
        told.append(line(f"engine {hands.engine}"))
    if hands.pedal:
        told.append(line("pedal", pedal=hands.pedal))
    told += [line("switch", name=name, value=value) for name, value in {**hands.switch, **hands.hold}.items()
             if "{" not in name]  # fmt: skip
    told += [line("stand_in", part=part) for part in hands.stand_in]
    if hands.turn:
        told.append(line("turn", pace=pace(hands.pace)))
    told += [line(name) for name, on in (("move", hands.move), ("warm", hands.warm)) if on]
    return told


def pin_lines(scene: Scene) -> list[str]:
    """Pins of the seven-way that are touched, by number, color and circuit."""
    told = []
    for number, touch in scene.pins:
        pin = FACE[number - 1]
        told.append(line("pin", number=str(number), color=pin.color, circuit=pin.circuit, touch=TOUCHES[touch]))
    return told


def scene_lines(scene: Scene) -> list[str]:
    """All of it."""
    where = [line("place", place=scene.place)] if scene.place else []
    return [*where, *meter_lines(scene), *state_lines(scene), *pin_lines(scene)]
