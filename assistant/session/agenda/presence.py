"""Whether the fault is there: the complaint, or something that reads wrong, is seen before a repair."""

from __future__ import annotations

from assistant.messages.decisions import FixDone
from assistant.procedure.model import Procedure
from assistant.session.agenda.outcomes import is_fine, outcome_of
from assistant.session.context import Context
from assistant.session.state import State


def was_seen(context: Context, state: State) -> bool:
    """True once the complaint or a reading that is not good was seen, or a fact says that it is there now.

    A code that is read tells only that it was there once: whether one is active is a fact of its own.
    """
    if any(state.facts.get(fact.name) in fact.complaint for fact in context.procedure.facts if fact.complaint):
        return True
    looks: dict[tuple[str, str | None], list[bool]] = {}
    for seen in state.observations:
        check = context.check(seen.check)
        wrong = (not is_fine(context, seen) and not check.reads_codes) or outcome_of(seen) in check.complaint
        before = looks.setdefault((seen.check, seen.place), [])
        # what comes and goes may be steady at the next look: there half of the looks count, else the last one
        looks[seen.check, seen.place] = [*before, wrong] if check.repeatable else [wrong]
    return any(2 * sum(shown) >= len(shown) for shown in looks.values())


def must_be_seen(procedure: Procedure) -> bool:
    """True for a procedure that says by what its complaint is seen."""
    return any(fact.complaint for fact in procedure.facts) or any(check.complaint for check in procedure.checks)


def not_at_rest(context: Context, state: State) -> bool:
    """True where an answer says that it comes every time, but not on a standing unit."""
    return any(state.facts.get(fact.name) in fact.not_at_rest for fact in context.procedure.facts if fact.not_at_rest)


def absent(context: Context, state: State) -> bool:
    """True when nothing was repaired, nothing was seen, and something was read."""
    return bool(state.observations) and unseen(context, state)


def unseen(context: Context, state: State) -> bool:
    """True while nothing was repaired and nothing was seen that needs a repair."""
    repaired = any(isinstance(entry, FixDone) for entry in state.work)
    return not repaired and not was_seen(context, state)
