"""The foreman's board: what of the shop's sessions is open or waits, on which unit, where, since when, for what."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum

from assistant.messages.decisions import Ending, Phase
from assistant.phrasing.wording import PHASES
from assistant.records.index.schema import plain_unit
from assistant.records.journal.reader import Session
from assistant.records.summary.clocks import lasting
from assistant.records.summary.collect import summarize
from assistant.records.summary.sessions import Summary
from assistant.records.summary.summary import LEFT
from assistant.session.ledger import Ledger

_WAITS = re.compile(r"^(?:(?:we are|i am|i'm|still) )?waiting (?:for|on) ", re.IGNORECASE)
"""Begins a reason, and is said by the board itself."""
LONG_AGO = timedelta(days=30)
"""A session that was left so long ago is only in the records: nobody takes it up where it was. Our own choice."""


class Stand(StrEnum):
    """How a session on the board stands."""

    OPEN = "open"
    ELSEWHERE = "elsewhere"
    """Led by another process, such as a terminal: it can be read here, and not answered."""
    WAITING = "waiting"
    LEFT = "left"


@dataclass(frozen=True, slots=True)
class BoardRow:
    """One session on the board."""

    id: str
    unit: str
    procedure: str
    """Title of the procedure."""
    stand: Stand
    where: str
    """Where it stands, such as ``looking for the fault: sensor resistance, left rear``."""
    waits_for: str
    """For what, or for whom."""
    minutes: float
    """Minutes in the session so far, by its own clock."""
    last: str
    """Wall time of the last entry, ISO 8601."""
    technician: str = ""
    """Who leads it, '' when nobody said. It lies outside the record."""
    since: str = ""
    """How long ago that was, in words."""


def standing_of(session: Session, row: Summary) -> BoardRow | None:
    """How a session stands by its record, None when nothing of it is open or waits.

    Args:
        session: the record.
        row: the same as a row of the list of sessions.
    """
    if row.invented or row.ending not in (LEFT, Ending.WAITING):
        return None
    one = summarize(session)
    ledger = Ledger()
    for _, entry in session.entries():
        for decision in entry.decisions:
            ledger.take(decision)
    if one.ending == LEFT:
        stand, waits_for = Stand.LEFT, "somebody to take it up"
        where = PHASES.get(ledger.phase, "") if ledger.entered else ""
        if one.path and ledger.phase in (Phase.FINDING, Phase.SURVEYING):
            where += f": {one.path[-1].what}"
        elif one.suspected and ledger.phase is Phase.REPAIRING:
            where += f": {one.suspected[-1]}"
    else:
        stand = Stand.WAITING
        where = "found: " + "; ".join(one.suspected) if one.suspected else "found"
        parts = ", ".join(dict.fromkeys(each.part for each in one.needed))
        where += f" (needs: {parts})" if parts else ""
        waits_for = _WAITS.sub("", one.declined[-1].detail) if one.declined else one.because
    last = session.lines[-1].wall if session.lines else one.started
    return BoardRow(one.session_id, one.unit, one.title, stand, where, waits_for, one.minutes, last)


def board_of(rows: Iterable[tuple[str, str, BoardRow | None]], now: datetime) -> list[BoardRow]:
    """What stands on the board, of all sessions from the newest to the oldest.

    A later session on the same unit with the same procedure takes an older one off.

    Args:
        rows: unit and procedure of each session, and how it stands.
        now: wall time with its offset.
    """
    found, later = [], set[tuple[str, str]]()
    for unit, procedure, row in rows:
        key = (plain_unit(unit), procedure)
        if row is not None and key not in later:
            ago = _since(row.last, now)
            if row.stand is not Stand.LEFT or (ago is not None and ago < LONG_AGO):
                words = "" if ago is None else lasting(max(0.0, ago.total_seconds()))
                found.append(replace(row, since=words))
        if key[0]:
            later.add(key)
    return found


def _since(wall: str, now: datetime) -> timedelta | None:
    try:
        return now - datetime.fromisoformat(wall)
    except (ValueError, TypeError):
        return None
