"""History at the two ends of a session: what is known when it starts, and the index brought up to date afterwards."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from typing import TYPE_CHECKING

from sqlalchemy.exc import SQLAlchemyError

from assistant.errors import OperatorError
from assistant.messages import FoundBefore
from assistant.messages.decisions import Ending
from assistant.records.index.found_before import found_in
from assistant.records.index.listing import newest
from assistant.records.index.place import Indexed
from assistant.records.index.queries import Visit, visits, work_on
from assistant.records.index.weights import Told, counted, said_day, told_by
from assistant.records.journal.reader import parse
from assistant.records.summary.summary import LEFT
from assistant.session.ledger import NOT_SURE, Ledger

if TYPE_CHECKING:
    from assistant.procedure.model import Procedure

PATIENCE = 150
"""The most journals that a session waits for; reading so many takes under a second, long ones too."""
LOOKED_AT = 3
"""Sessions of a unit that are read for what they knew of it; each takes some milliseconds."""
BEHIND = "Not every record is in the index yet; leadsman rebuild reads them."

UNREAD = "The earlier records of this unit cannot be read now; leadsman history with its number says why."
"""That command asks the same and prints the reason, which is none to be spoken; a rebuild would only mend it."""


def history_of(
    store: Indexed, unit: str, procedure: Procedure, now: datetime, *, invented: bool, but: str = ""
) -> Told:
    """What the records say about a unit; nothing when it is not known or the index is out of order.

    A session never waits for its history: trouble with the index is told, ``leadsman rebuild`` mends it.

    Args:
        store: where the records are.
        unit: number of the truck or trailer.
        procedure: the one that is being led.
        now: when its session began.
        invented: True for invented records, False for real ones.
        but: identity of a session that is left out: the one that asks.
    """
    if not unit.strip():
        return Told("")
    places: dict[str, tuple[str, ...]] = {}
    for place in procedure.places:
        places[place.group] = (*places.get(place.group, ()), place.name)
    try:
        index = store.index()
        behind = index.refresh(store, at_most=PATIENCE) > PATIENCE
        with index.connect() as connection:
            past = [one for one in visits(connection, unit, invented=invented) if one.id != but]
            done = [one for one in work_on(connection, unit, invented=invented) if one.session != but]
    except (OperatorError, SQLAlchemyError, OSError):
        return Told(UNREAD)
    told = told_by(
        past,
        done,
        now.date(),
        procedure.name,
        {fault.name: places.get(fault.each, ()) if fault.each else (None,) for fault in procedure.faults},
    )
    waits = next((one for one in past if one.procedure == procedure.name and one.ending != LEFT), None)
    if waits is not None and waits.ending == Ending.WAITING:
        told = replace(told, found=_found(store, waits, procedure, now.date()))
    said = counted(told.weights, {fault.name: fault.title for fault in procedure.faults})
    facts, seen = _known(store, [one.id for one in past[:LOOKED_AT]]) if past else ({}, "")
    when = said_day(seen, now.date()) if seen else ""
    return replace(told, counted=f"{said} {BEHIND}".strip() if behind else said, facts=facts, seen=when)


def _known(store: Indexed, sessions: list[str]) -> tuple[dict[str, str], str]:
    """Facts that sessions knew, the newest first, and the day of the newest that knew any; '' for none."""
    known: dict[str, str] = {}
    day = ""
    for session_id in sessions:
        try:
            session = parse(store.data(session_id), session_id, light=True)
        except OperatorError:
            continue
        ledger = Ledger()
        for _, entry in session.entries():
            for decision in entry.decisions:
                ledger.take(decision)
        told = {name: value for name, value in ledger.known.items() if value != NOT_SURE}
        if told and not day:
            day = session.header.started[:10]
        known = {**told, **known}
    return known, day


def _found(store: Indexed, visit: Visit, procedure: Procedure, today: date) -> FoundBefore | None:
    """What a session found and left to be mended; None where its record cannot be read, or today's file differs."""
    try:
        session = parse(store.data(visit.id), visit.id)
    except OperatorError:
        return None
    return found_in(session, procedure, today)


def next_ordinal(store: Indexed) -> int:
    """The number of a session that is begun now; 0 where it cannot be told."""
    try:
        return newest(store)[1] + 1
    except (OperatorError, SQLAlchemyError, OSError):
        return 0


def index_session(store: Indexed) -> None:
    """Bring a session that is over into the index; trouble is passed over, since the index can be made again.

    The index is compared with the records here, so that the next session need not do it while somebody waits.
    """
    try:
        store.index().refresh(store, at_most=PATIENCE)  # the newest come first, and this is one of them
    except (OperatorError, SQLAlchemyError, OSError):
        return
