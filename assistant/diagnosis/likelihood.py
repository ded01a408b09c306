"""What each suspect would make a check show: P(outcome | suspect, task).

A fault that a check names shows its outcome with probability 1 - e, a fault that it does not name shows the check's
``otherwise``; e, the rate of misreading, is shared evenly by the other outcomes. An entry of several outcomes with
probabilities d(o) is misread the same way: (1 - e) d(o) + e (1 - d(o)) / (K - 1) for K outcomes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from assistant.procedure.model import Check, Fault, Procedure

Floats = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]

READING_OUTCOMES = ("good", "low", "high", "over_range", "unsteady")
"""Outcomes of a reading, in the order of the tables' rows."""
HERE = "here"
"""In ``finds`` of a place check: the fault's own place was named."""


@dataclass(frozen=True, eq=False)
class Table:
    """The likelihoods of one task. Rows are outcomes, columns are suspects."""

    outcomes: tuple[str, ...]
    """Names of the rows."""
    chance: Floats
    """P(outcome | suspect), shape (outcomes, suspects); each column sums to 1 and nothing in it is 0."""
    points: Flags
    """True where the check declares that this suspect shows this outcome and it is not what others show."""
    base: Floats
    """P(outcome) when no fault that the check names is there, shape (outcomes,)."""
    differs: Flags
    """True for a suspect whose column is not the base, shape (suspects,)."""
    declared: Floats
    """As the file declares it, without misreadings, shape (outcomes, suspects)."""
    plain: Floats
    """What the file declares when no fault that the check names is there, shape (outcomes,)."""

    def shown_by(self, suspects: Sequence[int]) -> Floats:
        """Outcome probabilities without misreadings when all of these suspects are real, shape (outcomes,).

        Those show whose column differs from the base; where several do, any of them.
        """
        telling = [suspect for suspect in suspects if self.differs[suspect]]
        return np.asarray(self.declared[:, telling].mean(axis=1) if telling else self.plain, dtype=np.float64)

    def row(self, outcome: str) -> int | None:
        """Row of an outcome by name, None when the check has no such outcome."""
        return self.outcomes.index(outcome) if outcome in self.outcomes else None


def outcomes_of(check: Check, places: tuple[str, ...]) -> tuple[str, ...]:
    """Outcome names of a check; ``places`` are those of its group, for a check of kind ``place``."""
    if check.kind == "reading":
        return READING_OUTCOMES
    names = tuple(option.name for option in check.choices)
    return (*places, *(name for name in names if name not in places)) if check.kind == "place" else names


def misread_rate(procedure: Procedure, check: Check) -> float:
    """Chance of a wrong outcome of this check."""
    return procedure.slip if check.slip is None else check.slip


def counted_as(check: Check, outcome: str) -> str:
    """The outcome that an observation counts as.

    An over-range display is ``good`` where the limits say so, and ``high`` where no fault names it as an outcome of
    its own: beyond the range is above any upper limit.
    """
    if check.kind != "reading" or outcome != "over_range":
        return outcome
    named: set[str] = set()
    for entry in (*check.finds.values(), *check.elsewhere.values()):
        named.update((entry,) if isinstance(entry, str) else entry)
    if outcome in named:
        return outcome
    if check.limits is not None and check.limits.over_range == "good":
        return "good"
    return "high" if "high" in named else outcome


def table_of(
    check: Check,
    place: str | None,
    places: tuple[str, ...],
    suspects: tuple[tuple[Fault, str | None], ...],
    misread_rate: float,
) -> Table:
    """The likelihoods of one check at one place, for (fault, place) pairs in the order of the columns."""
    outcomes = outcomes_of(check, places)
    row_of = {name: number for number, name in enumerate(outcomes)}
    plain = _declared({check.otherwise: 1.0}, row_of)
    declared = np.repeat(plain[:, None], len(suspects), axis=1)
    named = np.zeros(len(suspects), dtype=np.bool_)
    for column, (fault, where) in enumerate(suspects):
        entry = _entry(check, place, fault, where)
        if entry is not None:
            named[column] = True
            declared[:, column] = _declared(_resolved(entry, where, row_of), row_of)
    points = (declared > 0) & named & (declared > plain[:, None])
    differs = np.asarray(np.abs(declared - plain[:, None]).max(axis=0, initial=0.0) > 1e-12)
    return Table(
        outcomes,
        misread(declared, misread_rate),
        points,
        misread(plain[:, None], misread_rate)[:, 0],
        differs,
        declared,
        plain,
    )


def _entry(check: Check, place: str | None, fault: Fault, where: str | None) -> str | dict[str, float] | None:
    apart = place is not None and where is not None and where != place
    return (check.elsewhere if apart else check.finds).get(fault.name)


def _resolved(entry: str | dict[str, float], where: str | None, row_of: dict[str, int]) -> dict[str, float]:
    """Outcome to probability, with ``here`` replaced by the suspect's own place."""
    chances = {entry: 1.0} if isinstance(entry, str) else entry
    if HERE in chances and HERE not in row_of and where is not None:
        return {(where if name == HERE else name): share for name, share in chances.items()}
    return chances


def _declared(chances: dict[str, float], row_of: dict[str, int]) -> Floats:
    """Column of declared probabilities; even when nothing in it is an outcome of this check."""
    column = np.zeros(len(row_of))
    for name, share in chances.items():
        if name in row_of:
            column[row_of[name]] += float(share)
    total = column.sum()
    return column / total if total > 0 else np.full(len(row_of), 1.0 / max(1, len(row_of)))


def misread(declared: Floats, misread_rate: float) -> Floats:
    """Columns of outcome probabilities, each summing to 1, with the rate of misreading mixed in."""
    count = declared.shape[0]
    if count < 2:
        return declared
    return np.asarray((1 - misread_rate) * declared + misread_rate * (1 - declared) / (count - 1), dtype=np.float64)
