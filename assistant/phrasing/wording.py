"""Limits, values, places and times in words: each once, for the voice, the screens and the record.

What is shown and what is spoken differ only in how a value is written: that is an argument.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from datetime import datetime
from decimal import Decimal
from functools import partial

from assistant.messages.decisions import Observed
from assistant.numerals.readback import show_value
from assistant.numerals.vocabulary import Vocabulary
from assistant.phrasing.sentences import ENDINGS

Written = Callable[[Decimal, str | None], str]
"""Writes a value with its unit; without one the value alone."""

_THOUSANDS = re.compile(r"(?<=\d),(?=\d{3}(?!\d))")
_DISPLAYS = {"over_range": "over range", "unsteady": "unsteady", "range": "unsteady", "nothing": "blank display"}


def between(low: Decimal | None, high: Decimal | None, unit: str | None, written: Written) -> str:
    """Limits: ``700 to 3,000 ohms``, ``at least 9.5 V``, ``at most 0.5 V``; '' where there are none."""
    if low is not None and high is not None:
        return f"{written(low, None)} to {written(high, unit)}"
    if low is not None:
        return f"at least {written(low, unit)}"
    if high is not None:
        return f"at most {written(high, unit)}"
    return ""


def one_of(titles: Sequence[str]) -> str:
    """Several of which one holds: ``open sensor or worn sensor clip``; a single one as it is."""
    *more, last = titles
    return f"{', '.join(more)} or {last}" if more else last


def limits(low: Decimal | None, high: Decimal | None, unit: str | None, vocabulary: Vocabulary | None = None) -> str:
    """Limits as they are shown."""
    return between(low, high, unit, partial(show_value, vocabulary=vocabulary))


def limits_of(seen: Observed, vocabulary: Vocabulary | None = None) -> str:
    """The limits that a reading was judged by, as they are shown."""
    return limits(seen.limit_low, seen.limit_high, seen.unit, vocabulary)


def read(seen: Observed, vocabulary: Vocabulary | None = None, *, named: bool = True) -> str:
    """What was read, as it is shown: a value, a display without one, or a choice.

    Args:
        seen: the reading.
        vocabulary: the units; None shows a unit by its symbol.
        named: False leaves the unit out, where the head of a column has it.
    """
    if seen.choice is not None:
        return seen.choice
    unit = seen.unit if named else None
    if seen.display:
        name = _DISPLAYS.get(seen.display, seen.display)
        ends = limits(seen.low_end, seen.high_end, unit, vocabulary)
        return f"{name}, {ends}" if seen.low_end is not None and seen.high_end is not None else name
    if seen.value is None:
        return "no value"
    return ("about " if seen.approximate else "") + show_value(seen.value, unit, vocabulary)


def without_thousands(text: str) -> str:
    """A text to look for figures in: who looks for 4210 finds 4,210."""
    return _THOUSANDS.sub("", text)


def at_place(title: str, place: str | None) -> str:
    """A title with its place."""
    return f"{title}, {place}" if place else title


def ending_words(ending: str) -> str:
    """How a session ended, as it is said."""
    return ENDINGS.get(ending, ending)


def first_up(text: str) -> str:
    """The text with a capital first letter."""
    return text[:1].upper() + text[1:]


def clock(seconds: float) -> str:
    """Minutes and seconds since the session began, such as ``03:12``; minutes go on past an hour."""
    whole = int(seconds)
    return f"{whole // 60:02d}:{whole % 60:02d}"


def minutes(value: float) -> str:
    """Minutes for a person: ``12``, and ``under 1`` for what is not nothing."""
    return "under 1" if 0 < value < 1 else f"{value:.0f}"


def wall(text: str) -> str:
    """Wall time in words: ``January 31, 2026, 14:23 (UTC-05:00)``; the text itself when it is none."""
    try:
        when = datetime.fromisoformat(text)
    except ValueError:
        return text or "not known"
    offset = when.strftime("%z")
    zone = f" (UTC{offset[:3]}:{offset[3:5]})" if offset else ""
    return f"{when:%B} {when.day}, {when:%Y, %H:%M}{zone}"
