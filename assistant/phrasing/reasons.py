"""A reason as words: for 'why?', for the screens and for the records, the same each time."""

from __future__ import annotations

from collections.abc import Mapping

from assistant.messages.reasons import Reason, ReasonSlot, Why
from assistant.phrasing.sentences import (
    MANY_FAULTS,
    MINUTES,
    MINUTES_ONE,
    NO_REASON_GIVEN,
    NOTHING_TO_OPEN,
    OPEN_FIRST,
    OPEN_FIRST_AT,
    OR,
    REASONS,
)


def reason_text(reason: Reason) -> str:
    """Why something was decided, in words."""
    slots = {name: _slot(value) for name, value in reason.slots.items()}
    if reason.why is Why.STEP_SKIPPED:
        slots["reason"] = given(slots["reason"])
    slots.update(_planned(reason.slots))
    text = REASONS[reason.why].format(**slots)
    return text[:1].upper() + text[1:] if reason.why is Why.CONDEMNED else text


def given(reason: str) -> str:
    """A reason in the person's words, or that none was given."""
    return reason or NO_REASON_GIVEN


def _slot(value: ReasonSlot) -> str:
    return "; ".join(value) if isinstance(value, tuple) else str(value)


def _planned(slots: Mapping[str, ReasonSlot]) -> dict[str, str]:
    """Slots of the planner's reasons that are said otherwise than they are kept."""
    said = {}
    if "minutes" in slots:
        said["minutes"] = MINUTES_ONE if slots["minutes"] == 1 else MINUTES.format(minutes=slots["minutes"])
        said["effort"] = f"{said['minutes']} {_behind(slots)}"
    if "suspects" in slots:
        suspects = slots["suspects"]
        named = suspects if isinstance(suspects, tuple) else (str(suspects),)
        said["suspects"] = OR.join(named) if named else MANY_FAULTS
    return said


def _behind(slots: Mapping[str, ReasonSlot]) -> str:
    if not slots.get("access"):
        return NOTHING_TO_OPEN
    return (OPEN_FIRST_AT if slots.get("place") else OPEN_FIRST).format(**slots)
