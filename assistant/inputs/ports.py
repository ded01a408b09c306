"""What the live ear needs of the rest."""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

from assistant.audio.microphone import Microphone
from assistant.audio.sound import Samples, Sound
from assistant.messages import Expectation, Hearing


class Hears(Protocol):
    """The recognizer."""

    def hear(self, sound: Sound, expectation: Expectation) -> Hearing:
        """Hear one answer."""
        ...

    def prepare(self, expectation: Expectation) -> None:
        """Get the grammar of a prompt ready."""
        ...


class Keyboard(Protocol):
    """Typed lines; None is the end of them."""

    @property
    def interactive(self) -> bool:
        """True when a person types there."""
        ...

    def poll(self, seconds: float) -> str | None:
        """The next line, waited for so long; raises queue.Empty."""
        ...

    def close(self) -> None:
        """Take no more."""
        ...


Opens = Callable[[str], Microphone]


class Deaf:
    """Hears no voice: without a microphone nothing is fed."""

    def likelihood(self, frame: Samples) -> float:  # noqa: ARG002 - there is nothing to judge
        """None."""
        return 0.0
