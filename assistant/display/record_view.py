"""One record as plain data for the page: what the transcript says, laid out by the screen and not by columns."""

from __future__ import annotations

from typing import Any

from assistant.messages import Grade, Heard
from assistant.numerals.vocabulary import Vocabulary
from assistant.records.journal.format import Attempt, Entry, Line
from assistant.records.journal.reader import Session
from assistant.records.report.transcript import head_rows
from assistant.records.summary.collect import summarize
from assistant.records.summary.layout import clock, graded, limits, minutes, shown, under, wall
from assistant.records.summary.positions import PositionsTable, positions_table
from assistant.records.summary.summary import Reading, at_place

_CELLS = {"good": "", "bad": "bad", "close": "close", "apart": "close"}
_MARKS = {Grade.GOOD: "good", Grade.BAD_LOW: "bad", Grade.BAD_HIGH: "bad", Grade.TOO_CLOSE: "close"}


def record_view(session: Session, vocabulary: Vocabulary) -> dict[str, Any]:
    """Head, readings and talk of a record."""
    one = summarize(session)
    table = positions_table(one, vocabulary)
    return {
        "id": one.session_id,
        "title": one.title or "Procedure not known",
        "unit": one.unit,
        "began": wall(one.started),
        "ending": one.ending,
        "invented": one.invented,
        "minutes": minutes(one.minutes),
        "rows": [{"label": label, "texts": texts} for label, texts in head_rows(one, table) if label != "Damage"],
        "positions": _positions(table),
        "readings": [_reading(reading, vocabulary) for reading in one.readings],
        "talk": [turn for line in session.lines for turn in _turns(line)],
        "damage": list(one.damage),
    }


def _positions(table: PositionsTable | None) -> dict[str, Any] | None:
    if table is None:
        return None
    return {
        "heads": ["position", *table.heads],
        "rows": [
            {"place": place, "cells": [{"text": cell.signed, "mark": _CELLS.get(cell.mark, "")} for cell in cells]}
            for place, cells in table.rows
        ],
        "notes": [
            *(f"{title}: {cell.signed}" for title, cell in table.whole),
            *([table.legend] if table.legend else []),
            *table.remarks,
        ],
    }


def _reading(reading: Reading, vocabulary: Vocabulary) -> dict[str, Any]:
    one = reading.observed
    details = under(one, vocabulary)
    if reading.withdrawn:
        details.insert(0, f"taken back: {reading.withdrawn}")
    if one.proof:
        details.insert(0, "measured again after a repair")
    return {
        "number": one.number,
        "at": clock(reading.at),
        "title": at_place(one.title, one.place),
        "text": shown(one, vocabulary),
        "limits": limits(one, vocabulary),
        "verdict": "withdrawn" if reading.withdrawn else graded(one),
        "grade": "" if reading.withdrawn or one.verdict is None else _MARKS[one.verdict.grade],
        "details": details,
    }


def _turns(line: Line) -> list[dict[str, str]]:
    time = clock(line.mono)
    if isinstance(line.body, Attempt):
        return [{"at": time, "who": "mark", "text": f"taken up again {wall(line.wall)}"}]
    if not isinstance(line.body, Entry):
        return []
    turns = []
    fact = line.body.fact
    if isinstance(fact, Heard) and fact.hypotheses:
        turns.append({"at": time, "who": "you", "text": fact.hypotheses[0].words})
    return turns + [{"at": time, "who": "us", "text": said} for said in line.body.said if said]
