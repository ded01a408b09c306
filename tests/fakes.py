"""Hand-written stand-ins for the edges: nothing in a test waits, listens or speaks."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from assistant.messages import Expectation, Fact, Heard, Hearing, Hypothesis, InputEnded


class FakeClock:
    """Seconds that pass only when told to."""

    def __init__(self, at: float = 0.0) -> None:
        self.at = at

    def __call__(self) -> float:
        return self.at

    def advance(self, seconds: float) -> None:
        """Let time pass."""
        self.at += seconds


class FakeListener:
    """Gives prepared facts in order, then ``InputEnded``; a text stands for a typed answer."""

    def __init__(self, answers: Sequence[str | Fact], clock: FakeClock | None = None) -> None:
        self._answers = list(answers)
        self._clock = clock or FakeClock()
        self.asked: list[Expectation] = []
        self.closed = False

    def listen(self, expectation: Expectation, seconds: float | None) -> Fact:
        self.asked.append(expectation)
        if not self._answers:
            return InputEnded(self._clock())
        answer = self._answers.pop(0)
        return Heard(self._clock(), (Hypothesis(answer),)) if isinstance(answer, str) else answer

    def close(self) -> None:
        self.closed = True


class FakeHears:
    """A recognizer that reads what was said from the name of the file: ``02_twelve_six.flac``."""

    def __init__(self, warnings: tuple[str, ...] = ()) -> None:
        self._warnings = warnings
        self.asked: list[tuple[str, Expectation]] = []

    def hear_file(self, path: Path, expectation: Expectation) -> Hearing:
        self.asked.append((path.name, expectation))
        words = " ".join(path.stem.split("_")[1:])
        return Hearing((Hypothesis(words),) if words else (), 20.0, self._warnings)
