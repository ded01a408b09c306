"""A record as data: the whole summary as JSON values, and its readings as a table for a spreadsheet."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Mapping
from dataclasses import fields, is_dataclass
from decimal import Decimal
from enum import Enum
from typing import TYPE_CHECKING, Any

from assistant.numerals.vocabulary import Vocabulary
from assistant.phrasing.wording import clock, read
from assistant.records.summary.summary import SessionSummary, plain_meter
from assistant.verdict.uncertainty import rounded

if TYPE_CHECKING:
    from assistant.records.report.path import Point

_NUMBER = re.compile(r"[+-]?\d+([.,]\d+)?")
_FORMULA = re.compile(r"'*[ \u00a0]*[=+\-@\t\r\n\uff1d\uff0b\uff0d\uff20]")
"""Begins what a spreadsheet may take for a formula, with apostrophes before it or not."""


def as_json(one: SessionSummary, path: tuple[Point, ...] = (), technician: str = "") -> dict[str, Any]:
    """Everything that the report says. Decimals are strings in plain notation, times seconds, floats as they are."""
    plain: dict[str, Any] = _plain(one)
    plain |= {
        "causes": list(one.causes), "correction": list(one.correction), "parts": list(one.parts),
        "not_proven": list(one.not_proven),
        "technician": technician, "sound": {check: outcomes[0] for check, outcomes in one.rules.sound.items()},
        "path": [
            {"at": point.at, "what": point.what, "repair": point.repair,
             "shares": {title: round(share, 6) for title, share in point.shares.items() if share >= 0.0005}}
            for point in path
        ],
    }  # fmt: skip
    return plain


def _plain(value: Any) -> Any:
    if is_dataclass(value) and not isinstance(value, type):
        return {each.name: _plain(getattr(value, each.name)) for each in fields(value)}
    if isinstance(value, Decimal):
        return f"{value:f}"
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, Mapping):
        return {str(name): _plain(each) for name, each in value.items()}
    if isinstance(value, frozenset):
        return sorted(_plain(each) for each in value)
    if isinstance(value, tuple | list):
        return [_plain(each) for each in value]
    return value


COLUMNS = (
    "session", "began", "unit number", "number", "time", "check", "place", "heard", "read", "value", "judged as",
    "unit", "low limit", "high limit", "verdict", "uncertainty", "conditions", "meter", "limit source",
    "measured after repairs", "deleted",
)  # fmt: skip


WORK_ORDER_COLUMNS = (
    "work order", "unit number", "vin", "odometer", "date", "complaint", "cause", "correction", "parts",
    "parts needed", "minutes", "hours", "ending", "technician", "shop", "session", "seal",
)  # fmt: skip


def work_order_line(one: SessionSummary, technician: str = "") -> dict[str, str]:
    """One session as a line for the shop's own system: what the work order is billed and filed by.

    Minutes are those of work, and hours the same in tenths of an hour, as labor is billed; common practice, no
    source. What was on hold, as over a night on the charger, and silences that were breaks are none of them.
    """
    return {
        "work order": one.work_order, "unit number": one.unit, "vin": one.vin, "odometer": one.odometer,
        "date": one.started[:10], "complaint": one.complaint_told, "cause": "; ".join(one.causes_told),
        "correction": one.correction_told, "parts": "; ".join(one.parts),
        "parts needed": "; ".join(one.needed_told), "minutes": f"{one.worked:.0f}",
        "hours": f"{one.worked / 60:.1f}", "ending": one.ended, "technician": technician, "shop": one.shop,
        "session": one.session_id, "seal": one.seal,
    }  # fmt: skip


def work_orders_csv(lines: Iterable[Mapping[str, str]]) -> str:
    """Such lines as a table that a spreadsheet opens, as :func:`as_csv` makes it."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(WORK_ORDER_COLUMNS)
    numbers = ("minutes", "hours")
    for line in lines:
        writer.writerow([line[name] if name in numbers else as_text(line[name]) for name in WORK_ORDER_COLUMNS])
    return "\ufeff" + out.getvalue()


def as_csv(one: SessionSummary, vocabulary: Vocabulary | None = None, *, comma: bool = False) -> str:
    """The readings as a table that a spreadsheet opens without repair.

    It begins with a byte order mark, so that the text is taken for UTF-8. Numbers have a plain decimal point and no
    thousands sign. Text that a spreadsheet would take for a formula has an apostrophe before it (:func:`as_text`); a
    unit number with leading zeros stands as it is, and keeps them where its column is opened as text. Lines end as
    RFC 4180 says.

    With ``comma`` numbers have a decimal comma and a semicolon stands between cells, as spreadsheets expect it where
    a comma is the decimal sign: there 0.035 would be read as 35.
    """
    out = io.StringIO()
    writer = csv.writer(out, delimiter=";" if comma else ",", lineterminator="\r\n")

    def number(value: Decimal | None) -> str:
        plain = "" if value is None else f"{value:f}"
        return plain.replace(".", ",") if comma else plain

    writer.writerow(COLUMNS)
    for reading in one.readings:
        seen = reading.observed
        verdict = seen.verdict
        conditions = ", ".join(f"{name} {value}" for name, value in (seen.conditions or {}).items())
        writer.writerow(
            [
                as_text(one.session_id), as_text(one.started), as_text(one.unit), str(seen.number),
                as_text(clock(reading.at)), as_text(seen.title), as_text(seen.place or ""), as_text(seen.heard),
                as_text(read(seen, vocabulary)), number(seen.value), number(verdict.corrected if verdict else None),
                as_text(seen.unit or ""), number(seen.limit_low), number(seen.limit_high), as_text(reading.verdict),
                number(rounded(verdict.uncertainty) if verdict else None), as_text(conditions),
                as_text(plain_meter(seen.meter)),
                as_text(seen.limit_source), str(reading.repairs_before), as_text(reading.deleted),
            ]
        )  # fmt: skip
    return "\ufeff" + out.getvalue()


def as_text(value: str) -> str:
    """Text that no spreadsheet takes for a formula: an apostrophe before it, as OWASP's page on CSV injection says.

    Every other value stands as it is, numbers with a sign too. What it does is undone by taking one apostrophe away
    where behind one or more of them stands ``= + - @``, a tab or the end of a line.
    """
    return "'" + value if _FORMULA.match(value) and not _NUMBER.fullmatch(value) else value
