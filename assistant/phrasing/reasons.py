"""A reason as words: for 'why?', for the screens and for the records, the same each time."""

from __future__ import annotations

import re
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

_NO = re.compile(r"^no[,.;:] +", re.IGNORECASE)
"""An answer before a reason ('no, waiting for the part'); 'no part in stock' is none."""


def reason_text(reason: Reason) -> str:
    """Why something was decided, in words."""
    slots = {name: _slot(value) for name, value in reason.slots.items()}
    if reason.why is Why.STEP_SKIPPED:
        slots["reason"] = given(slots["reason"])
    slots.update(_planned(reason.slots))
    text = REASONS[reason.why].format(**slots)
    return text[:1].upper() + text[1:] if reason.why is Why.CONDEMNED else text


def what_was_found(because: Reason) -> str:
    """What a repair is chosen for: the suspect that readings point to, what somebody told, else the reason."""
    return str(because.slots.get("suspect") or because.slots.get("words") or reason_text(because))


def items_in(reason: Reason) -> tuple[str, ...]:
    """What a reason lists in its slot ``items``, each by itself; () where it lists nothing."""
    items = reason.slots.get("items", ())
    return items if isinstance(items, tuple) else (str(items),)


def deleted(reason: Reason) -> str:
    """That a reading does not count any more, and why where there is more to say than that somebody said so."""
    return deleted_because(reason_text(reason))


def deleted_because(text: str) -> str:
    """The same of a reason in words."""
    plain = REASONS[Why.SCRATCHED]
    return plain if text in ("", plain) else f"{plain}: {text}"


def given(reason: str) -> str:
    """A reason in the person's words, without the 'no' that came before it, or that none was given."""
    return _NO.sub("", reason) or NO_REASON_GIVEN


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
