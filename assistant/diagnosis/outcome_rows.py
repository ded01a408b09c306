"""Likelihoods of the candidates' outcomes, stored as what is usual and the few suspects that differ.

A check names a few faults at its own place; under all others it shows the same. So a row, one outcome of one check,
is a number for everybody and a list of exceptions: a step costs what the checks name, not suspects times checks.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from assistant.diagnosis.fault_model import Indexes
from assistant.diagnosis.likelihood import Floats

LEAST = 1e-300
"""Stands for nothing where a logarithm is taken."""


@dataclass(frozen=True, eq=False)
class OutcomeRows:
    """P(outcome | suspect) of each row. Exceptions lie in the order of their rows, in a row in that of suspects."""

    suspects: int
    """How many suspects there are."""
    base: Floats
    """What is usual, shape (rows,)."""
    row: Indexes
    """Row of each exception."""
    suspect: Indexes
    """Suspect of each exception."""
    chance: Floats
    """P(outcome | suspect) of each exception."""

    @cached_property
    def begins(self) -> Indexes:
        """First exception of each row, and after the last row how many there are, shape (rows + 1,)."""
        return np.searchsorted(self.row, np.arange(len(self.base) + 1))

    def column(self, row: int) -> Floats:
        """P(outcome | suspect) of one row for all suspects."""
        column = np.full(self.suspects, self.base[row])
        own = slice(int(self.begins[row]), int(self.begins[row + 1]))
        column[self.suspect[own]] = self.chance[own]
        return column

    def of_suspects(self, live: Indexes, suspects: int) -> OutcomeRows:
        """The same for some of the suspects, in this order; ``live`` counts among ``suspects``."""
        number_of = np.full(suspects, -1, dtype=np.int64)
        number_of[live] = np.arange(len(live))
        number = number_of[self.suspect]
        kept = np.flatnonzero(number >= 0)
        row, number, chance = self.row[kept], number[kept], self.chance[kept]
        if len(live) and (np.diff(live) < 0).any():
            order = np.lexsort((number, row))
            row, number, chance = row[order], number[order], chance[order]
        return OutcomeRows(len(live), self.base, row, number, chance)

    def of_rows(self, kept: Indexes) -> OutcomeRows:
        """The same for some of the rows, in rising order."""
        number_of = np.full(len(self.base), -1, dtype=np.int64)
        number_of[kept] = np.arange(len(kept))
        number = number_of[self.row]
        own = number >= 0
        return OutcomeRows(self.suspects, self.base[kept], number[own], self.suspect[own], self.chance[own])


class Segments:
    """Sums and maxima over stretches of the first axis, one for each row; a stretch may be empty.

    Stretches of one length are taken together, which beats ``reduceat`` several times over where beliefs lie side by
    side.

    Args:
        begins: first of each stretch, and after the last stretch how many there are, shape (rows + 1,).
    """

    def __init__(self, begins: Indexes) -> None:
        self.count = int(begins[-1])
        self.rows = len(begins) - 1
        sizes = np.diff(begins)
        self._single = bool((sizes == 1).all())
        self._alike = [
            (rows, begins[rows][:, None] + np.arange(size))
            for size in np.unique(sizes).tolist()
            if size
            for rows in (np.flatnonzero(sizes == size),)
        ]

    def summed(self, values: Floats) -> Floats:
        """Values, first axis, summed by row; 0 for an empty stretch."""
        if self._single:
            return values
        total = np.zeros((self.rows, *values.shape[1:]))
        for rows, members in self._alike:
            total[rows] = np.einsum("rc...->r...", self._taken(values, members))
        return total

    def highest(self, values: Floats) -> Floats:
        """The highest value of each row, first axis; 0 for an empty stretch."""
        top = np.zeros((self.rows, *values.shape[1:]))
        for rows, members in self._alike:
            taken = self._taken(values, members)
            best = taken[:, 0]
            for member in range(1, taken.shape[1]):
                best = np.maximum(best, taken[:, member])
            top[rows] = best
        return top

    def _taken(self, values: Floats, members: Indexes) -> Floats:
        if members.size == self.count:  # all of one length: they lie in order already
            return values.reshape(*members.shape, *values.shape[1:])
        return np.asarray(values[members])


@dataclass(frozen=True, eq=False)
class GroupedRows:
    """The exceptions of each row taken together by group (suspects with one cure): cells, by rows and then groups."""

    rows: OutcomeRows
    """The rows."""
    row: Indexes
    """Row of each cell."""
    group: Indexes
    """Group of each cell."""
    first: Indexes
    """First exception of each cell."""
    begins: Indexes
    """First cell of each row, and after the last row how many there are, shape (rows + 1,)."""

    @cached_property
    def _cells(self) -> Segments:
        return Segments(np.append(self.first, len(self.rows.suspect)))

    @cached_property
    def _rows(self) -> Segments:
        return Segments(self.begins)

    def summed(self, exceptions: Floats) -> Floats:
        """Values of exceptions, first axis, summed by cell; the same array where each cell has one."""
        return self._cells.summed(exceptions)

    def by_row(self, cells: Floats) -> Floats:
        """Values of cells, first axis, summed by row."""
        return self._rows.summed(cells)

    def highest(self, cells: Floats) -> Floats:
        """The highest value of each row's cells, first axis; 0 where a row has none."""
        return self._rows.highest(cells)


def grouped_rows(rows: OutcomeRows, group_of: Indexes) -> GroupedRows:
    """Rows with their cells; suspects lie in the order of their groups."""
    group = group_of[rows.suspect]
    fresh = np.ones(len(group), dtype=np.bool_)
    fresh[1:] = (rows.row[1:] != rows.row[:-1]) | (group[1:] != group[:-1])
    first = np.flatnonzero(fresh)
    row = rows.row[first]
    return GroupedRows(rows, row, group[first], first, np.searchsorted(row, np.arange(len(rows.base) + 1)))


class JointRows:
    """What the outcomes of all rows leave of the weights, for some beliefs side by side.

    Args:
        grouped: the rows.
        weights: joint weight of each suspect, shape (suspects, beliefs).
        masses: the same summed by group, shape (groups, beliefs).
    """

    def __init__(self, grouped: GroupedRows, weights: Floats, masses: Floats) -> None:
        rows = grouped.rows
        self.grouped = grouped
        self.masses = masses
        self.mass = masses.sum(axis=0)
        own = weights[rows.suspect]
        self.cell_masses = masses[grouped.group]
        """Mass of each cell's group before the check, shape (cells, beliefs)."""
        plain = np.maximum(self.cell_masses - grouped.summed(own), 0.0)
        base = rows.base[grouped.row][:, None]
        own *= rows.chance[:, None]
        self.cells = grouped.summed(own) + base * plain
        """Joint weight of each cell's group, shape (cells, beliefs)."""
        self.usual = np.maximum(self.mass - grouped.by_row(self.cell_masses), 0.0)
        """Mass of the groups that a row does not name, shape (rows, beliefs)."""
        self.chance = rows.base[:, None] * self.usual + grouped.by_row(self.cells)
        """Probability of each row, joint with that of the belief, shape (rows, beliefs)."""

    @cached_property
    def entropy(self) -> Floats:
        """Entropy of the groups in nats after each row, joint with its probability, shape (rows, beliefs)."""
        grouped, base = self.grouped, self.grouped.rows.base[:, None]
        each = _log_times(self.masses)
        named = grouped.by_row(each[grouped.group])
        usual = base * (np.log(np.maximum(base, LEAST)) * self.usual + each.sum(axis=0) - named)
        total = np.log(np.maximum(self.chance, LEAST)) * self.chance
        return np.asarray(np.maximum(total - usual - grouped.by_row(_log_times(self.cells)), 0.0))

    def moved(self) -> Floats:
        """How far each row moves the groups' probabilities, total variation joint with its probability, shape (rows,
        beliefs)."""
        grouped, base = self.grouped, self.grouped.rows.base[:, None]
        likely = self.chance / np.maximum(self.mass, LEAST)
        apart = np.abs(self.cells - self.cell_masses * likely[grouped.row])
        return np.asarray((np.abs(base - likely) * self.usual + grouped.by_row(apart)) / 2)

    def dense(self, row: Indexes, belief: Indexes) -> Floats:
        """Joint weights of all groups after some rows of some beliefs, shape (groups, rows)."""
        joint = self.grouped.rows.base[row] * self.masses[:, belief]
        entry, cell = self.cells_of(row)
        joint[self.grouped.group[cell], entry] = self.cells[cell, belief[entry]]
        return joint

    def expected(self, row: Indexes, belief: Indexes, column: Indexes, minutes: Floats) -> Floats:
        """Sum over the groups of joint weight times minutes, for some rows of some beliefs, shape (rows,).

        Args:
            row: the rows.
            belief: belief of each.
            column: column of ``minutes`` of each.
            minutes: minutes of each group, shape (groups, columns); a column always goes with one belief.
        """
        belief_of = np.zeros(minutes.shape[1], dtype=np.int64)
        belief_of[column] = belief
        usual = np.einsum("gk,gk->k", self.masses[:, belief_of], minutes)
        base = self.grouped.rows.base[row]
        entry, cell = self.cells_of(row)
        side = belief[entry]
        more = self.cells[cell, side] - base[entry] * self.cell_masses[cell, side]
        more *= minutes[self.grouped.group[cell], column[entry]]
        return np.asarray(base * usual[column] + np.bincount(entry, weights=more, minlength=len(row)))

    def cells_of(self, row: Indexes) -> tuple[Indexes, Indexes]:
        """All cells of some rows: the position of their row among these, and the cell."""
        begins = self.grouped.begins
        counts = begins[row + 1] - begins[row]
        entry = np.repeat(np.arange(len(row)), counts)
        within = np.arange(len(entry)) - np.repeat(np.cumsum(counts) - counts, counts)
        return entry, begins[row][entry] + within


def _log_times(joint: Floats) -> Floats:
    return np.asarray(np.log(np.maximum(joint, LEAST)) * joint)
