"""Readings as rows, and the evidence for each repair: what found it, and the same readings before and after."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from assistant.numerals.vocabulary import Vocabulary
from assistant.phrasing.wording import at_place, limits_of, read
from assistant.records.summary.layout import under
from assistant.records.summary.sources import Footnotes
from assistant.records.summary.summary import NO_HELP, VERIFIED, Repair, SessionSummary
from assistant.svg import Drawing

IN_VAIN, NOT_VERIFIED, STOOD = "still bad afterwards", "not verified", "the closing test failed after it"


@dataclass(frozen=True, slots=True)
class Exhibit:
    """A picture or a photo that belongs to one reading or look."""

    words: str
    """What it shows, for its line and for who cannot see it."""
    picture: Drawing | None = None
    """Our own drawing; None for a photo."""
    address: str = ""
    """Of a photo, relative to the report or ``data:``; '' for a drawing."""
    kind: str = ""
    """Of a drawing: ``circuit`` or ``plan``; '' for a photo."""


@dataclass(frozen=True, slots=True)
class Row:
    """One reading or look as a row."""

    number: int
    at: float
    title: str
    read: str
    limits: str
    sign: str
    """Of the footnote that names the limits' source."""
    verdict: str
    mark: str
    """``good``, ``bad``, ``close`` or ''."""
    details: list[str]
    withdrawn: bool


@dataclass(frozen=True, slots=True)
class Evidence:
    """One repair with what speaks for it."""

    repair: Repair
    mark: str
    """``good`` for a verified repair, ``bad`` for one in vain, '' for a test, else ``close``."""
    verdict: str
    """The same in words."""
    found_by: list[Row]
    """What was not good before it, as far as it was not read again after it."""
    pairs: list[tuple[Row, Row]]
    """Readings before it, each with the one after it."""

    @property
    def moved(self) -> set[int]:
        """Numbers of readings after it that were held to other limits than those before."""
        return {second.number for first, second in self.pairs if first.limits != second.limits and second.sign}

    @property
    def rows(self) -> list[Row]:
        """All of them."""
        return [*self.found_by, *(row for pair in self.pairs for row in pair)]


def rows_of(one: SessionSummary, vocabulary: Vocabulary | None, notes: Footnotes) -> list[Row]:
    """Every reading and look of a record, those that were deleted too."""
    rows = []
    for reading in one.readings:
        seen = reading.observed
        gone = bool(reading.withdrawn)
        rows.append(
            Row(
                seen.number, reading.at, at_place(seen.title, seen.place), read(seen, vocabulary),
                limits_of(seen, vocabulary), notes.sign(seen.limit_source),
                reading.deleted or reading.verdict, "" if gone else reading.mark,
                under(reading, vocabulary, one.meter), gone,
            )
        )  # fmt: skip
    return rows


def evidence_of(one: SessionSummary, rows: Sequence[Row]) -> list[Evidence]:
    """What speaks for each repair, and what came of each known good part that was tried, in order."""
    by_number = {row.number: row for row in rows}
    found = []
    for repair in sorted((*one.repairs, *one.tests), key=lambda each: each.at):
        pairs = [(by_number[first], by_number[second]) for first, second in repair.again]
        read_again = {first for first, _ in repair.again}
        alone = [by_number[number] for number in repair.found_by if number not in read_again]
        mark = (
            "good"
            if repair.confirmed
            else ""
            if repair.test
            else "bad"
            if repair.in_vain or repair.stood
            else "close"
        )
        told = NO_HELP if repair.test else IN_VAIN if repair.in_vain else STOOD if repair.stood else NOT_VERIFIED
        verdict = VERIFIED.get(repair.confirmed, told)
        found.append(Evidence(repair, mark, verdict, alone, pairs))
    return found
