"""How likely texts are under a piece of sound, by a small network that writes down what it hears."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from assistant.asr.network.moonshine_graph import LAYERS, WIDTH, sound_graph, text_graph
from assistant.asr.network.tokenizer import Tokenizer
from assistant.asr.network.weights import Floats, Weights
from assistant.audio.networks import network
from assistant.audio.sound import Samples

SHORTEST = 2560
"""Samples of the shortest sound that the convolutions take; a shorter one is followed by silence."""
_APART = -1e9


@dataclass(frozen=True, slots=True)
class Encoded:
    """A piece of sound, ready to be compared with texts."""

    keys: Floats
    values: Floats


@dataclass(frozen=True, slots=True)
class Tree:
    """Texts that share their beginnings."""

    pieces: list[int]
    """Row of each node's piece; the first node is the start."""
    parents: list[int]
    """Number of the node before each, -1 for the first."""
    paths: list[list[tuple[int, int]]]
    """For each text the nodes that it goes through, each with the row of the piece behind it."""
    ends: list[int]
    """For each text the node of its last piece."""


@dataclass(frozen=True, slots=True)
class Written:
    """A text so far, piece by piece, with what the network keeps of it."""

    rows: tuple[int, ...]
    likely: Floats
    """Log probability of every piece that could come next."""
    keys: Floats
    values: Floats


class Moonshine:
    """The network with its weights read. Its methods may be called from several threads at once.

    Args:
        weights: its weights.
        small: keep the matrices as 8-bit integers, a quarter of the memory, in place of floating numbers.

    Raises:
        ImportError: onnxruntime is not installed, or not for this system.
    """

    def __init__(self, weights: Weights, *, small: bool = True) -> None:
        self.weights = weights
        self.tokenizer = Tokenizer(weights.pieces)
        self._pieces: dict[int, int] | None = None
        self._sound = network(sound_graph(weights, small=small))
        self._text = network(text_graph(weights, small=small))

    def encode(self, samples: Samples) -> Encoded:
        """Get 16-bit sound at 16 kHz ready."""
        levels = np.zeros(max(SHORTEST, len(samples)), dtype=np.float32)
        levels[: len(samples)] = samples / np.float32(32768.0)
        positions = np.arange(_positions(len(levels)), dtype=np.int64)[None]
        keys, values = self._sound.run(None, {"sound": levels[None, None], "positions": positions})
        return Encoded(keys, values)

    def rows(self, text: str) -> list[int] | None:
        """Rows of the pieces of a text, None when one of them is not among those that the weights know."""
        pieces = self.tokenizer.encode(text)
        known = self.weights.rows
        if known is None:
            return list(pieces)
        found = [known.get(piece) for piece in pieces]
        return None if None in found else [row for row in found if row is not None]

    def text(self, rows: Sequence[int]) -> str:
        """The text of rows; those of no piece of the publisher's are left out."""
        known = self.weights.rows
        if known is None:
            return self.tokenizer.decode(list(rows))
        if self._pieces is None:
            self._pieces = {row: piece for piece, row in known.items()}
        return self.tokenizer.decode([self._pieces[row] for row in rows if row in self._pieces])

    def tree(self, texts: Sequence[Sequence[int]]) -> Tree:
        """Texts, as rows, that begin alike share their nodes."""
        made = Tree([self.weights.start], [-1], [], [])
        known: dict[tuple[int, int], int] = {}
        for text in texts:
            node = 0
            path = []
            for row in text:
                path.append((node, row))
                after = known.get((node, row))
                if after is None:
                    after = known[node, row] = len(made.pieces)
                    made.pieces.append(row)
                    made.parents.append(node)
                node = after
            made.paths.append(path)
            made.ends.append(node)
        return made

    def likely(self, encoded: Encoded, tree: Tree) -> Floats:
        """Log probability of every piece behind each node of a tree (nodes, rows)."""
        count = len(tree.pieces)
        after = np.zeros((count, count), dtype=bool)
        depths = np.zeros(count, dtype=np.int64)
        for node, parent in enumerate(tree.parents):
            if parent >= 0:
                after[node] = after[parent]
                depths[node] = depths[parent] + 1
            after[node, node] = True
        mask = np.where(after, np.float32(0.0), np.float32(_APART))
        nothing = np.zeros((LAYERS, 0, WIDTH), dtype=np.float32)
        return self._run(encoded, tree.pieces, depths, mask, np.arange(count), (nothing, nothing))[0]

    def begin(self, encoded: Encoded) -> Written:
        """An empty text, to be written on piece by piece."""
        nothing = np.zeros((LAYERS, 0, WIDTH), dtype=np.float32)
        return self._written(encoded, Written((), nothing, nothing, nothing), self.weights.start)

    def write(self, encoded: Encoded, text: Written, row: int) -> Written:
        """The text with one more piece."""
        return self._written(encoded, text, row)

    def likeliest(self, encoded: Encoded, count: int, most: int) -> list[tuple[tuple[int, ...], float]]:
        """The likeliest texts of at most so many pieces, best first, as rows with their log probability.

        A beam search: of the beginnings of each length the likeliest are written on, until no text that is not ended
        yet can be among the likeliest. Beginnings share what the network keeps of their own beginnings.
        """
        nothing = np.zeros((LAYERS, 0, WIDTH), dtype=np.float32)
        past = (nothing, nothing)
        live: list[tuple[float, tuple[int, ...], list[int]]] = [(0.0, (self.weights.start,), [])]
        ended: list[tuple[float, tuple[int, ...]]] = []
        for depth in range(most):
            kept = past[0].shape[1]
            mask = np.full((len(live), kept + len(live)), _APART, dtype=np.float32)
            for at, (_, _, before) in enumerate(live):
                mask[at, [*before, kept + at]] = 0.0
            depths = np.full(len(live), depth, dtype=np.int64)
            rows = [text[-1] for _, text, _ in live]
            likely, *past_now = self._run(encoded, rows, depths, mask, np.arange(len(live)), past)
            past = (past_now[0], past_now[1])
            grown: list[tuple[float, tuple[int, ...], list[int]]] = []
            for at, (total, text, before) in enumerate(live):
                for row in np.argpartition(-likely[at], count)[: count + 1]:
                    grown_by = total + float(likely[at, row])
                    if row == self.weights.end:
                        ended.append((grown_by, text[1:]))
                    else:
                        grown.append((grown_by, (*text, int(row)), [*before, kept + at]))
            ended = sorted(ended, reverse=True)[:count]
            live = sorted(grown, key=lambda one: -one[0])[:count]
            if len(ended) == count:
                live = [one for one in live if one[0] > ended[-1][0]]
            if not live:
                break
        return [(text, total) for total, text in ended]

    def _written(self, encoded: Encoded, text: Written, row: int) -> Written:
        past = text.keys.shape[1]
        mask = np.zeros((1, past + 1), dtype=np.float32)
        depth = np.array([past], dtype=np.int64)
        likely, keys, values = self._run(encoded, [row], depth, mask, np.zeros(1), (text.keys, text.values))
        return Written((*text.rows, row), likely[0], keys, values)

    def _run(
        self,
        encoded: Encoded,
        pieces: Sequence[int],
        depths: npt.NDArray[np.int64],
        mask: Floats,
        asked: npt.NDArray[np.generic],
        past: tuple[Floats, Floats],
    ) -> list[Floats]:
        given = {
            "pieces": np.asarray(pieces, dtype=np.int64), "depths": depths[None], "mask": mask,
            "asked": asked.astype(np.int64), "past_keys": past[0], "past_values": past[1],
            "keys": encoded.keys, "values": encoded.values,
        }  # fmt: skip
        found: list[Floats] = self._text.run(None, given)
        return found


def _positions(samples: int) -> int:
    """How many positions the three convolutions make of so many samples."""
    return (((samples - 127) // 64 + 1 - 7) // 3 + 1 - 3) // 2 + 1
