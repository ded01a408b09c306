"""What a session told its screens, numbered, so that a screen that slept can ask for what it missed."""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Callable
from typing import Any

KEPT = 2000
"""Messages kept for a screen that comes back; what is older is in the record."""

Message = dict[str, Any]


class Feed:
    """Numbered messages from one session to any number of screens; safe to use from any thread.

    What was said is kept in order. Of the messages that report the session's current state only the newest is kept.
    """

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._talk: deque[Message] = deque(maxlen=KEPT)
        self._standing: Message | None = None
        self._last = 0
        self._wakers: set[Callable[[], None]] = set()

    @property
    def last(self) -> int:
        """Number of the newest message, 0 before the first."""
        with self._lock:
            return self._last

    @property
    def standing(self) -> Message | None:
        """The current state, None before the first."""
        with self._lock:
            return self._standing

    def add(self, kind: str, /, **fields: Any) -> int:
        """Add something that was said and return its number."""
        return self._put(kind, fields, standing=False)

    def stand(self, kind: str, /, **fields: Any) -> int:
        """Publish the current state, replacing the last one, and return the message's number."""
        return self._put(kind, fields, standing=True)

    def after(self, number: int) -> list[Message]:
        """Every message kept that is newer than ``number``, oldest first."""
        with self._lock:
            found = [message for message in self._talk if message["seq"] > number]
            if self._standing is not None and self._standing["seq"] > number:
                found.append(self._standing)
        return sorted(found, key=lambda message: message["seq"])

    def find(self, number: int) -> Message | None:
        """What was said under a number, None when it is not kept."""
        with self._lock:
            return next((message for message in self._talk if message["seq"] == number), None)

    def subscribe(self, wake: Callable[[], None]) -> Callable[[], None]:
        """Have ``wake`` called after each message, from whatever thread added it; returns what ends that."""
        with self._lock:
            self._wakers.add(wake)

        def leave() -> None:
            with self._lock:
                self._wakers.discard(wake)

        return leave

    def _put(self, kind: str, fields: Message, *, standing: bool) -> int:
        with self._lock:
            self._last += 1
            number = self._last
            message = {"seq": number, "kind": kind, **fields}
            if standing:
                self._standing = message
            else:
                self._talk.append(message)
            wakers = list(self._wakers)
        for wake in wakers:
            wake()
        return number
