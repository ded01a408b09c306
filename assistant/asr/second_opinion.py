"""A second opinion on what was said: each of the recognizer's alternatives is scored anew by a network of its own.

The recognizer searches a lattice of word pairs; the network says how likely each whole phrase is under the whole
sound. Both are weighed together before anything is decided (``grammars/deciding.toml``, ``second``). Without the
network's files, or the library that runs them, the recognizer's opinion stands alone.
"""

from __future__ import annotations

import contextlib
import functools
import threading
from collections.abc import Sequence
from pathlib import Path
from typing import Protocol

import numpy as np

from assistant.asr.network.moonshine import Moonshine
from assistant.asr.network.published import published_weights
from assistant.asr.network.spellings import plain_words, spellings
from assistant.asr.network.weights import WORDS, Floats, Weights, read_weights
from assistant.audio.sound import RATE, Samples
from assistant.messages import Hypothesis
from assistant.numerals.tokenizer import UNKNOWN_WORD
from assistant.setup.scorer import published_folder, published_hash

LONGEST = 14.0
"""Seconds of sound beyond which no second opinion is asked for: it takes too long, and readings are shorter."""
OURS = Path(__file__).parent / "weights" / "scorer.npz"
OURS_SHA256 = "215b3f9d356fa3d14141192ba50d5627773b863d85b2bcce70766ee3fc01641e"
"""Hash of the weights that come with the program."""
_LEAST_KNOWN = 0.75
"""Share of the phrases that the network must be able to write, or its opinion is not taken."""


class Scorer(Protocol):
    """Says how likely phrases are under a piece of sound."""

    @property
    def name(self) -> str:
        """What a record calls it."""

    def scores(self, samples: Samples, phrases: Sequence[str]) -> list[float | None]:
        """Log probability of each phrase under 16-bit sound at 16 kHz; None for one that it cannot write.

        ``[unk]`` in a phrase stands for a word of no vocabulary, alone for speech that is no answer.
        """


class NetworkScorer:
    """Scores phrases with the network, which hears the sound as it came.

    Args:
        network: the network; shared by all who score.
    """

    def __init__(self, network: Moonshine) -> None:
        self._network = network
        self._weights = network.weights

    @property
    def name(self) -> str:
        """Name of its weights."""
        return self._weights.name

    def scores(self, samples: Samples, phrases: Sequence[str]) -> list[float | None]:
        """See ``Scorer``."""
        ways = [self._ways(phrase) for phrase in phrases]
        texts = [text for each in ways for text in each]
        if not texts:
            return [None] * len(phrases)
        tree = self._network.tree(texts)
        likely = self._network.likely(self._network.encode(samples), tree)
        totals = iter([self._total(likely, tree.paths[at], tree.ends[at]) for at in range(len(texts))])
        return [_sum([next(totals) for _ in each]) for each in ways]

    def _ways(self, phrase: str) -> list[list[int]]:
        """The texts, as rows, that stand for a phrase."""
        if phrase.split() == [UNKNOWN_WORD]:
            return [] if self._weights.no_answer is None else [[self._weights.no_answer]]
        words = [plain_words(phrase)] if self._weights.spelling == WORDS else spellings(phrase)
        rows = [self._network.rows(one) for one in words if one]
        found = [one for one in rows if one is not None]
        period = self._weights.period
        # with a period behind or without: one node more, and the end is asked for behind both
        return found if period is None else [[*one, period] for one in found]

    def _total(self, likely: Floats, path: Sequence[tuple[int, int]], last: int) -> float:
        """Log probability of one text, ended with its period or without."""
        end, period = self._weights.end, self._weights.period
        body = path if period is None else path[:-1]
        total = float(sum(likely[node, row] for node, row in body))
        if period is None:
            return total + float(likely[last, end])
        before = path[-1][0]
        with_period = float(likely[before, period] + likely[last, end])
        return total + float(np.logaddexp(float(likely[before, end]), with_period))


def fused(hypotheses: Sequence[Hypothesis], scores: Sequence[float | None], weight: float) -> tuple[Hypothesis, ...]:
    """The recognizer's alternatives with both opinions added up, best first; unchanged where the other has none.

    Speech that is no answer keeps its place beside the best when the network has no word for it; a phrase that it
    cannot write counts as its worst.
    """
    known = [score for score in scores if score is not None]
    writable = [score for one, score in zip(hypotheses, scores, strict=True) if one.words != UNKNOWN_WORD]
    if not known or sum(score is not None for score in writable) < _LEAST_KNOWN * len(writable):
        return tuple(hypotheses)
    best, worst = max(known), min(known)
    made = []
    for one, score in zip(hypotheses, scores, strict=True):
        opinion = score if score is not None else best if one.words == UNKNOWN_WORD else worst
        made.append(Hypothesis(one.words, one.score + weight * (opinion - best), one.score, opinion))
    return tuple(sorted(made, key=lambda one: -one.score))


def second_opinion(
    scorer: Scorer | None, samples: Samples, hypotheses: Sequence[Hypothesis], weight: float
) -> tuple[Hypothesis, ...]:
    """The alternatives weighed by both; unchanged without a scorer, or where there is nothing to choose from."""
    if scorer is None or len(hypotheses) < 2 or len(samples) > LONGEST * RATE:
        return tuple(hypotheses)
    return fused(hypotheses, scorer.scores(samples, [one.words for one in hypotheses]), weight)


def best_scorer() -> Scorer | None:
    """The scorer of this process: with our weights, else the published ones, else none. The first call reads them."""
    with _READING:
        return _best()


_READING = threading.Lock()


@functools.cache
def _best() -> Scorer | None:
    for read in (our_weights, downloaded_weights):
        # the library that runs the network has errors of its own, and is not there for every system
        with contextlib.suppress(Exception):
            weights = read()
            if weights is not None:
                return NetworkScorer(Moonshine(weights))
    return None


def our_weights() -> Weights | None:
    """The weights that come with the program; None when they are not there.

    Raises:
        OperatorError: they are damaged.
    """
    return read_weights(OURS, OURS_SHA256) if OURS.is_file() else None


def downloaded_weights() -> Weights | None:
    """The published weights that ``leadsman setup`` fetched; None when it did not.

    Raises:
        OperatorError: they cannot be read.
    """
    folder = published_folder()
    return None if folder is None else published_weights(folder, published_hash())


def _sum(totals: Sequence[float]) -> float | None:
    """Log of the sum of probabilities; None without any."""
    return float(np.logaddexp.reduce(totals)) if totals else None
