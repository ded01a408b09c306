"""What a record that is open for writing can do, wherever it is kept."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal, Protocol

from assistant.errors import Finding
from assistant.messages.decisions import Record


class OpenJournal(Protocol):
    """One session's record, open for writing."""

    damage: tuple[Finding, ...]
    """What was found damaged on opening."""
    on_close: Callable[[], None] | None
    """Called once after closing."""

    @property
    def where(self) -> str:
        """Where the record lies, for a person."""
        ...

    def append(self, record: Record, said: tuple[str, ...], at: float) -> int:
        """Write one entry; OperatorError when it is not safely kept."""
        ...

    def moved(self) -> Literal["", "here", "back"]:
        """Where the record went since this was last asked: here on this machine, back, or nowhere."""
        ...

    def close(self) -> None:
        """Let go of it."""
        ...
