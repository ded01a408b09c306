"""A file of weights: numpy arrays, its matrices as 8-bit integers with a scale for each column.

``meta`` says what the rest is: how its texts are spelled and which rows stand for start, end and 'no answer'. Ours
lies beside this module; ``weights/CARD.md`` says what it was trained on. The published ones are made by ``leadsman
setup`` from the publisher's package. Either is read only when its hash is the pinned one.
"""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt

from assistant.errors import OperatorError

Floats = npt.NDArray[np.float32]
FORMAT = 1
WORDS, WRITTEN = "words", "written"
"""Spellings: the recognizer's own words in lower case; or with capitals, figures and marks, as people write."""


@dataclass(frozen=True, slots=True)
class Matrix:
    """8-bit weights, inputs by outputs: value = (levels - zero) * scale."""

    levels: npt.NDArray[np.int8]
    scale: Floats
    """One for all, or one for each output."""
    zero: npt.NDArray[np.int8]
    """Of the same shape."""

    def plain(self) -> Floats:
        """As floating numbers."""
        return np.asarray(
            (self.levels.astype(np.float32) - self.zero.astype(np.float32)) * self.scale, dtype=np.float32
        )


@dataclass(frozen=True, slots=True)
class Weights:
    """Everything in one file."""

    name: str
    """What a record calls them."""
    sha256: str
    spelling: str
    """``WORDS`` or ``WRITTEN``."""
    start: int
    """Row of the piece that begins every text."""
    end: int
    """Row of the piece that ends it."""
    period: int | None
    """Row of the period that may stand before the end; None when texts have none."""
    no_answer: int | None
    """Row of the piece for speech that is no answer; None when there is none."""
    rows: Mapping[int, int] | None
    """Number of a piece -> its row; None when every piece has its own, in order."""
    pieces: bytes
    """The publisher's list of pieces."""
    arrays: Mapping[str, Floats | Matrix]


def read_weights(path: Path, sha256: str) -> Weights:
    """Read a file and check it.

    Raises:
        OperatorError: it cannot be read, or is not the file whose hash was pinned.
    """
    try:
        content = path.read_bytes()
    except OSError as error:
        raise OperatorError(f"Cannot read the second scorer's weights: {error.strerror or error}.") from None
    if hashlib.sha256(content).hexdigest() != sha256:
        raise OperatorError(f"The second scorer's weights in {path} are damaged.", remedy="Run: leadsman setup")
    try:
        with np.load(io.BytesIO(content)) as opened:
            return _weights({name: opened[name] for name in opened.files}, sha256)
    except (ValueError, KeyError, TypeError, zipfile.BadZipFile) as error:
        raise OperatorError(f"The second scorer's weights in {path} are of another format ({error}).") from None


def _weights(found: dict[str, npt.NDArray[np.generic]], sha256: str) -> Weights:
    meta = json.loads(found.pop("meta").tobytes().decode("utf-8"))
    if meta.get("format") != FORMAT:
        raise ValueError(f"format {meta.get('format')}")
    pieces = found.pop("tokenizer").tobytes()
    domain = found.pop("domain", None)
    arrays: dict[str, Floats | Matrix] = {}
    for name, array in found.items():
        if name.endswith((":s", ":z")):
            continue
        if f"{name}:s" in found:
            scale = found[f"{name}:s"].astype(np.float32)
            zero = found.get(f"{name}:z", np.zeros(scale.shape, dtype=np.int8)).astype(np.int8)
            arrays[name] = Matrix(array.astype(np.int8), scale, zero)
        else:
            arrays[name] = array.astype(np.float32)
    rows = None if domain is None else {int(piece): row for row, piece in enumerate(domain) if piece >= 0}
    return Weights(
        name=meta["name"], sha256=sha256, spelling=meta["spelling"], start=meta["start"], end=meta["end"],
        period=meta.get("period"), no_answer=meta.get("no_answer"), rows=rows, pieces=pieces, arrays=arrays,
    )  # fmt: skip
