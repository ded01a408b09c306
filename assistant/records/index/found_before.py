"""What a session found and left to be mended, from its record: the next session on the unit begins there."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

from assistant.messages import FoundBefore, Why
from assistant.messages.decisions import FixChosen, Observed
from assistant.phrasing.wording import at_place, first_up, read
from assistant.records.journal.reader import Session
from assistant.records.summary.labels import titles_of
from assistant.session.ledger import Ledger
from assistant.session.results.results import results_of
from assistant.session.results.signs import Shows
from assistant.session.results.waits import is_wait

if TYPE_CHECKING:
    from assistant.procedure.model import Procedure

SAME_YEAR = 330
"""Days after which a day is named with its year."""


def found_in(session: Session, procedure: Procedure, today: date) -> FoundBefore | None:
    """The repair that a session put off for want of a part or a person, the last one where there are several.

    None where there is none, or where today's procedure has no such fault, fix or place.
    """
    header, titles, ledger = session.header, titles_of(session.header), Ledger()
    for _, entry in session.entries():
        for decision in entry.decisions:
            ledger.take(decision)
    results = results_of(ledger, titles.rules)
    for entry in reversed(results.declined):
        put_off = entry.decision
        chosen = next(
            (one for one in results.suspected if (one.fix, one.place) == (put_off.fix, put_off.place)), None
        )
        if chosen is None or not is_wait(put_off.reason) or not _stands_in(procedure, chosen):
            continue
        known = ledger.found or header.found_before
        if known is not None and chosen.because.why is Why.FOUND_BEFORE:
            return replace(known, session=header.session_id, reason=put_off.reason)
        bad = [seen for seen in results.standing if titles.rules.shows(seen) is Shows.BAD]
        return FoundBefore(
            session=header.session_id,
            day=day_in_words(header.started, today),
            fault=chosen.fault,
            place=chosen.place,
            fix=chosen.fix,
            suspect=first_up(at_place(titles.fault(chosen.fault), chosen.place)),
            reason=put_off.reason,
            readings=tuple(_reading(seen, header.started[:10]) for seen in bad),
        )
    return None


def day_in_words(started: str, today: date) -> str:
    """``March 3``, or ``March 3, 2025`` where that is long ago."""
    try:
        when = date.fromisoformat(started[:10])
    except ValueError:
        return "an unknown day"
    return f"{when:%B} {when.day}" + (f", {when.year}" if abs((today - when).days) >= SAME_YEAR else "")


def _reading(seen: Observed, day: str) -> str:
    return f"{at_place(seen.title, seen.place)}: {read(seen)} ({day})"


def _stands_in(procedure: Procedure, chosen: FixChosen) -> bool:
    fault = next((one for one in procedure.faults if one.name == chosen.fault), None)
    fix = next((one for one in procedure.fixes if one.name == chosen.fix), None)
    if fault is None or fix is None:
        return False
    places = {place.name for place in procedure.places if place.group == fix.each}
    return chosen.place in places if fix.each is not None else chosen.place is None
