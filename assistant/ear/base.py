"""What every ear is: something that waits for one answer to a prompt and says what happened."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from assistant.messages import Expectation, Fact, Hypothesis

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


@dataclass(frozen=True, slots=True)
class Hearing:
    """What the recogniser made of one piece of sound."""

    hypotheses: tuple[Hypothesis, ...]
    """Best first, each set of words once; empty when no speech was found."""
    snr_db: float | None = None
    """Signal-to-noise ratio of the sound in decibels, None when it could not be told."""
    warnings: tuple[str, ...] = ()
    """Whole sentences about the sound: clipped, faint, too noisy."""
    longest_pause: float = 0.0
    """Longest silence between two words of the best hypothesis, in seconds."""
    seconds: float = 0.0
    """Length of the sound."""
    decode_seconds: float = 0.0
    """Time the recogniser worked on it, grammar building left out."""


class Hears(Protocol):
    """What an ear for sound needs of the recogniser."""

    def hear_file(self, path: Path, expectation: Expectation) -> Hearing:
        """Hear one recording as an answer to a prompt."""
        ...
