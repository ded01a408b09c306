"""The pieces that the trained network writes: those of our own words, a start, and one for what is no answer."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

EMBEDDING, OUTPUT = "dec.embed_tokens.w", "proj_out.w"
"""Names of the two matrices with a row, or a column, for each piece."""
UNKNOWN, START, END = 0, 1, 2
"""The publisher's numbers."""
Encode = Callable[[str], Sequence[int]]


@dataclass(frozen=True, slots=True)
class Rows:
    """Rows of the trained network by the publisher's numbers."""

    domain: npt.NDArray[np.int32]
    """The publisher's number of each row, -1 for rows of our own."""
    words: Mapping[str, tuple[int, ...]]
    """Rows of each word, which follow one another in a text."""
    start: int
    end: int
    no_answer: int

    def of(self, text: str) -> list[int]:
        """Rows of a text; of '' that of no answer."""
        return [row for word in text.split() for row in self.words[word]] if text else [self.no_answer]


def rows_of(words: Iterable[str], encode: Encode) -> Rows:
    """Rows for a list of words; a word stands behind a space, also the first of a text."""
    pieces = {word: tuple(encode(word)) for word in words}
    numbers = sorted({END, *(number for found in pieces.values() for number in found)})
    row = {number: at for at, number in enumerate(numbers)}
    start, no_answer = len(numbers), len(numbers) + 1
    domain = np.array([*numbers, -1, -1], dtype=np.int32)
    return Rows(
        domain,
        {word: tuple(row[number] for number in found) for word, found in pieces.items()},
        start,
        row[END],
        no_answer,
    )


def cut_to(arrays: Mapping[str, npt.NDArray[Any]], rows: Rows) -> dict[str, npt.NDArray[Any]]:
    """The published arrays with the rows of our pieces alone; ours begin as the published start and unknown.

    Rows of the embedding are the columns of the output, which the published network does not keep apart.
    """
    numbers = np.where(rows.domain >= 0, rows.domain, 0)
    numbers[rows.start], numbers[rows.no_answer] = START, UNKNOWN
    found = dict(arrays)
    found[EMBEDDING] = arrays[EMBEDDING][numbers].copy()
    found[OUTPUT] = np.ascontiguousarray(found[EMBEDDING].T)
    for mark in (":s", ":z"):
        if EMBEDDING + mark in arrays:
            if arrays[EMBEDDING + mark].size > 1:
                found[EMBEDDING + mark] = arrays[EMBEDDING + mark].reshape(-1)[numbers]
            found[OUTPUT + mark] = found[EMBEDDING + mark]
    return found
