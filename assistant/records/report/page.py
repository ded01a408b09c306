"""One record as HTML, by one set of templates: the report's file (and PDF), the page's record view and its print."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from assistant import svg
from assistant.numerals.vocabulary import Vocabulary
from assistant.phrasing.verdicts import graded, mark_of
from assistant.phrasing.wording import at_place, clock, first_up, limits_of, minutes, read, wall
from assistant.records.report.path import Point
from assistant.records.report.pictures import path_picture, reading_pictures
from assistant.records.report.talk import Turn
from assistant.records.summary.layout import under
from assistant.records.summary.positions import positions_table
from assistant.records.summary.summary import LEFT, Reading, SessionSummary, Timed, history_lines

_TEMPLATES = Path(__file__).parent / "templates"
_PAPER = {"letter": "8.5in 11in", "a4": "210mm 297mm"}


@dataclass(frozen=True, slots=True)
class Kept:
    """The kept sound of one answer."""

    at: float
    """Seconds since the session began."""
    words: str
    address: str
    """Where it is: relative to the report, or ``data:``."""


@dataclass(frozen=True, slots=True)
class Told:
    """What a report tells beside the summary."""

    path: tuple[Point, ...] = ()
    """The suspects after each observation."""
    talk: tuple[Turn, ...] = ()
    technician: str = ""
    """The name kept outside the chain."""
    sounds: Sequence[Kept] = ()
    """Answers whose sound was kept."""


def style_sheet() -> str:
    """How a record and its pictures look: in the report's file, or linked by the page."""
    return (_TEMPLATES / "record.css").read_text(encoding="utf-8") + svg.STYLE


def heading(one: SessionSummary) -> str:
    """Unit and procedure."""
    return f"{_unit(one)}: {first_up(one.title or 'procedure not known')}"


def record_html(one: SessionSummary, vocabulary: Vocabulary | None = None, told: Told | None = None) -> str:
    """The record as one element for a page that links :func:`style_sheet`; nothing in it is fetched or styled inline.

    Args:
        one: what the session came to.
        vocabulary: how units are said.
        told: what else is told.
    """
    return _engine().get_template("record.html").render(_content(one, vocabulary, told or Told(), styled=False))


def html_report(
    one: SessionSummary, vocabulary: Vocabulary | None = None, told: Told | None = None, *, paper: str = ""
) -> str:
    """The same as a self-contained file, with its style sheet inside.

    Args:
        one: what the session came to.
        vocabulary: how units are said.
        told: what else is told.
        paper: ``letter`` or ``a4`` to fix the page size for a PDF; '' leaves it to the printer.
    """
    sheet = style_sheet()
    if paper:
        sheet += (
            f"@page {{ size: {_PAPER[paper]}; @bottom-right {{ content: counter(page) ' of ' counter(pages); "
            "font-size: 9px; color: #5b6775; font-family: 'Liberation Sans', sans-serif; } }"
        )
    content = _content(one, vocabulary, told or Told(), styled=True)
    return _engine().get_template("report.html").render(content, title=heading(one), sheet=Markup(sheet))  # noqa: S704 - our own sheet


@cache
def _engine() -> Environment:
    engine = Environment(
        loader=FileSystemLoader(_TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        keep_trailing_newline=True,
        lstrip_blocks=True,
    )
    engine.filters |= {"first_up": first_up, "clock": clock, "wall": wall, "minutes": minutes}
    engine.globals["at_place"] = at_place
    return engine


def _unit(one: SessionSummary) -> str:
    return f"Unit {one.unit}" if one.unit else "Unit not named"


def _content(one: SessionSummary, vocabulary: Vocabulary | None, told: Told, *, styled: bool) -> dict[str, Any]:
    """What the templates name."""

    def drawn(picture: svg.Drawing | None) -> Markup:
        return Markup(picture.svg(styled=styled)) if picture else Markup()  # noqa: S704 - escaped by its maker

    return {
        "one": one,
        "unit": _unit(one),
        "ending": "left before its end" if one.ending == LEFT else one.ending,
        "confirmed": {repair.cause: repair.confirmed for repair in one.repairs if repair.confirmed},
        "facts": _facts(one, told.technician),
        "table": positions_table(one, vocabulary),
        "rows": [_row(reading, vocabulary) for reading in one.readings],
        "sounds": {kept.at: kept for kept in told.sounds},
        "pictures": [(title, drawn(picture)) for title, picture in reading_pictures(one.readings, vocabulary)],
        "path_drawn": drawn(path_picture(told.path)),
        "steps": [_step(point) for point in told.path],
        "lists": _lists(one, told.sounds),
        "technician": told.technician,
        "talk": told.talk,
    }


def _facts(one: SessionSummary, technician: str) -> Mapping[str, list[tuple[str, str]]]:
    wide = [
        ("Ending", f"{one.ending}: {one.because}" if one.because else one.ending),
        ("Meter", one.meter),
        ("Heard with", one.model),
        ("Not asked", ", ".join(one.not_asked)),
        ("History", ". ".join(first_up(line) for line in history_lines(one.weights, one.fault_titles))),
    ]
    short = [("Technician", technician), ("Air", f"{one.air_fahrenheit} °F" if one.air_fahrenheit else "")]
    return {"wide": wide, "short": [*short, *((first_up(fact.what), fact.detail) for fact in one.facts)]}


@dataclass(frozen=True, slots=True)
class _Row:
    """One reading as a row."""

    number: int
    at: float
    title: str
    read: str
    limits: str
    verdict: str
    mark: str
    """``good``, ``bad``, ``close`` or ''."""
    details: list[str]
    withdrawn: bool


def _row(reading: Reading, vocabulary: Vocabulary | None) -> _Row:
    one = reading.observed
    details = under(one, vocabulary)
    if one.proof:
        details.insert(0, "measured again after a repair")
    mark, verdict = mark_of(one), graded(one)
    if reading.withdrawn:
        why = reading.withdrawn.removeprefix("taken back")
        mark, verdict = "", f"taken back: {why}" if why else "taken back"
    return _Row(
        one.number, reading.at, at_place(one.title, one.place), read(one, vocabulary), limits_of(one, vocabulary),
        verdict, mark, details, bool(reading.withdrawn),
    )  # fmt: skip


def _step(point: Point) -> str:
    best = max(point.shares.items(), key=lambda item: item[1], default=("", 0.0))
    sign = f"reading {point.label}, " if point.label.isdigit() else ""
    return f"{clock(point.at)} {sign}{point.what}. Then: {best[0]}, {100 * best[1]:.0f} percent."


@dataclass(frozen=True, slots=True)
class _Line:
    """One line of a list."""

    at: float
    what: str
    address: str = ""
    """Of the kept sound, '' when there is none."""


def _lists(one: SessionSummary, sounds: Sequence[Kept]) -> list[tuple[str, list[_Line]]]:
    """What a report lists with times; sound of readings stands in their table."""

    def timed(rows: Sequence[Timed]) -> list[_Line]:
        return [_Line(row.at, _with_detail(row.what, row.detail)) for row in rows]

    read = {reading.at for reading in one.readings}
    return [
        ("Steps of the last proof", timed(one.proof)),
        ("Cautions acknowledged", [_Line(row.at, row.detail or row.what) for row in one.cautions]),
        ("Opened", timed(one.opened)),
        ("Skipped", timed(one.skipped)),
        ("Declined", timed(one.declined)),
        ("Notes", timed(one.notes)),
        (
            "Kept sound of other answers",
            [_Line(kept.at, kept.words, kept.address) for kept in sounds if kept.at not in read],
        ),
    ]


def _with_detail(what: str, detail: str) -> str:
    """A sentence keeps its own punctuation, and the answer to it follows."""
    if not detail:
        return what
    return f"{what} Answer: {detail}" if what.endswith((".", "?", "!")) else f"{what}: {detail}"
