"""Stand-ins for devices: a microphone that is fed, a loudspeaker that keeps, an engine that fails on demand."""

from __future__ import annotations

import queue
import time
from collections.abc import Iterator

import numpy as np

from assistant.audio.microphone import Event, Frame, Lost
from assistant.audio.player import SilentLoudspeakerError
from assistant.audio.sound import Samples, Sound
from assistant.audio.vad import FRAME
from assistant.messages import Expectation, Hearing, Hypothesis
from assistant.tts.synthesizer import VoiceFailedError

SILENCE = np.zeros(FRAME, dtype=np.int16)
VOICE = np.full(FRAME, 9000, dtype=np.int16)
VOICE[::2] = -9000


class LoudVoice:
    """A detector that takes whatever is loud for a voice."""

    def likelihood(self, frame: Samples) -> float:
        return 0.95 if np.abs(frame).max() > 1000 else 0.02


class FakeMicrophone:
    """Gives the events that a test puts in."""

    def __init__(self, name: str = "headset") -> None:
        self.name = self.title = name
        self.queue: list[Event] = []
        self.closed = False

    def put(self, frames: int, samples: Samples, *, at: float | None = None, lost: bool = False) -> None:
        self.queue += [Frame(samples, time.monotonic() + 10 if at is None else at, lost) for _ in range(frames)]

    def say(self) -> None:
        """A short answer with silence around it."""
        self.put(20, SILENCE)
        self.put(15, VOICE)
        self.put(60, SILENCE)

    def lose(self) -> None:
        self.queue.append(Lost("No sound comes from it any more."))

    def events(self) -> Iterator[Event]:
        while self.queue:
            yield self.queue.pop(0)

    def close(self) -> None:
        self.closed = True


class FakeHearing:
    """Hears what a test says it hears, one after another; '|' divides what may have been said, best first."""

    def __init__(self, *words: str) -> None:
        self.words = list(words)
        self.lengths: list[float] = []

    def hear(self, sound: Sound, expectation: Expectation) -> Hearing:
        self.lengths.append(sound.duration)
        said = self.words.pop(0) if self.words else ""
        return Hearing(
            tuple(Hypothesis(words, -float(at)) for at, words in enumerate(said.split("|")) if words), 30.0
        )

    def prepare(self, expectation: Expectation) -> None:
        pass


class FakeKeyboard:
    """Lines that a test types."""

    def __init__(self, *lines: str | None, interactive: bool = True) -> None:
        self.interactive = interactive
        self.lines = list(lines)

    def poll(self, seconds: float) -> str | None:
        if self.lines:
            return self.lines.pop(0)
        raise queue.Empty

    def close(self) -> None:
        pass


class FakePlayer:
    """Keeps what is played; may refuse."""

    rate = 16000

    def __init__(self, *, broken: bool = False) -> None:
        self.broken = broken
        self.played: list[int] = []
        self.stopped = 0
        self._looks = 0

    def play(self, samples: Samples, rate: int) -> None:
        if self.broken:
            raise SilentLoudspeakerError("no device")
        self.played.append(len(samples))
        self._looks = 2

    def busy(self) -> bool:
        self._looks -= 1
        return self._looks > 0

    def stop(self) -> None:
        self.stopped += 1
        self._looks = 0

    def close(self) -> None:
        pass


class FakeSynthesizer:
    """Makes a tenth of a second for each sentence; fails as often as told."""

    def __init__(self, fails: int = 0) -> None:
        self.fails = fails
        self.texts: list[str] = []

    def synthesize(self, text: str) -> tuple[Samples, int]:
        if self.fails:
            self.fails -= 1
            raise VoiceFailedError("it hangs")
        self.texts.append(text)
        return np.full(1600, 1000, dtype=np.int16), 16000

    def close(self) -> None:
        pass
