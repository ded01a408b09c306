"""What the server's libraries log, told as a sentence now and then: the terminal shows the pairing code.

A stranger can make a library log a line with each of thousands of requests. Counted here, they become one sentence a
minute; only faults of our own are named.
"""

from __future__ import annotations

import contextlib
import logging
import time
from collections.abc import Callable, Iterator

from assistant.web.access.limits import Clock

PERIOD = 60.0
"""Seconds between two sentences."""
LOGGERS = ("uvicorn", "asyncio", "websockets")
"""Of the libraries that serve the page."""


class QuietLog(logging.Handler):
    """Counts what is logged.

    Args:
        tell: takes a sentence.
        clock: monotonic seconds.
    """

    def __init__(self, tell: Callable[[str], None], clock: Clock = time.monotonic) -> None:
        super().__init__(logging.WARNING)
        self._tell, self._clock = tell, clock
        self._turned_away = self._broken = self._faults = 0
        self._fault = ""
        self._next = 0.0

    def emit(self, record: logging.LogRecord) -> None:
        """Count one line."""
        error = record.exc_info[0] if record.exc_info else None
        if error is not None and not issubclass(error, OSError):
            self._faults += 1
            self._fault = error.__name__
        else:
            self._broken += 1

    def tick(self, turned_away: int) -> None:
        """Tell what was counted, if there was anything and the last sentence lies long enough back.

        Args:
            turned_away: connections that were closed since the last tick because they were a stranger's.
        """
        self._turned_away += turned_away
        if not (self._turned_away or self._broken or self._faults) or self._clock() < self._next:
            return
        parts = []
        if self._turned_away:
            parts.append(f"{self._turned_away} connections of unpaired screens closed")
        if self._broken:
            parts.append(f"{self._broken} broken requests refused")
        if self._faults:
            parts.append(f"{self._faults} requests met a fault of the program's own ({self._fault})")
        self._tell(f"(The page: {', '.join(parts)}. Sessions go on.)")
        self._turned_away = self._broken = self._faults = 0
        self._next = self._clock() + PERIOD

    @contextlib.contextmanager
    def instead(self) -> Iterator[None]:
        """Count what the libraries log while the block runs, and show none of it."""
        loggers = [logging.getLogger(name) for name in LOGGERS]
        before = [one.propagate for one in loggers]
        for one in loggers:
            one.addHandler(self)
            one.propagate = False
        try:
            yield
        finally:
            for one, propagate in zip(loggers, before, strict=True):
                one.removeHandler(self)
                one.propagate = propagate
