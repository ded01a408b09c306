"""A survey's end: one table with a row for each position and a column for each check."""

from __future__ import annotations

import textwrap
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Protocol

from assistant.messages.decisions import Observed
from assistant.numerals.readback import show_unit, show_value
from assistant.numerals.vocabulary import Vocabulary
from assistant.phrasing.wording import at_place, read
from assistant.records.summary.layout import WIDTH
from assistant.records.summary.summary import SessionSummary
from assistant.session.results.signs import Checks

SIGNS = {"good": "", "bad": " !", "close": " ?", "apart": " *"}
"""What stands behind a cell, so that color is never needed to read it."""
LEGEND = {
    "bad": "! out of limits or faulty",
    "close": "? too close to call",
    "apart": "* good, and stands out from the others",
}
_GAP = 2


@dataclass(frozen=True, slots=True)
class Cell:
    """What one check showed at one position."""

    text: str
    """What was read, without its unit where the column's head names it; '' where nothing was read."""
    mark: str = ""
    """``good``, ``bad``, ``close``, ``apart`` (good, and stands out), '' where nothing was read."""

    @property
    def signed(self) -> str:
        """The text with its sign."""
        return self.text + SIGNS.get(self.mark, "")


@dataclass(frozen=True, slots=True)
class PositionsTable:
    """The table of a survey."""

    heads: tuple[str, ...]
    """Title of each check, with its unit where it has one."""
    rows: tuple[tuple[str, tuple[Cell, ...]], ...]
    """Position and its cells, one for each check."""
    whole: tuple[tuple[str, Cell], ...]
    """What was read once and not at a position: title and cell."""
    remarks: tuple[str, ...]
    """Sentences on what stands out."""

    counted: tuple[Cell, ...] = ()
    """Cells that count by themselves: not those that only sum up others."""

    @property
    def legend(self) -> str:
        """What the signs that occur mean, '' where none does."""
        used = {cell.mark for cell in self._cells()}
        return "; ".join(text for mark, text in LEGEND.items() if mark in used)

    @property
    def found(self) -> str:
        """What the survey came to: how many readings, how many of them good, bad and too close to call."""
        marks = Counter(cell.mark for cell in self.counted if cell.mark)
        good, close = marks["good"] + marks["apart"], marks["close"]
        counts = [(good, "good"), (marks["bad"], "out of limits or faulty"), (close, "too close")]
        told = f"{marks.total()} read: " + ", ".join(f"{count} {name}" for count, name in counts if count)
        return told + (f"; {marks['apart']} stand{'s' if marks['apart'] == 1 else ''} out" if marks["apart"] else "")

    def _cells(self) -> list[Cell]:
        return [cell for _, cells in self.rows for cell in cells] + [cell for _, cell in self.whole]


def positions_table(one: SessionSummary, vocabulary: Vocabulary | None = None) -> PositionsTable | None:
    """The table of a survey as its readings stand; None where there is none."""
    if not one.survey:
        return None
    return table_of([reading.observed for reading in one.readings if not reading.withdrawn], one, vocabulary)


class Order(Protocol):
    """What of a procedure the table needs: a summary has it, and so have its titles."""

    @property
    def checks(self) -> Iterable[str]:
        """Names of the checks, in order."""

    @property
    def places(self) -> Iterable[str]:
        """Names of the places, in order."""

    @property
    def rules(self) -> Checks:
        """What makes a look good or bad."""


def table_of(
    readings: Iterable[Observed], order: Order, vocabulary: Vocabulary | None = None
) -> PositionsTable | None:
    """The table of readings of which none was taken back, the last of each check and place; None without any."""
    from assistant.session.agenda.surveying import rounded_like, standing_out  # a list of records needs no agenda

    standing = {(seen.check, seen.place): seen for seen in readings}
    if not standing:
        return None
    nth = {name: number for number, name in enumerate(order.checks)}
    checks = sorted(dict.fromkeys(check for check, place in standing if place is not None), key=_by(nth))
    where = {name: number for number, name in enumerate(order.places)}
    places = sorted(dict.fromkeys(place for _, place in standing if place is not None), key=_by(where))
    apart = {(found.seen.check, found.seen.place): found.middle for found in standing_out(standing.values())}

    def cell(check: str, place: str | None, *, unit: bool = False) -> Cell:
        return _cell(standing.get((check, place)), apart, order.rules, vocabulary, unit=unit)

    heads = tuple(_head(check, standing, vocabulary) for check in checks)
    rows = tuple((place, tuple(cell(check, place) for check in checks)) for place in places)
    whole = tuple(
        (seen.title, cell(check, None, unit=True)) for (check, place), seen in standing.items() if place is None
    )
    told = tuple(
        f"{at_place(seen.title, place)}: {read(seen, vocabulary)} stands out from the others, which lie around "
        f"{show_value(rounded_like(apart[check, place], seen.value), seen.unit, vocabulary)}."
        for (check, place), seen in standing.items()
        if (check, place) in apart and seen.value is not None
    )
    counted = tuple(cell(seen.check, seen.place) for seen in order.rules.counted(standing.values()))
    return PositionsTable(heads, rows, whole, told, counted)


def _by(order: Mapping[str, int]) -> Callable[[str], int]:
    return lambda name: order.get(name, len(order))


def _head(check: str, standing: Mapping[tuple[str, str | None], Observed], vocabulary: Vocabulary | None) -> str:
    seen = next(observed for (name, _), observed in standing.items() if name == check)
    unit = show_unit(seen.unit, vocabulary)
    return f"{seen.title}, {unit}" if unit else seen.title


def _cell(
    seen: Observed | None,
    apart: Mapping[tuple[str, str | None], Decimal],
    rules: Checks,
    vocabulary: Vocabulary | None,
    *,
    unit: bool,
) -> Cell:
    if seen is None:
        return Cell("")
    text = read(seen, vocabulary, named=unit)
    if (seen.check, seen.place) in apart:
        return Cell(text, "apart")
    return Cell(text, rules.mark(seen))


def positions_text(table: PositionsTable) -> str:
    """The table as text, at most 100 columns wide."""
    lines = ["Every position", *(f" {title}: {cell.signed}" for title, cell in table.whole)]
    if table.rows:
        lines += _grid(table)
    lines += [f" {table.legend}"] if table.legend else []
    for remark in table.remarks:
        lines += textwrap.wrap(remark, WIDTH, initial_indent=" ", subsequent_indent=" ")
    return "\n".join(lines)


def _grid(table: PositionsTable) -> list[str]:
    first = max(len("position"), *(len(place) for place, _ in table.rows))
    room = (WIDTH - 1 - first) // len(table.heads) - _GAP
    widths = [
        min(room, max(len(head), *(len(cells[number].signed) for _, cells in table.rows)))
        for number, head in enumerate(table.heads)
    ]
    lines = _lines("position", table.heads, first, widths)
    for place, cells in table.rows:
        lines += _lines(place, [cell.signed or "-" for cell in cells], first, widths)
    return lines


def _lines(name: str, texts: Sequence[str], first: int, widths: Sequence[int]) -> list[str]:
    columns = [textwrap.wrap(text, width) or [""] for text, width in zip(texts, widths, strict=True)]
    made = []
    for row in range(max(len(column) for column in columns)):
        cells = [
            (column[row] if row < len(column) else "").ljust(width)
            for column, width in zip(columns, widths, strict=True)
        ]
        head = name if row == 0 else ""
        made.append(f" {head:<{first}}{' ' * _GAP}{(' ' * _GAP).join(cells)}".rstrip())
    return made
