"""What inputs are, and what they need of the rest."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from assistant.messages import Expectation, Fact, Hearing

if TYPE_CHECKING:  # a typed session loads nothing of sound
    from assistant.audio.microphone import Event
    from assistant.audio.sound import Sound

Clock = Callable[[], float]
"""Seconds since the session began."""


class Hearable(Protocol):
    """What spoken answers need of an open microphone."""

    @property
    def name(self) -> str:
        """Name by which it is known again, '' where it has none."""

    @property
    def title(self) -> str:
        """How people know it."""

    def events(self) -> Iterator[Event]:
        """Everything that arrived since the last call, oldest first."""

    def close(self) -> None:
        """Release the device; calling it twice does no harm."""


Opens = Callable[[str], Hearable]
"""Opens the microphone of a name, '' for the usual one."""


class Listener(Protocol):
    """A source of answers: keyboard, recordings, microphone or page."""

    def listen(self, expectation: Expectation, seconds: float | None) -> Fact:
        """Wait for one answer: ``Heard``, ``WentQuiet`` after ``seconds`` without one, or ``InputEnded``."""

    def close(self) -> None:
        """Release devices and files; closing twice does no harm."""


class HearsFiles(Protocol):
    """What recorded answers need of the recognizer."""

    def hear_file(self, path: Path, expectation: Expectation) -> Hearing:
        """Hear one recording as an answer to a prompt."""


class Hears(Protocol):
    """What spoken answers need of the recognizer."""

    def hear(self, sound: Sound, expectation: Expectation) -> Hearing:
        """Hear one answer."""

    def prepare(self, expectation: Expectation) -> None:
        """Get the grammar of a prompt ready."""


class Keyboard(Protocol):
    """Typed lines; None is the end of them."""

    @property
    def interactive(self) -> bool:
        """True when a person types there."""

    def poll(self, seconds: float) -> str | None:
        """The next line, waited for so long; raises queue.Empty."""

    def close(self) -> None:
        """Take no more lines."""
