"""Typed lines beside the microphone, from a plain stream (``console``) or from the chat with its own screen."""

from __future__ import annotations

import queue
import time

from assistant.inputs.ports import Keyboard


class TypedLines:
    """Lines in the order in which they were typed: watched while we speak, taken while we listen.

    Args:
        keyboard: where they come from; None without a keyboard.
    """

    def __init__(self, keyboard: Keyboard | None) -> None:
        self._keyboard = keyboard
        self._lines: list[str] = []
        self.ended = False
        """True when no more will come and that ends the session."""

    def waiting(self, *, listens: bool) -> bool:
        """Whether something was typed that was not taken."""
        self._look(0.0, listens=listens)
        return bool(self._lines) or self.ended

    def take(self, seconds: float, *, listens: bool) -> str | None:
        """The next line, waited for so long; None when there is none yet."""
        if not self._lines:
            self._look(seconds, listens=listens)
        return self._lines.pop(0) if self._lines else None

    def close(self) -> None:
        """Take no more lines."""
        self.ended = True
        if self._keyboard is not None:
            self._keyboard.close()

    def _look(self, seconds: float, *, listens: bool) -> None:
        if self._keyboard is None:
            time.sleep(seconds)
            return
        try:
            line = self._keyboard.poll(seconds)
        except queue.Empty:
            return
        if line is not None:
            self._lines.append(line)
        elif listens and not self._keyboard.interactive:
            # the end of a stream at which nobody sits ends nothing while the microphone is on
            self._keyboard = None
        else:
            self.ended = True
