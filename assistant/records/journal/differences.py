"""Where two lists of decisions part: the first decision, and in it the first field."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import fields, is_dataclass, replace
from decimal import Decimal
from typing import Any

from assistant.messages import Prompt, Reason, Verdict, Why
from assistant.messages.decisions import Decision
from assistant.phrasing.reasons import reason_text

_CLOSE = 1e-9
"""Floats that lie closer than this are the same: ties in the planner break there."""


def describe(first: Sequence[Decision], second: Sequence[Decision]) -> tuple[str, str] | None:
    """What differs first, as words for either side; None when nothing does."""
    for one, other in zip(first, second, strict=False):
        if type(one) is not type(other):
            return named(one), named(other)
        differing = _fields(one, other)
        if differing:
            return named(one, differing), named(other, differing)
    if len(first) > len(second):
        return named(first[len(second)]), "nothing more"
    if len(second) > len(first):
        return "nothing more", named(second[len(first)])
    return None


def named(decision: Decision, only: Sequence[str] = ()) -> str:
    """A decision as a line: what it is about, then the fields that matter."""
    about = [
        str(getattr(decision, name))
        for name in ("check", "fix", "access", "fact", "caution", "step", "phase", "prompt", "ending", "place")
        if getattr(decision, name, None) not in (None, "")
    ]
    head = f"{decision.kind.replace('_', ' ')}: {', '.join(about)}" if about else decision.kind.replace("_", " ")
    shown = [f"{name} {_plain(getattr(decision, name))}" for name in only if name not in about]
    return f"{head} ({'; '.join(shown)})" if shown else head


def _fields(one: Any, other: Any) -> list[str]:
    return [each.name for each in fields(one) if not _equal(getattr(one, each.name), getattr(other, each.name))]


def _told_alike(recorded: Verdict, today: Verdict) -> Verdict:
    """Today's verdict in the form of the recorded one: a record of format 1 or 2 has its words, and no more."""
    if recorded.basis is not None:
        return today
    return replace(today, reason=recorded.reason, remark=recorded.remark, basis=None, remarks=())


def _equal(one: Any, other: Any) -> bool:
    if isinstance(one, float) or isinstance(other, float):
        if not isinstance(one, int | float) or not isinstance(other, int | float):
            return False
        return math.isclose(one, other, rel_tol=_CLOSE, abs_tol=_CLOSE)
    if isinstance(one, Verdict) and isinstance(other, Verdict):
        return not _fields(_told_alike(other, one), _told_alike(one, other))
    if isinstance(one, Reason) and isinstance(other, Reason) and Why.WRITTEN in (one.why, other.why):
        return True  # an earlier version's words: they steer nothing, and today's may be others
    if isinstance(one, Reason) and isinstance(other, Reason) and one.why is other.why is Why.NOT_SEEN:
        return not (one.slots and other.slots) or one.slots == other.slots  # earlier versions did not list the checks
    if is_dataclass(one) and type(one) is type(other):
        return not _fields(one, other)
    if isinstance(one, Mapping) and isinstance(other, Mapping):
        return one.keys() == other.keys() and all(_equal(one[key], other[key]) for key in one)
    return bool(one == other)


def _plain(value: Any) -> str:
    if isinstance(value, Decimal):
        return f"{value:f}"
    if isinstance(value, Prompt):
        return str(value)
    if isinstance(value, Reason):
        return reason_text(value)
    if is_dataclass(value):
        grade = getattr(value, "grade", None)
        return str(grade) if grade is not None else type(value).__name__
    if isinstance(value, Mapping):
        return ", ".join(f"{name} {_plain(each)}" for name, each in value.items()) or "nothing"
    return f"{value:.4g}" if isinstance(value, float) else str(value)
