"""The circuit of a check: both tips where they stand, plugs that are open pulled apart, the load, what is what."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from assistant.errors import DefectError
from assistant.phrasing.pictures import FEED, JUMPER, LOAD, OFF
from assistant.pictures.layout import BOTTOM, CAPTION, WIDTH, Circuit, Node, Part, Plug
from assistant.pictures.scene import Scene
from assistant.pictures.style import STYLE
from assistant.pictures.words import meter_lines, state_lines
from assistant.svg import Drawing, wrapped

_ABOVE = 18.0
"""Height at which a lead from above begins."""
_WIDE = 100.0
"""Width from which a stretch has its name at its end."""
_BRIDGE = 44.0
"""Height of what joins two nodes of one rail."""
_LINE = 15.0
_LETTERS = 56
"""Letters of 11 px that fit the width."""


def draw_circuit(scene: Scene, title: str, told: str, *, lines: bool = True) -> Drawing | None:
    """The circuit; None where none is known.

    Args:
        scene: what the check does.
        title: of the picture.
        told: the same facts in words.
        lines: False leaves the lines under the picture out, where the page says them beside it.
    """
    circuit = scene.circuit
    if circuit is None:
        return None
    drawing = Drawing(WIDTH, 0, title, told=told, kind="hands", style=STYLE)
    _spans(drawing, circuit)
    _wires(drawing, circuit)
    for plug in circuit.plugs:
        _plug(drawing, circuit, plug, apart=any(circuit.plug(one) == plug for one in scene.off))
    for part in circuit.parts:
        _part(drawing, part)
    for text, x, y in circuit.labels:
        if len(text) <= 2:  # a pin's number stands left of it: behind it is the connector
            drawing.text(x - 6, y - 5, text, "s", "end")
        else:
            drawing.text(x + 2, y - 6, text, "s")
    _joined(drawing, circuit, scene)
    for left, right, y in circuit.stubs:
        drawing.line(left, y, right, y, "wire")
    for x, upper, lower in circuit.stubs_down:
        drawing.line(x, upper, x, lower, "wire")
    touched = {*scene.red, *scene.black}
    bare = [one for one in circuit.plates if one.name in touched]
    for plate in bare:
        _plate(drawing, plate)
    for node in circuit.nodes:
        drawing.circle(node.x, node.y, 2.6, "node")
    y = max(CAPTION + 6, _tips(drawing, circuit, scene))
    if lines:
        y = _legend(drawing, scene, y)
    drawing.height = y
    # without a tip from above, that room is left out
    drawing.top = 0.0 if scene.red or scene.black else 34.0
    return drawing


def _spans(drawing: Drawing, circuit: Circuit) -> None:
    """Stretches with their names."""
    for span in circuit.spans:
        if span.title:
            drawing.rect(span.left, 40, span.right - span.left, CAPTION - 36, "wash", rx="4")
            if span.right - span.left > _WIDE:  # at its end, where no tip and no bare metal lies
                drawing.text(span.right - 6, CAPTION - 1, span.title, "cap", "end")
            else:
                drawing.text((span.left + span.right) / 2, CAPTION, span.title, "cap", "middle")


def _at(circuit: Circuit, name: str) -> Node:
    found = circuit.node(name)
    if found is None:
        raise DefectError(f"The circuit '{circuit.name}' draws no '{name}'.")
    return found


def _wires(drawing: Drawing, circuit: Circuit) -> None:
    for wire in circuit.wires:
        first, second = _at(circuit, wire.first), _at(circuit, wire.second)
        if wire.over is None:
            drawing.line(first.x, first.y, second.x, second.y, "wire")
            middle, y = (first.x + second.x) / 2, first.y - 6
        else:
            drawing.polyline(
                [(first.x, first.y), (first.x, wire.over), (second.x, wire.over), (second.x, second.y)], "wire"
            )
            middle, y = (max(first.x, second.x - 100) + second.x) / 2, wire.over - 3
        if wire.label:
            drawing.text(middle, y, wire.label, "s", "middle")


def _plug(drawing: Drawing, circuit: Circuit, plug: Plug, *, apart: bool) -> None:
    """Both halves of a connector: together with its wires through it, or pulled apart."""
    if not plug.pairs:
        return None
    ends = [(_at(circuit, a), _at(circuit, b)) for a, b in plug.pairs]
    if plug.kind == "cable":
        return _cables(drawing, ends, apart=apart)
    left, right = ends[0][0].x, ends[0][1].x
    top, bottom = ends[0][0].y - 13, ends[-1][0].y + 13
    middle = (left + right) / 2
    if plug.kind == "screw":
        drawing.rect(left, top + 4, right - left, bottom - top - 8, "screw", rx="3")
    for a, b in ends:
        if apart:
            drawing.line(a.x, a.y, a.x + 6, a.y, "wire")
            drawing.line(b.x - 6, b.y, b.x, b.y, "wire")
        else:
            drawing.line(a.x, a.y, b.x, b.y, "wire")
    if plug.kind == "screw":
        return None
    half = 8.0
    open_ = " open" if apart else ""
    first, second = (left + 2, right - 2 - half) if apart else (middle - half, middle)
    drawing.rect(first, top, half, bottom - top, f"shellhalf{open_}", rx="2")
    drawing.rect(second, top, half, bottom - top, f"shellhalf{open_}", rx="2")
    if apart:
        drawing.text(middle, top - 4, OFF, "off", "middle")
    return None


def _cables(drawing: Drawing, ends: Sequence[tuple[Node, Node]], *, apart: bool) -> None:
    """Cables that are taken off at their ends, each by itself."""
    for a, b in ends:
        if not apart:
            drawing.line(a.x, a.y, b.x, b.y, "wire")
            continue
        drawing.line(a.x + 8, a.y, b.x - 8, b.y, "wire", stroke_dasharray="4 3")
        drawing.text((a.x + b.x) / 2, a.y - 5 if a.y < 100 else a.y + 13, OFF, "off", "middle")


def _part(drawing: Drawing, part: Part) -> None:
    """A box with its name, or with the sign of what it is."""
    drawing.rect(part.x, part.y, part.width, part.height, "box", rx="4")
    x, y = part.x + part.width / 2, part.y + part.height / 2
    words = part.title.split(" ", 1) if part.width < 60 and len(part.title) > 8 else [part.title]
    shift = {"coil": 20.0, "lamp": 20.0, "flat battery": 10.0}.get(part.kind, 0.0)
    for row, word in enumerate(words):
        drawing.text(x, y + 4 + shift + 13 * (row - (len(words) - 1) / 2), word, "", "middle")
    match part.kind:
        case "coil":
            for turn in range(3):
                drawing.circle(x - 10 + 10 * turn, y - 6, 6, "sign")
        case "lamp":
            drawing.circle(x, y - 8, 11, "sign")
            drawing.line(x - 8, y - 16, x + 8, y, "sign")
            drawing.line(x + 8, y - 16, x - 8, y, "sign")
        case "battery":
            drawing.text(x, part.y + 14, "+", "b", "middle")
            drawing.text(x, part.y + part.height - 5, "\N{MINUS SIGN}", "b", "middle")
        case "flat battery":
            drawing.text(part.x + 24, part.y + 16, "+", "b", "middle")
            drawing.text(part.x + part.width - 24, part.y + 16, "\N{MINUS SIGN}", "b", "middle")


def _plate(drawing: Drawing, plate: Node) -> None:
    """Bare metal: frame or axle."""
    drawing.rect(plate.x - 34, plate.y, 68, 7, "metal")
    drawing.text(plate.x + 40, plate.y + 8, plate.name, "s")


def _joined(drawing: Drawing, circuit: Circuit, scene: Scene) -> None:
    """What joins two nodes beside the circuit's own wires."""
    hands = scene.hands
    for words, ends in ((LOAD, scene.load), (FEED, hands.feed), (JUMPER, hands.jumper)):
        first = circuit.node(ends.plus) if ends else None
        second = circuit.node(ends.minus) if ends else None
        if first is None or second is None:
            continue
        if first.x != second.x:
            y = _BRIDGE if first.y == second.y < BOTTOM else CAPTION - 8
            drawing.polyline([(first.x, first.y), (first.x, y), (second.x, y), (second.x, second.y)], "bridge")
            x = (first.x + second.x) / 2
            drawing.rect(x - 22, y - 8, 44, 16, "load", rx="2")
            drawing.text(x, y + 4, words, "load", "middle")
            continue
        middle = (first.y + second.y) / 2
        drawing.line(first.x, first.y, second.x, second.y, "wire")
        turned = f"rotate(-90 {first.x:.1f} {middle:.1f})"
        half = max(15.0, 3.4 * len(words) + 2)
        drawing.rect(first.x - 8, middle - half, 16, 2 * half, "load", rx="2")
        drawing.text(first.x, middle + 3, words, "load", "middle", transform=turned)


def _tips(drawing: Drawing, circuit: Circuit, scene: Scene) -> float:
    """Both leads: from above to the upper rails, from below to the lowest, each with its name; where they end."""
    heights = {node.y for node in circuit.nodes}
    last = max(heights) if len(heights) > 1 else CAPTION
    above: list[_Lead] = []
    below: list[_Lead] = []
    for color, names in (("red", scene.red), ("black", scene.black)):
        several = len(set(names)) > 1
        for number, name in enumerate(dict.fromkeys(names), 1):
            node = circuit.node(name)
            if node is not None:
                lead = _Lead(node, color, f"{color} {number}" if several else color)
                (below if node.y >= last else above).append(lead)
    for lead, x in _apart(above):
        _draw_lead(drawing, lead, x, _ABOVE)
    lowest = max((lead.node.y for lead in below), default=0.0) + 34
    for lead, x in _apart(below):
        _draw_lead(drawing, lead, x, lowest)
    return lowest + 10 if below else 0.0


@dataclass(frozen=True, slots=True)
class _Lead:
    """One lead."""

    node: Node
    color: str
    words: str

    @property
    def wide(self) -> float:
        """Width of its name."""
        return 9 + 6.2 * len(self.words)


def _apart(leads: Sequence[_Lead]) -> list[tuple[_Lead, float]]:
    """Leads with the middle of their names, moved apart where they would cover each other."""
    ordered = sorted(leads, key=lambda lead: lead.node.x)
    middles = [min(max(lead.node.x, lead.wide / 2 + 2), WIDTH - lead.wide / 2 - 2) for lead in ordered]
    for _ in range(len(ordered)):
        for number, (one, other) in enumerate(pairwise(ordered)):
            need = (one.wide + other.wide) / 2 + 3 - (middles[number + 1] - middles[number])
            if need > 0:
                middles[number] -= need / 2
                middles[number + 1] += need / 2
    return list(zip(ordered, middles, strict=True))


def _draw_lead(drawing: Drawing, lead: _Lead, x: float, y: float) -> None:
    node, color = lead.node, lead.color
    away = 1 if y > node.y else -1
    for kind in ("casing", f"lead {color}"):
        drawing.line(x, y, node.x, node.y + 9 * away, kind)
    drawing.polygon(
        [(node.x, node.y), (node.x - 5, node.y + 12 * away), (node.x + 5, node.y + 12 * away)], f"tip {color}"
    )
    drawing.rect(x - lead.wide / 2, y - 8, lead.wide, 16, f"tip {color}", rx="3")
    drawing.text(x, y + 4, lead.words, f"b {color}", "middle")


def _legend(drawing: Drawing, scene: Scene, y: float) -> float:
    """The same in lines; where they end."""
    for words in [*meter_lines(scene)[:2], " ".join(meter_lines(scene)[2:]), " ".join(state_lines(scene))]:
        for row in wrapped(words, _LETTERS):
            y += _LINE
            drawing.text(6, y, row)
    return y + 8
