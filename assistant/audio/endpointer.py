"""When an answer at the microphone has ended: soon after whole words, late inside a number.

Pure: its input is, frame by frame, the likelihood of a voice and the recognizer's words so far. Time is counted in
sound, not by a clock.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from enum import StrEnum

from assistant.understanding.recognition.completeness import Sofar


@dataclass(frozen=True, slots=True)
class Waits:
    """Seconds of silence that end an answer."""

    whole: float = 0.45
    """After a number with its unit, a display or a command."""
    may_go_on: float = 0.9
    """After an answer that could continue."""
    open: float = 2.5
    """Inside 'one point ...'."""
    wordless: float = 1.2
    """After a voice in which no word was found."""
    longest: float = 20.0
    """Seconds after which an answer ends whatever is said."""


@dataclass(frozen=True, slots=True)
class Threshold:
    """When a frame holds a voice."""

    begin: float = 0.5
    """Likelihood that begins one."""
    keep: float = 0.35
    """Likelihood that carries it on."""
    least: float = 0.1
    """Seconds of voice below which nothing was said: a knock, a cough."""


class Phase(StrEnum):
    """Where the answer is."""

    WAITING = "waiting"
    SPEAKING = "speaking"
    PAUSED = "paused"
    ENDED = "ended"


@dataclass(slots=True)
class Endpointer:
    """Follows one answer from its first frame to its end.

    Args:
        tells: what the words so far are at this prompt.
        waits: how long silence may last.
        threshold: when a frame holds a voice.
    """

    tells: Callable[[str], Sofar]
    waits: Waits = field(default_factory=Waits)
    threshold: Threshold = field(default_factory=Threshold)
    phase: Phase = Phase.WAITING
    voiced: float = 0.0
    """Seconds of voice so far."""
    silent: float = 0.0
    """Seconds of silence since the last voice."""
    length: float = 0.0
    """Seconds since the first voice."""

    def feed(self, seconds: float, voice: float, words: str) -> Phase:
        """Take in one frame.

        Args:
            seconds: length of the frame.
            voice: likelihood, 0 to 1, that it holds a voice.
            words: the recognizer's words so far, '' for none.
        """
        if self.phase is Phase.ENDED:
            return self.phase
        spoken = voice >= (self.threshold.begin if self.phase is Phase.WAITING else self.threshold.keep)
        if self.phase is Phase.WAITING and not spoken:
            return self.phase
        self.length += seconds
        if spoken:
            self.voiced += seconds
            self.silent = 0.0
            self.phase = Phase.SPEAKING
        else:
            self.silent += seconds
            self.phase = Phase.PAUSED
        if self.length >= self.waits.longest:
            self.phase = Phase.ENDED
        elif self.phase is Phase.PAUSED and self.silent >= self._wait(words):
            self._end(words)
        return self.phase

    def _end(self, words: str) -> None:
        if self.voiced < self.threshold.least and not words:
            # a knock: nothing was said, so nothing has ended
            self.phase, self.voiced, self.silent, self.length = Phase.WAITING, 0.0, 0.0, 0.0
            return
        self.phase = Phase.ENDED

    def _wait(self, words: str) -> float:
        match self.tells(words) if words else Sofar.NOTHING:
            case Sofar.WHOLE:
                return self.waits.whole
            case Sofar.OPEN:
                return self.waits.open
            case Sofar.MAY_GO_ON:
                return self.waits.may_go_on
            case _:
                return self.waits.wordless
