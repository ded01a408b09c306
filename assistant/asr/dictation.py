"""Free speech for the record, written down by the network with its published weights, whose words have no limits.

The recognizer's own open vocabulary makes more wrong words of shop talk. What the network writes has capitals and
marks; words of which it was not sure are named behind it, so that the record says where it was not clear.
"""

from __future__ import annotations

import contextlib
import functools
import threading
from collections.abc import Sequence
from typing import Protocol

import numpy as np

from assistant.asr.network.moonshine import Moonshine
from assistant.asr.network.tokenizer import SPACE
from assistant.asr.second_opinion import downloaded_weights
from assistant.audio.sound import RATE, Samples

LONGEST = 24.0
"""Seconds that the network takes at a time: it was trained on pieces no longer than this."""
PIECES_A_SECOND = 7
"""More are no speech: the network goes round in a circle. Its publisher counts 6.5."""
LEAST_SURE = 0.45
"""Probability of a piece below which its word counts as unclear."""
MOST_NAMED = 4
"""Unclear words that are named; with more of them the whole note is."""
UNCLEAR = "not clear"
"""Stands in the record before the words that were not."""
_MARKS = ".,!?;:"
_SPLIT_WITHIN = 4.0
"""Seconds before the longest piece's end in which the quietest place is looked for."""


class Writer(Protocol):
    """Writes down free speech."""

    def write(self, samples: Samples) -> str:
        """The words of 16-bit sound at 16 kHz, with what was not clear named behind; '' when nobody speaks."""


class NetworkWriter:
    """Writes with the network, each time the likeliest piece.

    Args:
        network: with the published weights.
    """

    def __init__(self, network: Moonshine) -> None:
        self._network = network

    def write(self, samples: Samples) -> str:
        """See ``Writer``."""
        written = [self._piece(part) for part in pieces_of(samples)]
        text = " ".join(words for words, _ in written if words)
        unclear = [word for _, words in written for word in words]
        return with_unclear(text, unclear) if text else ""

    def _piece(self, samples: Samples) -> tuple[str, list[str]]:
        """The words of a piece of sound, and those of which the network was not sure."""
        network, weights = self._network, self._network.weights
        encoded = network.encode(samples)
        so_far = network.begin(encoded)
        rows: list[int] = []
        sure: list[float] = []
        for _ in range(int(len(samples) / RATE * PIECES_A_SECOND) + 2):
            row = int(np.argmax(so_far.likely))
            if row == weights.end:
                break
            rows.append(row)
            sure.append(float(np.exp(so_far.likely[row])))
            so_far = network.write(encoded, so_far, row)
        return network.tokenizer.decode(rows), unsure_words([network.tokenizer.piece(row) for row in rows], sure)


def unsure_words(pieces: Sequence[str], sure: Sequence[float]) -> list[str]:
    """Words one of whose pieces was not likely, without the marks around them.

    Args:
        pieces: as written, the space before a word at its beginning.
        sure: probability of each.
    """
    words: list[tuple[str, float]] = []
    for piece, probability in zip(pieces, sure, strict=True):
        if piece.startswith(SPACE) or not words:
            words.append((piece.removeprefix(SPACE), probability))
        elif piece.strip(_MARKS):  # a mark says nothing about the word before it
            words[-1] = (words[-1][0] + piece, min(words[-1][1], probability))
    unsure = (word.strip(_MARKS).lower() for word, probability in words if probability < LEAST_SURE)
    return [word for word in unsure if word]


def with_unclear(text: str, unclear: Sequence[str]) -> str:
    """A text with what was not clear named behind it."""
    named = tuple(dict.fromkeys(unclear))
    if not named:
        return text
    text = text.rstrip(".")
    if len(named) > MOST_NAMED:
        return f"{text} ({UNCLEAR})"
    return f"{text} ({UNCLEAR}: {', '.join(named)})"


def pieces_of(samples: Samples) -> list[Samples]:
    """Sound in pieces that are not too long, parted where it is quietest."""
    longest, within = int(LONGEST * RATE), int(_SPLIT_WITHIN * RATE)
    found = []
    while len(samples) > longest:
        frames = samples[longest - within : longest].astype(np.float32).reshape(-1, RATE // 10)
        at = longest - within + int(np.argmin((frames**2).mean(axis=1))) * (RATE // 10) + RATE // 20
        found.append(samples[:at])
        samples = samples[at:]
    return [*found, samples]


def best_writer() -> Writer | None:
    """The writer of this process; None without the published weights. The first call reads them."""
    with _READING:
        return _best()


_READING = threading.Lock()


@functools.cache
def _best() -> Writer | None:
    # the library that runs the network has errors of its own, and is not there for every system
    with contextlib.suppress(Exception):
        weights = downloaded_weights()
        if weights is not None:
            return NetworkWriter(Moonshine(weights))
    return None
