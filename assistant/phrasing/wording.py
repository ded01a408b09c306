"""Limits, values, places and times in words: each once, for the voice, the screens and the record.

What is shown and what is spoken differ only in how a value is written: that is an argument.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from datetime import datetime
from decimal import Decimal

from assistant.messages.decisions import Observed, Phase
from assistant.numerals.readback import show_number, show_value
from assistant.numerals.vocabulary import Vocabulary
from assistant.phrasing.sentences import ENDINGS, PHRASES

PHASES = {
    Phase.CAUTIONS: "at the cautions",
    Phase.FACTS: "at the questions",
    Phase.FINDING: "looking for the fault",
    Phase.SURVEYING: "in the survey",
    Phase.REPAIRING: "at the repair",
    Phase.PROVING: "verifying the repair",
    Phase.CLOSING: "closing up",
}
"""Where a session stands: on the board, and where it was left."""
Written = Callable[[Decimal, str | None], str]
"""Writes a value with its unit; without one the value alone."""

_THOUSANDS = re.compile(r"(?<=\d),(?=\d{3}(?!\d))")
_MILES = re.compile(r"\d{1,9}(\.\d+)?")
_DISPLAYS = {"over_range": "over range", "unsteady": "unsteady", "range": "unsteady", "nothing": "blank display"}


def display_name(display: str) -> str:
    """What a meter shows that is no value, as it is said."""
    return _DISPLAYS.get(display, display)


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


def limits(
    low: Decimal | None,
    high: Decimal | None,
    unit: str | None,
    vocabulary: Vocabulary | None = None,
    *,
    named: bool = True,
) -> str:
    """Limits as they are shown; ``named`` False leaves the unit out."""

    def written(value: Decimal, name: str | None) -> str:
        return show_value(value, name, vocabulary) if name and named else show_number(value, unit)

    return between(low, high, unit, written)


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
    told = show_value(seen.value, unit, vocabulary) if named else show_number(seen.value, seen.unit)
    return ("about " if seen.approximate else "") + told


def without_thousands(text: str) -> str:
    """A text to look for figures in: who looks for 4210 finds 4,210."""
    return _THOUSANDS.sub("", text)


def at_place(title: str, place: str | None) -> str:
    """A title with its place."""
    return f"{title}, {place}" if place else title


def placed_once(items: tuple[str, ...], places: Iterable[str]) -> tuple[str, ...]:
    """Items of one sentence, the place left out where the one before began with it too."""
    named = sorted(places, key=len, reverse=True)
    begun = [next((place for place in named if item.startswith(f"{place} ")), "") for item in items]
    return tuple(
        item.removeprefix(f"{begun[at]} ") if at and begun[at] and begun[at] == begun[at - 1] else item
        for at, item in enumerate(items)
    )


def not_ruled_out_key(text: str) -> str:
    """The phrase that says what a test drive leaves open; files of earlier versions have a sentence of their own."""
    return "not_shown" if text[:1].islower() else "because"


def not_ruled_out(text: str) -> str:
    """The same as a sentence."""
    return PHRASES[not_ruled_out_key(text)].format(text=text)


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
    """Minutes for a person: ``12 minutes``, ``1 minute``, and ``under 1 minute`` for what is not nothing."""
    if 0 < value < 1:
        return "under 1 minute"
    return f"{value:.0f} minute{'' if f'{value:.0f}' == '1' else 's'}"


def miles(text: str) -> str:
    """An odometer for a person: ``312,450 miles``; the text itself where it is no number."""
    plain = _THOUSANDS.sub("", text.strip())
    return f"{Decimal(plain):,f} miles" if _MILES.fullmatch(plain) else text


def day(text: str) -> str:
    """The day of a wall time: ``January 31, 2026``; the text itself when it is none."""
    return _told(text, lambda when: f"{when:%B} {when.day}, {when:%Y}")


def wall(text: str) -> str:
    """Wall time in words: ``January 31, 2026, 2:23 p.m. (UTC-05:00)``; the text itself when it is none."""

    def whole(when: datetime) -> str:
        offset = when.strftime("%z")
        zone = f" (UTC{offset[:3]}:{offset[3:5]})" if offset else ""
        return f"{day(text)}, {time_of_day(when)}{zone}"

    return _told(text, whole)


def time_of_day(when: datetime) -> str:
    """``2:23 p.m.``"""
    return f"{when.hour % 12 or 12}:{when:%M} {'a.m.' if when.hour < 12 else 'p.m.'}"


def stamp(text: str) -> str:
    """Wall time for a list: ``Jan 31, 2026, 2:23 p.m.``; the text itself when it is none."""
    return _told(text, lambda when: f"{when:%b} {when.day}, {when:%Y}, {time_of_day(when)}")


def _told(text: str, words: Callable[[datetime], str]) -> str:
    try:
        when = datetime.fromisoformat(text)
    except ValueError:
        return text or "not known"
    return words(when)
