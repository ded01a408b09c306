"""A reason as words: for 'why?', for the screens and for the records, the same each time."""

from __future__ import annotations

from assistant.messages.reasons import Reason, ReasonSlot, Why
from assistant.phrasing.sentences import NO_REASON_GIVEN, REASONS


def reason_text(reason: Reason) -> str:
    """Why something was decided, in words."""
    slots = {name: _slot(value) for name, value in reason.slots.items()}
    if reason.why is Why.STEP_SKIPPED:
        slots["reason"] = given(slots["reason"])
    return REASONS[reason.why].format(**slots)


def given(reason: str) -> str:
    """A reason in the person's words, or that none was given."""
    return reason or NO_REASON_GIVEN


def _slot(value: ReasonSlot) -> str:
    return "; ".join(value) if isinstance(value, tuple) else str(value)
