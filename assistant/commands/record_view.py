"""One record as plain data for the page: what the transcript says, laid out by the screen and not by columns."""

from __future__ import annotations

from typing import Any

from assistant.log.collect import summarize
from assistant.log.entries import Attempt, Entry, Line
from assistant.log.layout import clock, graded, limits, minutes, shown, under, wall
from assistant.log.session import Session
from assistant.log.summary import Reading, SessionSummary, Timed, at_place
from assistant.messages import Grade, Heard
from assistant.words.lexicon import Lexicon

_MARKS = {Grade.GOOD: "good", Grade.BAD_LOW: "bad", Grade.BAD_HIGH: "bad", Grade.TOO_CLOSE: "close"}


def record_view(session: Session, lexicon: Lexicon) -> dict[str, Any]:
    """Head, readings and talk of a record."""
    one = summarize(session)
    return {
        "id": one.session_id,
        "title": one.title or "Procedure not known",
        "unit": one.unit,
        "began": wall(one.started),
        "ending": one.ending,
        "invented": one.invented,
        "minutes": minutes(one.minutes),
        "rows": head_rows(one),
        "readings": [_reading(reading, lexicon) for reading in one.readings],
        "talk": [turn for line in session.lines for turn in _turns(line)],
        "damage": list(one.damage),
    }


def head_rows(one: SessionSummary) -> list[dict[str, Any]]:
    """What a session came to, as labels with their texts; those without a text are left out."""
    confirmed = {repair.cause: repair.confirmed for repair in one.repairs if repair.confirmed}
    rows: list[tuple[str, list[str]]] = [
        ("Complaint", [one.complaint]),
        ("Cause", [f"{cause} (repair {confirmed[cause]})" for cause in one.causes] or ["not confirmed"]),
        ("Correction", list(one.correction) or ["none"]),
        ("Parts", list(one.parts)),
        ("Ending", [f"{one.ending}: {one.because}" if one.because else one.ending]),
        ("Not proven", list(one.not_proven)),
        ("Minutes", [minutes(one.minutes)]),
        ("Meter", [one.meter]),
        ("Air", [f"{one.air_fahrenheit} degrees Fahrenheit" if one.air_fahrenheit else ""]),
        ("Heard with", [one.model]),
        ("Facts", [f"{fact.what}: {fact.detail}" for fact in one.facts]),
        ("Cautions", [", ".join(caution.what for caution in one.cautions)]),
        ("Skipped", [_with_detail(skip) for skip in one.skipped]),
        ("Declined", [_with_detail(item) for item in one.declined]),
        ("Notes", [note.what for note in one.notes]),
    ]
    return [{"label": label, "texts": texts} for label, texts in rows if any(texts)]


def _with_detail(one: Timed) -> str:
    return f"{one.what}: {one.detail}" if one.detail else one.what


def _reading(reading: Reading, lexicon: Lexicon) -> dict[str, Any]:
    one = reading.observed
    details = under(one, lexicon)
    if reading.withdrawn:
        details.insert(0, f"taken back: {reading.withdrawn}")
    if one.proof:
        details.insert(0, "measured again after a repair")
    return {
        "number": one.number,
        "at": clock(reading.at),
        "title": at_place(one.title, one.place),
        "text": shown(one, lexicon),
        "limits": limits(one, lexicon),
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
