"""The classifier: for each intent a hyperplane between its sentences and all others.

One support vector machine an intent (squared hinge loss), fitted by coordinate descent in the dual (Hsieh, Chang,
Lin, Keerthi, Sundararajan: A Dual Coordinate Descent Method for Large-scale Linear SVM, ICML 2008), all intents at
once. Sentences are vectors of inverse document frequencies, of length 1. The order of the sentences is shuffled by a
rule of its own, sums are made row by row and the weights are rounded: every machine fits the same.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import IO

import numpy as np
import numpy.typing as npt

from assistant.intents.features import features_of

Array = npt.NDArray[np.floating]

COST = 4.0
"""Weight of a sentence on the wrong side against the size of the weights; chosen with one writer left out."""
ROUNDS = 10
"""Rounds over all sentences."""
SHARPNESS = 4.0
"""Factor on the distances before they are made shares; chosen so that shares are as often right as they say."""
NOTHING = -0.4
"""Distance at which 'none of them' stands: a sentence that is like none of the sayings has small shares."""
_DIGITS = 3
_STEP = 2654435761
"""Knuth's multiplicative hash: the order in which sentences are gone through."""


@dataclass(frozen=True, slots=True)
class Learned:
    """A fitted classifier."""

    intents: tuple[str, ...]
    rows: dict[str, int]
    """Feature -> its row of ``weights`` and ``rarity``."""
    rarity: Array
    """Inverse document frequency of each feature."""
    weights: Array
    """A row a feature, a column an intent; the last row is the same for every sentence."""

    def shares(self, text: str) -> dict[str, float]:
        """How likely each intent is, the likeliest first; what they lack to 1 is the share of none of them."""
        places = [row for row in map(self.rows.get, features_of(text)) if row is not None]
        scores = np.array(self.weights[-1], dtype=np.float64)
        if places:
            held = self.rarity[places].astype(np.float64)
            held /= math.sqrt(float((held * held).sum()))
            scores += (held[:, None] * self.weights[places].astype(np.float64)).sum(axis=0)
        raised = np.exp(SHARPNESS * scores)
        told = (raised / (raised.sum() + math.exp(SHARPNESS * NOTHING))).round(_DIGITS).tolist()
        return dict(sorted(zip(self.intents, told, strict=True), key=lambda one: (-one[1], one[0])))


def fit(sayings: Sequence[tuple[str, str]]) -> Learned:
    """Fit to sentences.

    Args:
        sayings: each an intent and a sentence of it.
    """
    told = [features_of(text) for _, text in sayings]
    counts = Counter(one for features in told for one in features)
    rows = {one: row for row, one in enumerate(counts)}
    rarity = np.array([math.log((1 + len(told)) / (1 + many)) + 1 for many in counts.values()], dtype=np.float32)
    intents = tuple(sorted({intent for intent, _ in sayings}))
    weights = _fitted(told, rows, rarity, [intents.index(intent) for intent, _ in sayings], len(intents))
    return Learned(intents, rows, rarity, weights.astype(np.float16))


def write(learned: Learned, file: IO[bytes]) -> None:
    """Write a fitted classifier as numpy's arrays; weights take two bytes."""
    texts = {
        name: np.frombuffer("\n".join(words).encode(), dtype=np.uint8)
        for name, words in (("intents", learned.intents), ("features", tuple(learned.rows)))
    }
    np.savez(file, rarity=learned.rarity, weights=learned.weights, allow_pickle=False, **texts)


def read(file: IO[bytes]) -> Learned:
    """What ``write`` wrote.

    Raises:
        ValueError, KeyError, BadZipFile: it is something else.
    """
    with np.load(file, allow_pickle=False) as found:
        intents, features = (tuple(found[name].tobytes().decode().split("\n")) for name in ("intents", "features"))
        learned = Learned(intents, {one: row for row, one in enumerate(features)}, found["rarity"], found["weights"])
    if learned.weights.shape != (len(features) + 1, len(intents)) or learned.rarity.shape != (len(features),):
        raise ValueError("The sizes do not fit.")
    return learned


def _fitted(
    told: Sequence[tuple[str, ...]], rows: dict[str, int], rarity: Array, labels: list[int], many: int
) -> Array:
    weights = np.zeros((len(rows) + 1, many), dtype=np.float32)
    spent = np.zeros((len(told), many), dtype=np.float32)
    """The dual variables: how hard each sentence pulls at each hyperplane."""
    slack = np.float32(0.5 / COST)
    held = []
    for features in told:
        places = np.array([*(rows[one] for one in features), len(rows)])
        values = np.append(rarity[places[:-1]], np.float32(0))
        values /= max(1e-9, math.sqrt(float((values * values).sum())))
        values[-1] = 1  # the row that every sentence has
        held.append((places, values[:, None]))
    order = sorted(range(len(told)), key=lambda one: (one * _STEP) % 2**32)
    signs = np.full(many, -1, dtype=np.float32)
    for _ in range(ROUNDS):
        for one in order:
            places, values = held[one]
            signs[labels[one]] = 1
            here = weights[places]
            gradient = signs * (values * here).sum(axis=0) - 1 + slack * spent[one]
            after = np.maximum(spent[one] - gradient / (2 + slack), 0)  # 2: the square of a vector with its last row
            change = signs * (after - spent[one])
            spent[one] = after
            here += values * change
            weights[places] = here
            signs[labels[one]] = -1
    return weights
