"""What an observation says about the unit."""

from __future__ import annotations

from assistant.diagnosis.likelihood import counted_as
from assistant.messages.decisions import Observed
from assistant.session.context import Context


def outcome_of(observed: Observed) -> str:
    """The likeliest outcome of an observation."""
    return max(observed.weights, key=lambda name: observed.weights[name])


def is_fine(context: Context, observed: Observed) -> bool:
    """True when an observation shows what a good unit would."""
    check = context.check(observed.check)
    return counted_as(check, outcome_of(observed)) in {*check.sound, "good"}
