"""Clocks: the only places where time enters. The engine sees times only as ``at`` in facts."""

from __future__ import annotations

import time
from datetime import UTC, datetime, timedelta
from typing import Protocol


class Clock(Protocol):
    """Tells how far a session is and what the wall clock says."""

    def now(self) -> float:
        """Seconds since the session began, never going back."""
        ...

    def wall(self) -> datetime:
        """Wall time with its offset; it may jump."""
        ...


class SystemClock:
    """The machine's clocks."""

    def __init__(self, already: float = 0.0) -> None:
        """Args: already: seconds that a resumed session has behind it."""
        self._start = time.monotonic() - already

    def now(self) -> float:
        """Seconds since the session began."""
        return round(time.monotonic() - self._start, 3)

    def wall(self) -> datetime:
        """Local wall time."""
        return datetime.now(UTC).astimezone()


class ScriptedClock:
    """A clock for demo scenes and tests: it moves only when told to."""

    def __init__(self, start: datetime) -> None:
        self._start = start
        self._seconds = 0.0

    def advance(self, seconds: float) -> None:
        """Let so many seconds pass."""
        self._seconds += seconds

    def now(self) -> float:
        """Seconds since the session began."""
        return self._seconds

    def wall(self) -> datetime:
        """The start plus what has passed."""
        return self._start + timedelta(seconds=self._seconds)
