"""A session as one row of the list of sessions."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.records.journal.reader import Session
from assistant.records.summary.collect import summarize
from assistant.records.summary.summary import LEFT

__all__ = ["LEFT", "Summary", "row_of"]


@dataclass(frozen=True, slots=True)
class Summary:
    """One row of the list of sessions."""

    id: str
    started: str
    """Wall time, ISO 8601; '' when the header is lost."""
    unit: str
    procedure: str
    ending: str
    """One of the endings, or ``left``."""
    cause: str
    """The confirmed cause, '' when there is none."""
    minutes: float
    damaged: bool
    """True when a line is damaged, missing or torn."""
    invented: bool = False
    """True for a demo."""


def row_of(session: Session) -> Summary:
    """The row of one session in the list."""
    one = summarize(session)
    return Summary(
        one.session_id,
        one.started,
        one.unit,
        one.procedure,
        one.ending,
        one.causes_listed,
        one.worked,
        bool(one.damage),
        one.invented,
    )
