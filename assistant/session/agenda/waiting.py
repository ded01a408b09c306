"""A fault that was found and whose repair waits: for a part, or for a person."""

from __future__ import annotations

from assistant.messages import Reason, Why
from assistant.messages.decisions import FixChosen, FixDeclined, FixDone
from assistant.phrasing.reasons import given
from assistant.phrasing.wording import at_place
from assistant.session.context import Context
from assistant.session.results.waits import is_wait
from assistant.session.state import State


def waiting(context: Context, state: State) -> Reason | None:
    """What a repair that a check had pointed to waits for, None when none does; the last one that was put off."""
    found: Reason | None = None
    proposed: dict[tuple[str, str | None], FixChosen] = dict(state.ledger.proposed)
    for entry in state.since_proof():
        if isinstance(entry, FixDone):
            found = None
        elif isinstance(entry, FixDeclined) and is_wait(entry.reason):
            chosen = proposed.get((entry.fix, entry.place))
            if chosen is not None and chosen.condemned:
                work = at_place(entry.fix, entry.place)
                title = next(fault.title for fault in context.procedure.faults if fault.name == chosen.fault)
                suspect = at_place(title[:1].upper() + title[1:], chosen.place)
                found = Reason(Why.WAITS, {"work": work, "suspect": suspect, "reason": given(entry.reason)})
    return found
