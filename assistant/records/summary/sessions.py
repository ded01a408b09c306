"""Reading records: one session, the list of all, and those that were left unfinished."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from assistant.errors import OperatorError
from assistant.records.journal.reader import Session, parse
from assistant.records.journal.writer import SUFFIX, journal_path
from assistant.records.summary.collect import summarize
from assistant.records.summary.summary import LEFT, SessionSummary

__all__ = ["LEFT", "Session", "Summary", "find_session", "list_sessions", "read_session", "unfinished"]


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


def read_session(path: Path) -> Session:
    """Read one journal, tolerant of damage; see ``Session.damage``.

    Raises:
        OperatorError: the file is not there or cannot be read.
    """
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        raise OperatorError(
            f"There is no session {path.stem} in {path.parent}.", remedy="'leadsman sessions' lists them."
        ) from None
    except OSError as error:
        raise OperatorError(f"Cannot read {path}: {(error.strerror or str(error)).rstrip('.')}.") from None
    return parse(data, path.stem)


def find_session(folder: Path, session_id: str) -> Session:
    """Read a session by its identity, by the start or the end of it where that is enough, or ``last``.

    Raises:
        OperatorError: there is none, or more than one.
    """
    if session_id == "last":
        names = _names(folder)
        if not names:
            raise OperatorError(f"There are no sessions in {folder}.")
        return read_session(folder / (names[-1] + SUFFIX))
    path = journal_path(folder, session_id)
    if not path.exists():
        near = [name for name in _names(folder) if name.startswith(session_id) or name.endswith(session_id)]
        if len(near) > 1:
            raise OperatorError(f"'{session_id}' fits {len(near)} sessions.", remedy=f"Say which: {', '.join(near)}.")
        if near:
            path = folder / (near[0] + SUFFIX)
    return read_session(path)


def list_sessions(folder: Path) -> list[Summary]:
    """Every session of a folder, newest first. A folder that is not there holds none.

    Raises:
        OperatorError: the folder or a file in it cannot be read.
    """
    return [_row(summarize(read_session(folder / (name + SUFFIX)))) for name in reversed(_names(folder))]


def unfinished(folder: Path, unit: str = "") -> list[Summary]:
    """Sessions that were left before their end, newest first; of one unit where its number is given."""
    wanted = _plain(unit)
    rows = [row for row in list_sessions(folder) if row.ending == LEFT and row.started]
    return [row for row in rows if not wanted or _plain(row.unit) == wanted]


def row_of(session: Session) -> Summary:
    """The row of one session in the list."""
    return _row(summarize(session))


def _row(one: SessionSummary) -> Summary:
    return Summary(
        one.session_id,
        one.started,
        one.unit,
        one.procedure,
        one.ending,
        "; ".join(one.causes),
        one.minutes,
        bool(one.damage),
        one.invented,
    )


def _names(folder: Path) -> list[str]:
    try:
        return sorted(path.stem for path in folder.glob("*" + SUFFIX) if path.is_file())
    except OSError as error:
        raise OperatorError(f"Cannot read {folder}: {(error.strerror or str(error)).rstrip('.')}.") from None


def _plain(unit: str) -> str:
    """A unit number without the marks that people leave out: case, spaces, dashes."""
    return re.sub(r"[\W_]+", "", unit).casefold()
