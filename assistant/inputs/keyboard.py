"""Typed lines beside the microphone: a plain stream of them. The chat with its own screen is in ``chat``."""

from __future__ import annotations

import queue
import threading
import time

from assistant.inputs.console import Lines, lines_of
from assistant.inputs.ports import Keyboard


class LineKeyboard:
    """Lines of a stream, read by a thread of its own because a blocked read cannot be asked to give up.

    Args:
        stream: where they come from.
        interactive: True when a person types there; a stream that ends is then the end of the session.
    """

    def __init__(self, stream: Lines, *, interactive: bool) -> None:
        self.interactive = interactive
        self._stream = stream
        self._lines: queue.Queue[str | None] = queue.Queue()
        threading.Thread(target=self._read, name="leadsman-keyboard", daemon=True).start()

    def poll(self, seconds: float) -> str | None:
        """The next line, None at their end; raises queue.Empty."""
        return self._lines.get(timeout=seconds) if seconds > 0 else self._lines.get_nowait()

    def close(self) -> None:
        """Nothing to let go of: the thread ends with the program."""

    def _read(self) -> None:
        try:
            for line in lines_of(self._stream):
                self._lines.put(line)
        except (OSError, ValueError):
            pass
        self._lines.put(None)


class TypedLines:
    """Lines in the order in which they were typed, looked at while we speak and taken while we listen.

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
