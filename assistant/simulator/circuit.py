"""A linear network at direct current, or at the effective values of one alternating source, solved node by node.

Modified nodal analysis (Ho, Ruehli and Brennan, IEEE Transactions on Circuits and Systems 22, 1975): one equation for
the current at each node, one more for each source without inner resistance. Volts, amps and ohms throughout.

* A resistor of 0 ohms is a short: its ends are one node, exactly. One of infinite ohms is not there.
* A part of the network that nothing joins to the reference floats. One node of it is tied to the reference, which
  stands for a leak too small to see: a single tie carries no current, so nothing else changes.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

import numpy as np
import numpy.typing as npt

from assistant.errors import DefectError

Matrix = npt.NDArray[np.float64]
Vector = npt.NDArray[np.float64]
GROUND = "ground"
"""The node that is 0 volts."""
REMEMBERED = 128
"""Networks kept with what was found: a look at a unit meets the same few states again and again."""


@dataclass(frozen=True, slots=True)
class Resistor:
    """A resistance between two nodes; 0 is a short, infinity an open."""

    first: str
    second: str
    ohms: float


@dataclass(frozen=True, slots=True)
class VoltageSource:
    """A voltage between two nodes, behind an inner resistance."""

    plus: str
    minus: str
    volts: float
    ohms: float = 0.0
    """Inner resistance; 0 for an ideal source."""


@dataclass(frozen=True, slots=True)
class CurrentSource:
    """A current that leaves one node and enters the other."""

    out_of: str
    into: str
    amps: float


Element = Resistor | VoltageSource | CurrentSource


@dataclass(frozen=True)
class Solution:
    """The voltage of every node against the reference."""

    volts: Mapping[str, float]

    def between(self, plus: str, minus: str) -> float:
        """Volts from one node to another.

        Raises:
            DefectError: the network has no such node.
        """
        for node in (plus, minus):
            if node not in self.volts:
                raise DefectError(f"The circuit has no node '{node}'.")
        return self.volts[plus] - self.volts[minus]


def solve(elements: Iterable[Element], reference: str = GROUND) -> Solution:
    """Solve a network.

    Args:
        elements: resistors and sources in any order.
        reference: the node that is 0 volts.

    Raises:
        DefectError: a negative resistance, or ideal sources that contradict or short each other.
    """
    return _solution(tuple(elements), reference)


@lru_cache(maxsize=REMEMBERED)
def _solution(network: tuple[Element, ...], reference: str) -> Solution:
    made = _Assembled(network, reference)
    found = made.solved(made.right).tolist()
    return Solution(MappingProxyType({node: 0.0 if at is None else found[at] for node, at in made.places.items()}))


def ports(
    elements: Iterable[Element], pairs: Sequence[tuple[str, str]], reference: str = GROUND
) -> tuple[Vector, Matrix]:
    """A network as it is seen from some pairs of its nodes (Thevenin).

    Args:
        elements: resistors and sources in any order.
        pairs: plus and minus node of each port.
        reference: the node that is 0 volts.

    Returns:
        Volts of the open ports, and the ohms matrix: volts at port ``[row]`` for one amp into port ``[column]``.

    Raises:
        DefectError: as for ``solve``.
    """
    return _seen_from(tuple(elements), tuple(pairs), reference)


@lru_cache(maxsize=REMEMBERED)
def _seen_from(
    network: tuple[Element, ...], pairs: tuple[tuple[str, str], ...], reference: str
) -> tuple[Vector, Matrix]:
    made = _Assembled(network, reference)
    right = np.zeros((made.size, len(pairs) + 1))
    right[:, 0] = made.right
    for column, (plus, minus) in enumerate(pairs, 1):
        _inject(right[:, column], made.places[plus], made.places[minus], 1.0)
        # one amp alone: what the sources give is taken off again below
        right[:, column] += made.right
    found = made.solved(right)
    ends = np.zeros((len(pairs), made.size))
    for row, (plus, minus) in enumerate(pairs):
        _inject(ends[row], made.places[plus], made.places[minus], 1.0)
    seen = ends @ found
    feed, ohms = seen[:, 0], seen[:, 1:] - seen[:, :1]
    for shared in (feed, ohms):
        shared.setflags(write=False)
    return feed, ohms


class _Assembled:
    """The equations of a network."""

    def __init__(self, network: Sequence[Element], reference: str) -> None:
        joined = _Joined(reference)
        for element in network:
            joined.add(element)
        tied = joined.ties()
        index: dict[str, int] = {}
        self.places: dict[str, int | None] = {}
        """Number of each node's equation; None for the reference and what is tied to it."""
        for node in joined.nodes:
            root = joined.short(node)
            self.places[node] = None if root in tied else index.setdefault(root, len(index))
        ideal = [one for one in network if isinstance(one, VoltageSource) and one.ohms == 0]
        self.size = len(index) + len(ideal)
        self.matrix, self.right = np.zeros((self.size, self.size)), np.zeros(self.size)
        self._rows: list[int] = []
        self._columns: list[int] = []
        self._values: list[float] = []
        for element in network:
            self._take(element)
        for row, source in enumerate(ideal, len(index)):
            self._force(row, self.places[source.plus], self.places[source.minus])
            self.right[row] = source.volts
        np.add.at(self.matrix, (self._rows, self._columns), self._values)

    def solved(self, right: Matrix) -> Matrix:
        """Volts of every equation's node for one or more right sides."""
        try:
            return np.asarray(np.linalg.solve(self.matrix, right), dtype=np.float64) if self.size else right
        except np.linalg.LinAlgError:
            raise DefectError("Ideal voltage sources of the circuit contradict each other.") from None

    def _take(self, element: Element) -> None:
        at = self.places
        match element:
            case Resistor(first, second, ohms):
                self._conduct(at[first], at[second], ohms)
            case CurrentSource(out_of, into, amps):
                _inject(self.right, at[into], at[out_of], amps)
            case VoltageSource(plus, minus, volts, ohms) if ohms > 0:
                # behind an inner resistance: a current source beside a conductance (Norton)
                self._conduct(at[plus], at[minus], ohms)
                _inject(self.right, at[plus], at[minus], volts / ohms)

    def _add(self, row: int, column: int, value: float) -> None:
        self._rows.append(row)
        self._columns.append(column)
        self._values.append(value)

    def _conduct(self, first: int | None, second: int | None, ohms: float) -> None:
        if ohms <= 0 or math.isinf(ohms) or first == second:
            return
        for one, other in ((first, second), (second, first)):
            if one is not None:
                self._add(one, one, 1 / ohms)
                if other is not None:
                    self._add(one, other, -1 / ohms)

    def _force(self, row: int, plus: int | None, minus: int | None) -> None:
        """One row and one column for the current of an ideal source."""
        for node, sign in ((plus, 1.0), (minus, -1.0)):
            if node is not None:
                self._add(row, node, sign)
                self._add(node, row, sign)


def _inject(right: Matrix, into: int | None, out_of: int | None, amps: float) -> None:
    if into is not None:
        right[into] += amps
    if out_of is not None:
        right[out_of] -= amps


class _Joined:
    """Which nodes are one node, and which are joined to the reference at all (two disjoint-set forests)."""

    def __init__(self, reference: str) -> None:
        self.reference = reference
        self.nodes: dict[str, None] = {reference: None}
        self._shorted: dict[str, str] = {}
        self._reached: dict[str, str] = {}

    def add(self, element: Element) -> None:
        """Take in the nodes of an element and what it joins."""
        match element:
            case Resistor(first, second, ohms):
                if ohms < 0 or math.isnan(ohms):
                    raise DefectError(f"{ohms} ohms between {first} and {second}.")
            case VoltageSource(first, second, _, ohms):
                if not 0 <= ohms < math.inf:
                    raise DefectError(f"{ohms} ohms inside the source from {first} to {second}.")
            case CurrentSource(first, second):
                ohms = math.inf
        self.nodes[first] = self.nodes[second] = None
        if isinstance(element, Resistor) and ohms == 0:
            _unite(self._shorted, first, second)
        if not math.isinf(ohms):
            _unite(self._reached, first, second)

    def short(self, node: str) -> str:
        """The node that stands for all that are shorted to it."""
        return _root(self._shorted, node)

    def ties(self) -> frozenset[str]:
        """Nodes at 0 volts: the reference, and one of each part that floats."""
        first: dict[str, str] = {_root(self._reached, self.reference): self.reference}
        for node in self.nodes:
            first.setdefault(_root(self._reached, node), node)
        return frozenset(self.short(node) for node in first.values())


def _root(forest: dict[str, str], node: str) -> str:
    while node in forest:
        node = forest[node]
    return node


def _unite(forest: dict[str, str], one: str, other: str) -> None:
    first, second = _root(forest, one), _root(forest, other)
    if first != second:
        forest[second] = first
