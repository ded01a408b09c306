"""A record as data: the whole summary as JSON values, and its readings as a table for a spreadsheet."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from decimal import Decimal
from enum import Enum
from typing import Any

from assistant.numerals.vocabulary import Vocabulary
from assistant.phrasing.verdicts import graded
from assistant.phrasing.wording import clock, read
from assistant.records.report.path import Point
from assistant.records.summary.summary import SessionSummary
from assistant.verdict.uncertainty import rounded

_NUMBER = re.compile(r"-?\d+(\.\d+)?")
_DANGEROUS = ("=", "+", "-", "@", "\t", "\r", "\n", "\N{FULLWIDTH EQUALS SIGN}", "\N{FULLWIDTH PLUS SIGN}")


def as_json(one: SessionSummary, path: tuple[Point, ...] = (), technician: str = "") -> dict[str, Any]:
    """Everything that the report says. Decimals are strings in plain notation, times seconds, floats as they are."""
    plain: dict[str, Any] = _plain(one)
    plain |= {
        "causes": list(one.causes), "correction": list(one.correction), "parts": list(one.parts),
        "technician": technician,
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
    if isinstance(value, tuple | list | frozenset):
        return [_plain(each) for each in value]
    return value


COLUMNS = (
    "session", "began", "unit number", "number", "time", "check", "place", "heard", "read", "value", "judged as",
    "unit", "low limit", "high limit", "verdict", "uncertainty", "conditions", "meter", "limit source",
    "measured after repairs", "taken back",
)  # fmt: skip


def as_csv(one: SessionSummary, vocabulary: Vocabulary | None = None, *, comma: bool = False) -> str:
    """The readings as a table that a spreadsheet opens without repair.

    It begins with a byte order mark, so that the text is taken for UTF-8. Numbers have a plain decimal point and no
    thousands sign. Text that a spreadsheet would take for a number (a unit number with leading zeros) has a tab
    before it; text that it would take for a formula has an apostrophe. Lines end as RFC 4180 says.

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
                as_text(seen.unit or ""), number(seen.limit_low), number(seen.limit_high), as_text(graded(seen)),
                number(rounded(verdict.uncertainty) if verdict else None), as_text(conditions), as_text(seen.meter),
                as_text(seen.limit_source), str(reading.repairs_before), as_text(reading.withdrawn),
            ]
        )  # fmt: skip
    return "\ufeff" + out.getvalue()


def as_text(value: str) -> str:
    """Text that stays text in a spreadsheet."""
    if value.lstrip(" \N{NO-BREAK SPACE}").startswith(_DANGEROUS):
        return "'" + value
    if _NUMBER.fullmatch(value.strip()) or re.fullmatch(r"\s*\d[\d.,:/eE+-]*\s*", value):
        return "\t" + value
    return value
