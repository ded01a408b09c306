"""What an observation says about the unit."""

from __future__ import annotations

from assistant.diagnosis.likelihood import counted_as
from assistant.messages.decisions import Observed
from assistant.session.context import Context
from assistant.session.state import State


def outcome_of(observed: Observed) -> str:
    """The likeliest outcome of an observation."""
    return max(observed.weights, key=lambda name: observed.weights[name])


def is_fine(context: Context, observed: Observed) -> bool:
    """True when an observation shows what a good unit would."""
    check = context.check(observed.check)
    return counted_as(check, outcome_of(observed)) in {*check.sound, "good"}


def bad_tool(context: Context, state: State) -> tuple[Observed, str] | None:
    """The last observation, where it shows that a tool and not the unit is at fault, and what to do about it."""
    last = state.work[-1] if state.work else None
    if not isinstance(last, Observed):
        return None
    what = context.check(last.check).tools.get(outcome_of(last))
    return None if what is None else (last, what)
