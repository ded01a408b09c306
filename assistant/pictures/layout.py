"""Where the nodes, plugs, wires and parts of a circuit lie in a picture.

A circuit is drawn as rails from left to right, one a conductor, with its plugs across them. Nodes and plugs carry the
names that ``hands`` and ``probe`` of a procedure use; what a name leaves open, such as ``{place}``, is filled in for
each picture. Measures are in pixels of a picture that is :data:`WIDTH` wide.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

WIDTH = 360.0
TOP, BOTTOM = 64.0, 116.0
"""Height of the first and of the last rail."""
CAPTION = 152.0
"""Height of the line that names what is what."""
EDGE = 8.0
BOX, GAP, JOINT, STUB = 50.0, 30.0, 22.0, 14.0
"""Width of a part at an end, of a plug, of a joint with screws, and of the wires that come out of a part."""
PLATE = 26.0
"""How far below the last rail bare metal lies."""


@dataclass(frozen=True, slots=True)
class Node:
    """A place that a tip can stand on."""

    name: str
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Wire:
    """A conductor between two nodes."""

    first: str
    second: str
    label: str = ""
    """What it is, where that is worth saying."""
    over: float | None = None
    """Height of the detour that it makes, None for a straight one."""


@dataclass(frozen=True, slots=True)
class Plug:
    """A connector: the nodes that it joins while it is plugged in."""

    name: str
    pairs: tuple[tuple[str, str], ...]
    kind: str = "plug"
    """``plug``; ``screw`` for a joint that is not pulled apart; ``cable`` for one that is taken off at its ends."""


@dataclass(frozen=True, slots=True)
class Part:
    """A box with a name in it, such as the module."""

    title: str
    x: float
    y: float
    width: float
    height: float
    kind: str = "part"
    """``part``, or ``coil``, ``lamp``, ``battery``, ``motor`` for one with a sign of its own."""


@dataclass(frozen=True, slots=True)
class Span:
    """What a stretch of the picture belongs to, named under it."""

    title: str
    left: float
    right: float


@dataclass(frozen=True, slots=True)
class Circuit:
    """One circuit as it is drawn."""

    name: str
    """What it is, as a title."""
    nodes: tuple[Node, ...]
    wires: tuple[Wire, ...] = ()
    plugs: tuple[Plug, ...] = ()
    parts: tuple[Part, ...] = ()
    spans: tuple[Span, ...] = ()
    stubs: tuple[tuple[float, float, float], ...] = ()
    """Wires that come out of a part: from, to, and their height."""
    stubs_down: tuple[tuple[float, float, float], ...] = ()
    """The same up and down: where, from and to."""
    plates: tuple[Node, ...] = ()
    """Bare metal, such as the frame, by its middle."""
    labels: tuple[tuple[str, float, float], ...] = ()
    """Names of the rails, each with its place."""
    same: Mapping[str, str] = field(default_factory=dict)
    """Other names of a node, or of a plug, to the name that it has here."""
    group: str = ""
    """Group of places that the circuit belongs to, such as ``wheel``; empty: to the unit."""
    only: str = ""
    """Kind of unit that it is meant for, where there are several: ``doubles`` or ``triples``."""

    def node(self, name: str) -> Node | None:
        """The node of that name, None where the circuit has none."""
        name = self.same.get(name, name)
        return next((one for one in (*self.nodes, *self.plates) if one.name == name), None)

    def plug(self, name: str) -> Plug | None:
        """The plug of that name, None where the circuit has none."""
        name = self.same.get(name, name)
        return next((one for one in self.plugs if one.name == name), None)

    def filled(self, words: Mapping[str, str]) -> Circuit:
        """The same with what its names leave open filled in."""

        def fill(name: str) -> str:
            for word, meaning in words.items():
                name = name.replace(f"{{{word}}}", meaning)
            return name

        return replace(
            self,
            name=fill(self.name),
            nodes=tuple(Node(fill(one.name), one.x, one.y) for one in self.nodes),
            wires=tuple(Wire(fill(one.first), fill(one.second), one.label, one.over) for one in self.wires),
            plugs=tuple(
                Plug(fill(one.name), tuple((fill(a), fill(b)) for a, b in one.pairs), one.kind) for one in self.plugs
            ),
            same={fill(one): fill(other) for one, other in self.same.items()},
            parts=tuple(replace(one, title=fill(one.title)) for one in self.parts),
            labels=tuple((fill(text), x, y) for text, x, y in self.labels),
        )


@dataclass(frozen=True, slots=True)
class Ends:
    """A column of nodes, one on each rail."""

    nodes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Across:
    """A plug, or a joint, between two columns of nodes."""

    name: str
    kind: str = "plug"
    width: float = GAP


@dataclass(frozen=True, slots=True)
class Along:
    """A stretch of wires between two columns of nodes."""

    label: str = ""
    share: float = 1.0
    """Its length beside the others."""


@dataclass(frozen=True, slots=True)
class Box:
    """A part at an end, or between two columns of nodes."""

    title: str
    kind: str = "part"
    width: float = BOX


@dataclass(frozen=True, slots=True)
class Named:
    """What the columns from here to the next one belong to."""

    title: str


Item = Ends | Across | Along | Box | Named


def heights(rails: int) -> tuple[float, ...]:
    """Where the rails lie."""
    step = (BOTTOM - TOP) / (rails - 1)
    return tuple(TOP + step * number for number in range(rails))


def rails(
    name: str,
    items: Sequence[Item],
    *,
    labels: Sequence[str] = (),
    labelled: str = "",
    below: Mapping[str, tuple[str, str]] | None = None,
    same: Mapping[str, str] | None = None,
    group: str = "",
) -> Circuit:
    """Lay out a circuit from left to right.

    Args:
        name: what it is.
        items: columns of nodes with what lies between them, in order.
        labels: names of the rails.
        labelled: node behind which they stand; '' for the first one.
        below: bare metal under the last rail, such as the frame, with the nodes that it lies between.
        same: other names of nodes and plugs.
        group: group of places that it belongs to.
    """
    fixed = sum(
        one.width + STUB if isinstance(one, Box)
        else one.width if isinstance(one, Across) else 0.0
        for one in items
    )  # fmt: skip
    shares = sum(one.share for one in items if isinstance(one, Along))
    unit = (WIDTH - 2 * EDGE - fixed) / shares if shares else 0.0
    count = next(len(one.nodes) for one in items if isinstance(one, Ends))
    ys = heights(count)
    made = _Made(EDGE, ys)
    for one in items:
        made.add(one, unit)
    made.close(WIDTH - EDGE)
    nodes = list(made.nodes)
    wires = list(made.wires)
    plates = []
    for extra, (left, right) in (below or {}).items():
        ends = [one.x for one in nodes if one.name in (left, right)]
        plates.append(Node(extra, sum(ends) / len(ends), BOTTOM + PLATE))
    first = next(one for one in items if isinstance(one, Ends)).nodes[0]
    start = next(one for one in nodes if one.name == (labelled or first)).x + (28 if labelled else 0)
    named = tuple((text, start, y) for text, y in zip(labels, ys, strict=False))
    return Circuit(
        name, tuple(nodes), tuple(wires), tuple(made.plugs), tuple(made.parts), tuple(made.spans),
        tuple(made.stubs), (), tuple(plates), named, dict(same or {}), group,
    )  # fmt: skip


class _Made:
    """A circuit as it grows from left to right."""

    def __init__(self, x: float, ys: tuple[float, ...]) -> None:
        self.x, self._ys = x, ys
        self.nodes: list[Node] = []
        self.wires: list[Wire] = []
        self.plugs: list[Plug] = []
        self.parts: list[Part] = []
        self.spans: list[Span] = []
        self.stubs: list[tuple[float, float, float]] = []
        self._last: tuple[str, ...] = ()
        self._between: Across | Along | None = None
        self._span: tuple[str, float] | None = None

    def add(self, one: Item, unit: float) -> None:
        """The next thing to the right."""
        match one:
            case Named():
                self.close(self.x)
                self._span = (one.title, self.x)
            case Box():
                height = self._ys[-1] - self._ys[0] + 36
                if self._last:
                    self._stub()
                self.parts.append(Part(one.title, self.x, self._ys[0] - 18, one.width, height, one.kind))
                self.x += one.width
                if not self._last:
                    self._stub()
            case Across() | Along():
                self._between = one
                self.x += unit * one.share if isinstance(one, Along) else one.width
            case Ends():
                self._join(one.nodes)

    def _stub(self) -> None:
        self.stubs += [(self.x, self.x + STUB, y) for y in self._ys]
        self.x += STUB

    def _join(self, names: tuple[str, ...]) -> None:
        self.nodes += [Node(name, self.x, y) for name, y in zip(names, self._ys, strict=True)]
        pairs = tuple(zip(self._last, names, strict=True)) if self._last and self._between else ()
        if isinstance(self._between, Across):
            self.plugs.append(Plug(self._between.name, pairs, self._between.kind))
        elif isinstance(self._between, Along):
            self.wires += [
                Wire(a, b, self._between.label if not number else "") for number, (a, b) in enumerate(pairs)
            ]
        self._last, self._between = names, None

    def close(self, x: float) -> None:
        """End the stretch that has a name."""
        if self._span is not None:
            self.spans.append(Span(self._span[0], self._span[1], x))
        self._span = None
