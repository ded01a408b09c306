"""Texts that are nearly what was said: what the trained network must find less likely than that."""

from __future__ import annotations

import random
from collections import deque
from collections.abc import Mapping, Sequence

RIVALS = 2
"""How many stand against each text."""
NEIGHBORS = 8
"""How many words that are spelled like it each word has."""
_REMEMBERED = 400


def neighbors(words: Sequence[str], numbers: Sequence[str]) -> dict[str, list[str]]:
    """For each word those that are spelled most like it; number words have all others of their kind too."""
    import numpy as np
    from rapidfuzz import fuzz, process

    like = process.cdist(words, words, scorer=fuzz.ratio, dtype=np.uint8)
    np.fill_diagonal(like, 0)
    nearest = np.argsort(like, axis=1, kind="stable")[:, : -NEIGHBORS - 1 : -1]
    found = {word: [words[at] for at in row] for word, row in zip(words, nearest, strict=True)}
    for number in numbers:
        if number in found:
            found[number] += [other for other in numbers if other != number and other in found]
    return found


class Rivals:
    """Makes rivals of texts.

    Args:
        near: words that may be mistaken for a word.
        seed: of every choice.
    """

    def __init__(self, near: Mapping[str, Sequence[str]], seed: int) -> None:
        self._near = near
        self._rng = random.Random(seed)
        self._said: deque[str] = deque(maxlen=_REMEMBERED)

    def of(self, text: str | None) -> list[str | None]:
        """Rivals of a text; of speech that is no answer, answers; of nobody speaking, nothing."""
        if text is None:
            return [None] * RIVALS
        if not text:
            said = list(self._said) or list(self._near)
            return [self._rng.choice(said) for _ in range(RIVALS)]
        self._said.append(text)
        return [self._changed(text) for _ in range(RIVALS)]

    def _changed(self, text: str) -> str:
        words = text.split()
        at = self._rng.randrange(len(words))
        near = self._near.get(words[at]) or list(self._near)
        chance = self._rng.random()
        if chance < 0.2 and len(words) > 1:
            del words[at]
        elif chance < 0.35:
            words.insert(at, self._rng.choice(near))
        else:
            words[at] = self._rng.choice(near)
        return " ".join(words)
