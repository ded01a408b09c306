"""Which clips make up an example: one, two joined, a string of one person's digits, pieces that are no answer."""

from __future__ import annotations

import random
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from tests.tools.scorer_training.clips import NOISE, PEOPLE, RATE, Clip

MOST_PARTS = 6
LONGEST = 10 * RATE
SHARES = {
    "recorded": 0.05,
    "neural": 0.59,
    "engines": 0.12,
    "strings": 0.10,
    "people": 0.03,
    "strange": 0.09,
    "silence": 0.02,
}
"""How often each kind of example is taken, of those that the clips allow. Silence is noise with nobody speaking."""
JOINED = 0.10
"""Share of answers that are followed by another."""
_PLAIN_SPEED = 0.3


@dataclass(frozen=True, slots=True)
class Part:
    """A stretch of one clip in an example."""

    clip: int
    start: int
    length: int
    """Samples of the clip."""
    at: int
    """Where it begins in the example, in samples."""


@dataclass(frozen=True, slots=True)
class Example:
    """What is heard and the words that it should give."""

    parts: tuple[Part, ...]
    words: str | None
    """'' for speech that is no answer, None for nobody speaking."""
    speed: float
    length: int
    """Samples from the first to the last."""


class Chooser:
    """Makes examples of clips.

    Args:
        clips: all of them; noise is left alone.
        seed: of every choice.
    """

    def __init__(self, clips: Sequence[Clip], seed: int) -> None:
        self._rng = random.Random(seed)
        self._clips = clips
        groups: dict[str, list[int]] = defaultdict(list)
        speakers: dict[str, list[int]] = defaultdict(list)
        for number, clip in enumerate(clips):
            if clip.source == NOISE or not len(clip.levels):
                continue
            if not clip.words:
                groups["strange"].append(number)
            elif clip.source == PEOPLE:
                groups["people"].append(number)
                if clip.kind in ("telephone", "digit"):
                    speakers[clip.voice].append(number)
            else:
                groups[{"readings": "recorded", "neural": "neural"}.get(clip.source, "engines")].append(number)
        self._speakers = [numbers for numbers in speakers.values() if len(numbers) >= 6]
        self._groups = groups
        self._all = [number for name in ("recorded", "neural", "engines") for number in groups[name]]
        makers: dict[str, Callable[[], Example]] = {
            "strings": self._string, "strange": self._strange, "silence": self._silence,
        }  # fmt: skip
        there = [
            name for name in SHARES if groups[name] or name == "silence" or (name == "strings" and self._speakers)
        ]
        self._names, self._weights = there, [SHARES[name] for name in there]
        self._makers = makers

    def one(self) -> Example:
        """The next example."""
        (name,) = self._rng.choices(self._names, self._weights)
        maker = self._makers.get(name)
        return maker() if maker else self._answer(self._groups[name])

    def _answer(self, group: Sequence[int]) -> Example:
        numbers = [self._rng.choice(group)]
        if self._all and self._rng.random() < JOINED:
            numbers.append(self._rng.choice(self._all))
        return self._in_a_row(numbers, self._rng.randrange(800, 7000))

    def _string(self) -> Example:
        group = self._rng.choice(self._speakers)
        count = self._rng.randint(1, MOST_PARTS)
        return self._in_a_row([self._rng.choice(group) for _ in range(count)], self._rng.randrange(0, 2400))

    def _in_a_row(self, numbers: Sequence[int], gap: int) -> Example:
        parts: list[Part] = []
        words: list[str] = []
        at = 0
        for number in numbers:
            length = len(self._clips[number].levels)
            if parts and at + length > LONGEST:
                break
            parts.append(Part(number, 0, length, at))
            words.append(self._clips[number].words)
            at += length + gap
        return Example(tuple(parts), " ".join(words), self._speed(), at - gap)

    def _strange(self) -> Example:
        """Speech that is no answer: strange words, a stretch of talk, an answer in pieces out of order."""
        if self._all and self._rng.random() < 0.2:
            length = self._rng.randrange(1600, 3600)
            parts, at = [], 0
            for _ in range(self._rng.randint(2, MOST_PARTS)):
                number = self._rng.choice(self._all)
                size = len(self._clips[number].levels)
                parts.append(Part(number, self._rng.randrange(max(1, size - length)), min(length, size), at))
                at += min(length, size)
            return Example(tuple(parts), "", self._speed(), at)
        number = self._rng.choice(self._groups["strange"])
        size = len(self._clips[number].levels)
        length = size if size < 12_000 or self._rng.random() < 0.4 else self._rng.randrange(9000, min(size, 56_000))
        length = min(length, LONGEST)
        return Example((Part(number, self._rng.randrange(size - length + 1), length, 0),), "", self._speed(), length)

    def _silence(self) -> Example:
        return Example((), None, 1.0, self._rng.randrange(4000, 32_000))

    def _speed(self) -> float:
        return 1.0 if self._rng.random() < _PLAIN_SPEED else self._rng.uniform(0.82, 1.22)
