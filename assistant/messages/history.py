"""What the unit's history says about a suspect."""

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
