"""What an observation says."""

from __future__ import annotations

from assistant.engine.decisions import Observed
from assistant.engine.likelihood import counted_as
from assistant.engine.setting import Setting


def outcome_of(observed: Observed) -> str:
    """The likeliest outcome of an observation."""
    return max(observed.weights, key=lambda name: observed.weights[name])


def is_fine(setting: Setting, observed: Observed) -> bool:
    """True when an observation shows what a sound unit would."""
    check = setting.check(observed.check)
    return counted_as(check, outcome_of(observed)) in {check.otherwise, "good"}
