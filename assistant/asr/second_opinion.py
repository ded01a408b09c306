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
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

import numpy as np

from assistant.asr.network.moonshine import Encoded, Moonshine
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
OURS_SHA256 = "53bcda9090ce135569bda4be61f2d1db731f32f18b90e150cac343d26e235b07"
"""Hash of the weights that come with the program."""
MOST_PIECES = 40
"""Pieces of the longest text that the network writes itself: no answer has as many."""
OWN_TEXTS = 6
"""How many texts it writes itself."""
OWN_BEHIND = 3.0
"""Log score by which its own words stand behind the recognizer's last alternative."""
_LEAST_KNOWN = 0.75
"""Share of the phrases that the network must be able to write, or its opinion is not taken."""


@dataclass(frozen=True, slots=True)
class Opinion:
    """What a second scorer makes of a piece of sound."""

    scores: tuple[float | None, ...]
    """Log probability of each phrase; None for one that it cannot write."""
    own: tuple[tuple[str, float], ...] = ()
    """What it would write itself, where that is none of the phrases, and the log probability of each."""


class Scorer(Protocol):
    """Says how likely phrases are under a piece of sound."""

    @property
    def name(self) -> str:
        """What a record calls it."""

    def opinion(self, samples: Samples, phrases: Sequence[str], *, writes: bool) -> Opinion:
        """What it makes of 16-bit sound at 16 kHz; ``writes``: with its own words.

        ``UNKNOWN_WORD`` in a phrase stands for a word of no vocabulary, alone for speech that is no answer.
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

    def opinion(self, samples: Samples, phrases: Sequence[str], *, writes: bool) -> Opinion:
        """See ``Scorer``."""
        ways = [self._ways(phrase) for phrase in phrases]
        texts = [text for each in ways for text in each]
        if not texts:
            return Opinion((None,) * len(phrases))
        encoded = self._network.encode(samples)
        tree = self._network.tree(texts)
        likely = self._network.likely(encoded, tree)
        totals = iter([self._total(likely, tree.paths[at], tree.ends[at]) for at in range(len(texts))])
        scores = tuple(_sum([next(totals) for _ in each]) for each in ways)
        own = self._own_words(encoded) if writes and self._weights.spelling == WORDS else []
        return Opinion(scores, tuple((words, score) for words, score in own if words not in phrases))

    def _own_words(self, encoded: Encoded) -> list[tuple[str, float]]:
        """The likeliest texts and their log probabilities, without those that are no answer."""
        none = self._weights.no_answer
        found = self._network.likeliest(encoded, OWN_TEXTS, MOST_PIECES)
        told = [(self._network.text(rows), round(score, 3)) for rows, score in found if none not in rows]
        return [(words, score) for words, score in told if words]

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


def fused(hypotheses: Sequence[Hypothesis], opinion: Opinion, weight: float) -> tuple[Hypothesis, ...]:
    """The recognizer's alternatives with both opinions added up, best first; unchanged where the other has none.

    Speech that is no answer keeps its place beside the best when the network has no word for it; a phrase that it
    cannot write counts as its worst. Its own words stand among the others, behind the recognizer's last: in loud
    noise what was said is often none of the alternatives.
    """
    known = [score for score in opinion.scores if score is not None]
    pairs = list(zip(hypotheses, opinion.scores, strict=True))
    writable = [score for one, score in pairs if one.words != UNKNOWN_WORD]
    if not known or sum(score is not None for score in writable) < _LEAST_KNOWN * len(writable):
        return tuple(hypotheses)
    best, worst = max(known), min(known)
    last = min(one.score for one in hypotheses) - OWN_BEHIND
    pairs += [(Hypothesis(words, last, own=True), score) for words, score in opinion.own]
    made = []
    for one, score in pairs:
        said = score if score is not None else best if one.words == UNKNOWN_WORD else worst
        made.append(Hypothesis(one.words, one.score + weight * (said - best), one.score, said, one.own))
    return tuple(sorted(made, key=lambda one: -one.score))


def second_opinion(
    scorer: Scorer | None, samples: Samples, hypotheses: Sequence[Hypothesis], weight: float, *, noisy: bool
) -> tuple[Hypothesis, ...]:
    """The alternatives weighed by both; unchanged without a scorer, or for a sound that is too long.

    Only in noise has the network words of its own: in quiet what was said is among the alternatives.
    """
    if scorer is None or not hypotheses or len(samples) > LONGEST * RATE:
        return tuple(hypotheses)
    return fused(hypotheses, scorer.opinion(samples, [one.words for one in hypotheses], writes=noisy), weight)


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
    """Log of the sum of probabilities, to a thousandth, so that the same sound scores the same; None without any."""
    return round(float(np.logaddexp.reduce(totals)), 3) if totals else None
