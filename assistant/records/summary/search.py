"""Words looked for in records: in the talk, in what was understood and decided, in notes and causes."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from assistant.messages import Heard
from assistant.numerals.vocabulary import Vocabulary
from assistant.phrasing.wording import without_thousands
from assistant.records.journal.lines import Entry
from assistant.records.journal.reader import Session
from assistant.records.summary.collect import summarize
from assistant.records.summary.decided import decided
from assistant.records.summary.labels import Titles, titles_of

_WORD = re.compile(r"\w+(?:[.'-]\w+)*")


@dataclass(frozen=True, slots=True)
class Hit:
    """One line in which all the words stand."""

    session_id: str
    at: float | None
    """Seconds since the session began, None for the summary's lines."""
    who: str
    """``you``, ``Leadsman``, ``=`` for what was decided, or what it is: ``cause``, ``unit``, ``work order``."""
    text: str
    """The line."""


def words_in(text: str) -> list[str]:
    """The words of a text as they are looked for: lower case, inner points and dashes kept."""
    return _WORD.findall(without_thousands(text.casefold()))


def search(session: Session, wanted: str, vocabulary: Vocabulary | None = None) -> Iterator[Hit]:
    """Every line of a record in which all wanted words stand, whole or as beginnings of words."""
    needles = words_in(wanted)
    if not needles:
        return
    name = session.header.session_id
    for at, who, text in _lines(session, vocabulary):
        there = words_in(text)
        if all(any(word.startswith(needle) for word in there) for needle in needles):
            yield Hit(name, at, who, text)


def _lines(session: Session, vocabulary: Vocabulary | None) -> Iterator[tuple[float | None, str, str]]:
    one = summarize(session)
    for label, texts in (
        ("unit", (one.unit,)),
        ("work order", (one.work_order,)),
        ("VIN", (one.vin,)),
        ("complaint", (one.complaint, one.complaint_title)),
        ("cause", one.causes),
    ):
        for text in filter(None, texts):
            yield None, label, text
    titles = titles_of(session.header)
    for line, entry in session.entries():
        for who, text in _said(entry, titles, vocabulary):
            yield line.mono, who, text


def _said(entry: Entry, titles: Titles, vocabulary: Vocabulary | None) -> Iterator[tuple[str, str]]:
    if isinstance(entry.fact, Heard) and entry.fact.hypotheses and not entry.talk:
        yield "you", entry.fact.hypotheses[0].words
    for one in entry.talk:
        yield "Leadsman" if one.who == "us" else "you", one.text
    for decision in entry.decisions:
        text = decided(decision, titles, vocabulary)
        if text:
            yield "=", text
    for text in entry.said:
        yield "Leadsman", text
