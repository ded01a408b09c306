"""What every ear is: something that waits for one answer to a prompt and says what happened."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Protocol

from assistant.messages import Expectation, Fact, Hearing

Clock = Callable[[], float]
"""Seconds since the session began."""


class Ear(Protocol):
    """A source of answers: keyboard, recordings, microphone or page."""

    def listen(self, expectation: Expectation, seconds: float | None) -> Fact:
        """Wait for one answer: ``Heard``, ``WentQuiet`` after ``seconds`` without one, or ``InputEnded``."""
        ...

    def close(self) -> None:
        """Let go of devices and files; closing twice does no harm."""
        ...


class Hears(Protocol):
    """What an ear for sound needs of the recognizer."""

    def hear_file(self, path: Path, expectation: Expectation) -> Hearing:
        """Hear one recording as an answer to a prompt."""
        ...
