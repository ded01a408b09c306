"""Words and columns shared by the texts made from a record. Plain text, at most 100 columns."""

from __future__ import annotations

import textwrap
from datetime import datetime
from decimal import Decimal

from assistant.messages import Grade
from assistant.messages.decisions import Observed
from assistant.numerals.vocabulary import Vocabulary
from assistant.phrasing.verdicts import remark_of
from assistant.verdict.uncertainty import rounded

WIDTH = 100
"""Columns of every text."""
_DISPLAYS = {"over_range": "over range", "unsteady": "unsteady", "range": "unsteady", "nothing": "blank display"}
_GRADES = {
    Grade.GOOD: "good",
    Grade.BAD_LOW: "too low",
    Grade.BAD_HIGH: "too high",
    Grade.TOO_CLOSE: "too close to call",
}


def clock(seconds: float) -> str:
    """Minutes and seconds since the session began, such as ``03:12``; minutes go on past an hour."""
    whole = int(seconds)
    return f"{whole // 60:02d}:{whole % 60:02d}"


def wall(text: str) -> str:
    """Wall time in words: ``January 31, 2026, 14:23 (UTC-05:00)``; the text itself when it is none."""
    try:
        when = datetime.fromisoformat(text)
    except ValueError:
        return text or "not known"
    offset = when.strftime("%z")
    zone = f" (UTC{offset[:3]}:{offset[3:5]})" if offset else ""
    return f"{when:%B} {when.day}, {when:%Y, %H:%M}{zone}"


def minutes(value: float) -> str:
    """Minutes for a person: ``12``, and ``under 1`` for what is not nothing."""
    return "under 1" if 0 < value < 1 else f"{value:.0f}"


def first_up(text: str) -> str:
    """The text with a capital first letter."""
    return text[:1].upper() + text[1:]


def block(head: str, text: str, indent: int | None = None) -> list[str]:
    """Wrap a text behind a head; the lines that follow stand under its beginning."""
    margin = " " * (len(head) if indent is None else indent)
    lines: list[str] = []
    for part in text.splitlines() or [""]:
        lines += textwrap.wrap(
            part,
            WIDTH,
            initial_indent=margin if lines else head,
            subsequent_indent=margin,
            break_on_hyphens=False,
        )
    return lines or [head.rstrip()]


def unit_words(unit: str | None, value: Decimal | None, vocabulary: Vocabulary | None) -> str:
    """A unit's name behind a value: as it is said, or as it is written where saying it spells letters."""
    if not unit:
        return ""
    known = vocabulary.unit(unit) if vocabulary else None
    if known is None:
        return unit
    said = known.singular if value is not None and abs(value) == 1 else known.plural
    return unit if any(len(word) == 1 for word in said.split()) else said


def amount(value: Decimal, unit: str | None, vocabulary: Vocabulary | None) -> str:
    """A value with its unit, in plain notation."""
    return f"{value:f} {unit_words(unit, value, vocabulary)}".strip()


def shown(observed: Observed, vocabulary: Vocabulary | None) -> str:
    """What was read: a value, a display without one, or a choice."""
    if observed.choice is not None:
        return observed.choice
    ends = observed.low_end, observed.high_end
    if observed.display:
        name = _DISPLAYS.get(observed.display, observed.display)
        if ends[0] is not None and ends[1] is not None:
            return f"{name}, {ends[0]:f} to {amount(ends[1], observed.unit, vocabulary)}"
        return name
    if observed.value is None:
        return "no value"
    about = "about " if observed.approximate else ""
    return about + amount(observed.value, observed.unit, vocabulary)


def limits(observed: Observed, vocabulary: Vocabulary | None) -> str:
    """Limits in words, '' where there are none."""
    low, high = observed.limit_low, observed.limit_high
    if low is not None and high is not None:
        return f"{low:f} to {amount(high, observed.unit, vocabulary)}"
    if low is not None:
        return f"at least {amount(low, observed.unit, vocabulary)}"
    if high is not None:
        return f"at most {amount(high, observed.unit, vocabulary)}"
    return ""


def graded(observed: Observed) -> str:
    """The verdict in words, '' for a choice without one."""
    verdict = observed.verdict
    if verdict is None:
        return ""
    if observed.display and verdict.grade is not Grade.GOOD:
        return "bad" if verdict.grade is not Grade.TOO_CLOSE else "no verdict"
    remark = " (remark)" if remark_of(verdict) else ""
    return _GRADES[verdict.grade] + remark


def give_or_take(observed: Observed, vocabulary: Vocabulary | None) -> str:
    """The uncertainty in words, '' where it is zero or unknown."""
    verdict = observed.verdict
    if verdict is None or not verdict.uncertainty:
        return ""
    return f"give or take {amount(rounded(verdict.uncertainty), observed.unit, vocabulary)}"


def under(observed: Observed, vocabulary: Vocabulary | None) -> list[str]:
    """What stands under a reading: words, conditions, uncertainty, remark, limits' source."""
    parts = []
    if observed.heard and observed.choice is None:
        parts.append(f'heard as "{observed.heard}"')
    if observed.conditions:
        parts.append(", ".join(f"{name} {value}" for name, value in observed.conditions.items()))
    verdict = observed.verdict
    if verdict is not None:
        corrected = verdict.corrected
        if corrected is not None and observed.value is not None and corrected != observed.value:
            places = observed.value.as_tuple().exponent
            step = Decimal(1).scaleb(min(places, 0) if isinstance(places, int) else 0)
            parts.append(f"judged as {amount(corrected.quantize(step), observed.unit, vocabulary)} after correction")
        spread = give_or_take(observed, vocabulary)
        if spread:
            parts.append(f"{spread} ({observed.meter})" if observed.meter else spread)
        elif observed.meter:
            parts.append(observed.meter)
        remark = remark_of(verdict)
        if remark:
            parts.append(remark.rstrip("."))
    if observed.limit_source:
        parts.append(f"limits: {observed.limit_source}")
    return parts
