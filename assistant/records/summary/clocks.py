"""Where a record's wall clock and the session's own time part: the clock was set, or the machine slept.

Each line has both times. What they differ by stays the same while nothing happens to the clock; in another attempt
breaks come in between, and there only a clock that goes back shows.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime

from assistant.phrasing.wording import clock
from assistant.records.journal.lines import Line

LEAST = 60.0
"""Seconds from which a jump is told: an entry may be written some seconds after its words."""


def clock_jumps(lines: Sequence[Line]) -> tuple[str, ...]:
    """One sentence for each jump of the wall clock.

    Args:
        lines: entries and attempts in order, without the header.
    """
    told: list[str] = []
    known: list[tuple[Line, float]] = []
    for line in lines:
        seconds = _seconds(line.wall)
        if seconds is None:
            continue
        if line.body.kind == "attempt":
            told += _within(known)
            if known and seconds < known[-1][1] - LEAST:
                back = lasting(known[-1][1] - seconds)
                told.append(f"The clock was set back by {back} or more before attempt {line.body.number}.")
            known = []
        known.append((line, seconds))
    return (*told, *_within(known))


def _within(known: Sequence[tuple[Line, float]]) -> list[str]:
    """Jumps between the lines of one attempt; what is back at the next line was only written late."""
    if not known:
        return []
    parts = [seconds - line.mono for line, seconds in known]
    told, before = [], parts[0]
    for number, apart in enumerate(parts[1:], 1):
        after = parts[number + 1] if number + 1 < len(parts) else apart
        if abs(apart - before) < LEAST or abs(after - before) < LEAST:
            continue
        way = "ahead" if apart > before else "back"
        why = " or the machine slept" if way == "ahead" else ""
        first, second = known[number - 1][0].mono, known[number][0].mono
        told.append(
            f"Between {clock(first)} and {clock(second)} the clock went {way} by {lasting(abs(apart - before))} "
            f"(it was set{why}): times of day before and after do not go together."
        )
        before = apart
    return told


def _seconds(wall: str) -> float | None:
    try:
        when = datetime.fromisoformat(wall)
        return (when if when.tzinfo else when.replace(tzinfo=UTC)).timestamp()
    except (ValueError, OverflowError):
        return None


def lasting(seconds: float) -> str:
    """How long, in its two largest measures: ``3 hours 5 minutes``."""
    rest, parts = round(seconds / 60), []
    for name, minutes in (("day", 1440), ("hour", 60), ("minute", 1)):
        count, rest = divmod(rest, minutes)
        if count:
            parts.append(f"{count} {name}{'' if count == 1 else 's'}")
    return " ".join(parts[:2]) or "a minute"
