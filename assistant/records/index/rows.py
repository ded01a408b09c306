"""One record to the rows of the index."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import chain
from typing import Any

from assistant.phrasing.wording import read, without_thousands
from assistant.records.index.schema import pieces, plain_unit
from assistant.records.journal.reader import Session
from assistant.records.summary.collect import summarize
from assistant.records.summary.summary import LEFT, Reading, SessionSummary

Row = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Rows:
    """What one session is in the index, without the number that the database gives it."""

    session: Row
    readings: list[Row]
    repairs: list[Row]
    pictures: list[Row]
    words: str
    """Every word of the talk once, divided by spaces."""


def rows_of(session: Session, size: int, technician: str = "", digest: str = "") -> Rows:
    """The rows of one record.

    Args:
        session: the record as read.
        size: bytes of its journal, by which a change shows.
        technician: from the side file.
        digest: of the journal and of what makes rows of it, see ``reading.digest_of``.
    """
    one = summarize(session)
    day = one.started[:10]
    return Rows(
        {
            "id": one.session_id, "started": one.started, "day": day, "unit": one.unit,
            "unit_plain": plain_unit(one.unit), "procedure": one.procedure, "ending": one.ending,
            "causes": one.causes_listed, "minutes": one.worked, "damaged": bool(one.damage),
            "invented": one.invented, "technician": technician, "size": size, "seal": one.seal,
            "ordinal": session.header.ordinal, "work_order": one.work_order,
            "complaint": one.complaint, "digest": digest,
        },
        [_reading(number, reading) for number, reading in enumerate(one.readings, 1)],
        [
            {
                "number": number, "at": repair.at, "fix": repair.fix, "title": repair.title,
                "place": repair.place or "", "part": repair.part or "", "fault": repair.fault_name,
                "cause": repair.cause, "confirmed": "" if one.ending == LEFT else repair.confirmed, "day": day,
                "unit_plain": plain_unit(one.unit), "invented": one.invented,
                "fault_title": one.fault_titles.get(repair.fault_name, repair.fault_name),
            }
            for number, repair in enumerate(one.repairs, 1)
        ],
        [
            {
                "number": number, "at": photo.at, "name": photo.name, "sha256": photo.sha256, "shows": photo.of,
                "check": photo.check, "place": photo.place, "reading": photo.observation, "erased": photo.erased,
            }
            for number, photo in enumerate(one.photos, 1)
        ],
        _words(session, one),
    )  # fmt: skip


def _reading(number: int, reading: Reading) -> Row:
    """By its place in the record: a journal that was tampered with may hold an observation's number twice."""
    one = reading.observed
    verdict = one.verdict
    return {
        "number": number, "at": reading.at, "check": one.check, "place": one.place or "", "title": one.title,
        "value": "" if one.value is None else f"{one.value:f}", "unit": one.unit or "",
        "low": "" if one.limit_low is None else f"{one.limit_low:f}",
        "high": "" if one.limit_high is None else f"{one.limit_high:f}",
        "uncertainty": f"{verdict.uncertainty:f}" if verdict else "", "shown": read(one, None),
        "grade": str(verdict.grade) if verdict else "", "withdrawn": bool(reading.withdrawn),
        "repairs_before": reading.repairs_before,
    }  # fmt: skip


def _words(session: Session, one: SessionSummary) -> str:
    """A superset of what ``records.summary.search`` looks through, each word once."""
    texts = [
        one.unit,
        one.complaint,
        one.complaint_title,
        one.ended,
        one.work_order,
        one.vin,
        *one.causes,
        *(f"{repair.title} {repair.part}" for repair in one.repairs),
        *(test.title for test in one.tests),
    ]
    for _, entry in session.entries():
        if entry.fact.kind == "heard" and entry.fact.hypotheses:
            texts.append(entry.fact.hypotheses[0].words)
        texts += entry.said
        texts += [one.text for one in entry.talk]
    texts += [text for each in (one.notes, one.skipped, one.declined, one.facts, one.opened, one.path, one.proof)
              for timed in each for text in (timed.what, timed.detail)]  # fmt: skip
    texts += [f"{reading.observed.title} {reading.observed.heard} {reading.withdrawn}" for reading in one.readings]
    return " ".join(dict.fromkeys(chain.from_iterable(map(_pieces, dict.fromkeys(texts)))))


@lru_cache(maxsize=8192)
def _pieces(text: str) -> tuple[str, ...]:
    """Each word of a sentence once; the same sentences come again and again, in one record and in all."""
    return tuple(dict.fromkeys(pieces(without_thousands(text))))
