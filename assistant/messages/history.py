"""What the unit's history says about a suspect, and what it left to be done."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class HistoryWeight:
    """A suspect whose weight the unit's history changed."""

    fault: str
    place: str | None
    times: float
    """Multiplier of the procedure's weight."""
    because: str = ""
    """One sentence: what in the history did it."""


@dataclass(frozen=True, slots=True)
class FoundBefore:
    """A fault that an earlier session on the unit found, and whose repair waited for a part or a person."""

    session: str
    """Identity of that session."""
    day: str
    """Its day, in words that can be spoken: ``March 3``."""
    fault: str
    place: str | None
    fix: str
    """The repair that waits, done at the same place where it has one."""
    suspect: str
    """The fault and its place in words."""
    reason: str
    """What it waits for, in that person's words."""
    readings: tuple[str, ...] = ()
    """What was read then and was not good, in words, with its day."""
