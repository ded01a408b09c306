"""One record as HTML, by one set of templates: the report's file (and PDF), the page's record view and its print."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache, partial
from pathlib import Path
from typing import Any

from jinja2 import Environment
from markupsafe import Markup

from assistant import svg
from assistant.messages.decisions import Ending
from assistant.numerals.vocabulary import Vocabulary
from assistant.phrasing.sentences import PLAIN_ENDINGS, PLAIN_SURVEYS
from assistant.phrasing.verdicts import SHAPES
from assistant.phrasing.wording import at_place, clock, day, first_up, miles, minutes, wall
from assistant.pictures.style import STYLE as HANDS
from assistant.records.report.customer import cautions_of, sections_of
from assistant.records.report.path import Point
from assistant.records.report.pictures import has_percents, path_picture, reading_pictures
from assistant.records.report.rows import Evidence, Exhibit, evidence_of, rows_of
from assistant.records.report.talk import Turn
from assistant.records.summary.labels import INVENTED
from assistant.records.summary.positions import positions_table
from assistant.records.summary.sources import footnotes
from assistant.records.summary.summary import Pictured, SessionSummary, Timed, history_lines
from assistant.templates import engine_of

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
    photos: Mapping[str, str] = field(default_factory=dict)
    """Photo to the address of its picture, see ``report.photos.addresses``."""
    exhibits: Mapping[int, Sequence[Exhibit]] = field(default_factory=dict)
    """Number of a reading or look to the pictures and photos that belong to it."""


def style_sheet() -> str:
    """How a record and its pictures look: in the report's file, or linked by the page."""
    return (_TEMPLATES / "record.css").read_text(encoding="utf-8") + svg.STYLE + HANDS


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
    content = _content(one, vocabulary, told or Told(), styled=True)
    return _file("record.html", content, heading(one), paper)


def _file(body: str, content: Mapping[str, Any], title: str, paper: str) -> str:
    """A template's element as a self-contained file."""
    return _engine().get_template("report.html").render(content, body=body, title=title, look=_sheet(paper))


@cache
def _engine() -> Environment:
    engine = engine_of(_TEMPLATES)
    engine.filters |= {
        "first_up": first_up,
        "clock": clock,
        "wall": wall,
        "day": day,
        "minutes": minutes,
    }
    engine.globals |= {"at_place": at_place, "shapes": SHAPES, "INVENTED": INVENTED}
    return engine


def customer_html(one: SessionSummary, vocabulary: Vocabulary | None = None, *, paper: str = "") -> str:
    """One page in plain words for who owns the unit: what was wrong, what was done, what is left. Self-contained.

    Args:
        one: what the session came to.
        vocabulary: how units are said.
        paper: as for :func:`html_report`.
    """
    return _file("customer.html", _for_the_customer(one, vocabulary), _unit(one), paper)


def customer_element(one: SessionSummary, vocabulary: Vocabulary | None = None) -> str:
    """The customer's page as one element for a page that links :func:`style_sheet`."""
    return _engine().get_template("customer.html").render(_for_the_customer(one, vocabulary))


def _for_the_customer(one: SessionSummary, vocabulary: Vocabulary | None) -> dict[str, Any]:
    """What the customer's template names."""
    return {
        "one": one,
        "unit": _unit(one),
        "plainly": PLAIN_SURVEYS.get(one.mark if one.ending == Ending.SURVEYED else "")
        or PLAIN_ENDINGS.get(one.ending, one.ended),
        "numbers": [("Work order", one.work_order), ("VIN", one.vin), ("Odometer", miles(one.odometer))],
        "sections": sections_of(one, vocabulary),
        "cautions": cautions_of(one),
    }


def _sheet(paper: str) -> Markup:
    """The style sheet of a file, with the page's size where it is fixed."""
    sheet = style_sheet()
    if paper:
        sheet += (
            f"@page {{ size: {_PAPER[paper]}; @bottom-right {{ content: counter(page) ' of ' counter(pages); "
            "font-size: 9px; color: #5b6775; font-family: 'Liberation Sans', sans-serif; } }"
        )
    return Markup(sheet)  # noqa: S704 - our own


def _unit(one: SessionSummary) -> str:
    return f"Unit {one.unit}" if one.unit else "Unit not named"


def _content(one: SessionSummary, vocabulary: Vocabulary | None, told: Told, *, styled: bool) -> dict[str, Any]:
    """What the templates name."""

    def drawn(picture: svg.Drawing | None) -> Markup:
        return Markup(picture.svg(styled=styled)) if picture else Markup()  # noqa: S704 - escaped by its maker

    notes = footnotes(one.readings)
    rows = rows_of(one, vocabulary, notes)
    evidence = evidence_of(one, rows)
    photos = [_photo(photo, told.photos) for photo in one.photos]
    exhibits = _with_photos(told.exhibits, photos, evidence)
    placed = {each.address for shown in exhibits.values() for each in shown if each.address}
    return {
        "one": one,
        "unit": _unit(one),
        "names": _names(one, told.technician),
        "facts": _facts(one),
        "table": positions_table(one, vocabulary),
        "rows": rows,
        "evidence": evidence,
        "plan_beside": partial(_plan_beside, exhibits),
        "not_good": {reading.observed.number for reading in one.not_good},
        "exhibits": {number: [(each, drawn(each.picture)) for each in shown] for number, shown in exhibits.items()},
        "notes": notes.lines,
        "sounds": {kept.at: kept for kept in told.sounds},
        "pictures": [(title, drawn(picture)) for title, picture in reading_pictures(one.readings, vocabulary)],
        "path_drawn": drawn(path_picture(told.path)),
        "percents": has_percents(told.path),
        "steps": [_step(point) for point in told.path],
        "lists": _lists(one),
        "behind": _behind(one, told.sounds),
        "technician": told.technician,
        "talk": told.talk,
        "photos": [photo for photo in photos if not photo.address or photo.address not in placed],
    }


@dataclass(frozen=True, slots=True)
class _Photo:
    """One photo with what it shows."""

    at: float
    of: str
    address: str
    """Of its picture, '' where it is not shown."""
    instead: str
    """Why it is not."""
    observation: int | None
    """Number of the reading that it shows, None for another one."""


def _photo(photo: Pictured, addresses: Mapping[str, str]) -> _Photo:
    of = first_up(photo.of) + (f" (reading {photo.observation})" if photo.observation is not None else "")
    why = "Picture changed since it was logged: not shown" if photo.name in addresses else "Picture erased"
    return _Photo(photo.at, of, addresses.get(photo.name, ""), why, photo.observation)


def _with_photos(
    exhibits: Mapping[int, Sequence[Exhibit]], photos: Sequence[_Photo], evidence: Sequence[Evidence]
) -> dict[int, list[Exhibit]]:
    """Pictures by the reading that they show, with the photos of readings that are evidence; others are listed."""
    numbers = {row.number for each in evidence for row in each.rows}
    found = {number: list(shown) for number, shown in exhibits.items()}
    for photo in photos:
        if photo.address and photo.observation in numbers:
            found.setdefault(photo.observation, []).append(
                Exhibit(f"Photo: {photo.of}, {clock(photo.at)}", None, photo.address)
            )
    return found


def _plan_beside(exhibits: Mapping[int, Sequence[Exhibit]], each: Evidence) -> int:
    """Number of the reading whose plan is all that there is to see of a repair: it stands beside the table; 0 for
    none."""
    shown = [(row.number, one) for row in each.rows for one in exhibits.get(row.number, ())]
    return shown[0][0] if len(shown) == 1 and shown[0][1].kind == "plan" else 0


def _names(one: SessionSummary, technician: str) -> list[tuple[str, str]]:
    """What a record is found by, as far as it is known."""
    named = [
        ("Work order", one.work_order),
        ("VIN", one.vin),
        ("Odometer", miles(one.odometer)),
        ("Technician", technician),
        ("Began", wall(one.started)),
        ("Session", one.session_id),
    ]
    return [(name, text) for name, text in named if text]


def _facts(one: SessionSummary) -> Mapping[str, list[tuple[str, str]]]:
    wide = [
        ("Meter", one.meter_told),
        ("History", ". ".join(first_up(line) for line in history_lines(one.weights, one.fault_titles))),
    ]
    told = [(first_up(fact.what), fact.detail) for fact in one.facts if fact.detail != one.unit]
    air = [("Air", f"{one.air_fahrenheit} °F" if one.air_fahrenheit else "")]
    return {"wide": wide, "short": [*air, *told]}


def _step(point: Point) -> str:
    best = max(point.shares.items(), key=lambda item: item[1], default=("", 0.0))
    sign = f"reading {point.label}, " if point.label.isdigit() else ""
    then = f" Then: {best[0]}, {100 * best[1]:.0f} percent." if best[0] else ""
    return f"{clock(point.at)} {sign}{point.what}.{then}"


@dataclass(frozen=True, slots=True)
class _Line:
    """One line of a list."""

    at: float
    what: str
    address: str = ""
    """Of the kept sound, '' when there is none."""


def _timed(rows: Sequence[Timed]) -> list[_Line]:
    return [_Line(row.at, _with_detail(row.what, row.detail)) for row in rows]


def _lists(one: SessionSummary) -> list[tuple[str, list[_Line]]]:
    """What a report lists with times."""
    return [
        ("Closing test", _timed(one.closing)),
        ("Skipped", _timed(one.skipped)),
        ("Declined", [] if one.ending == Ending.WAITING and len(one.declined) == 1 else _timed(one.declined)),
        ("Notes", _timed(one.notes)),
    ]


def _behind(one: SessionSummary, sounds: Sequence[Kept]) -> list[tuple[str, list[_Line]]]:
    """What it lists behind, for who looks closer; sound of readings stands in their table."""
    read = {reading.at for reading in one.readings}
    kept = [_Line(each.at, each.words, each.address) for each in sounds if each.at not in read]
    return [
        ("Cautions acknowledged", [_Line(row.at, row.detail or row.what) for row in one.cautions]),
        ("Opened", _timed(one.opened)),
        ("Kept sound of other answers", kept),
    ]


def _with_detail(what: str, detail: str) -> str:
    """A sentence keeps its own punctuation, and the answer to it follows."""
    if not detail:
        return what
    return f"{what} Answer: {detail}" if what.endswith((".", "?", "!")) else f"{what}: {detail}"
