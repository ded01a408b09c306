"""A file of weights is read as it was written, and only when it is the file whose hash is known."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from assistant.asr.network.weights import Matrix, read_weights
from assistant.errors import OperatorError

META = {"format": 1, "name": "small", "spelling": "words", "start": 0, "end": 1, "no_answer": 2}


def written(path: Path, meta: dict[str, object] | None = None) -> str:
    told = np.frombuffer(json.dumps(META if meta is None else meta).encode(), dtype=np.uint8)
    levels = np.array([[127, -127], [1, 0]], dtype=np.int8)
    matrices: dict[str, Any] = {
        "a.w": levels,
        "a.w:s": np.array([0.5, 2.0], dtype=np.float32),
        "b": np.ones(2, dtype=np.half),
    }
    np.savez_compressed(
        path, meta=told, tokenizer=np.frombuffer(b"\x01a", dtype=np.uint8), domain=np.array([-1, -1, -1, 7, 9]),
        **matrices,
    )  # fmt: skip
    return hashlib.sha256(path.read_bytes()).hexdigest()


def test_matrices_rows_and_meta_come_back(tmp_path: Path) -> None:
    path = tmp_path / "w.npz"
    found = read_weights(path, written(path))
    matrix = found.arrays["a.w"]
    assert isinstance(matrix, Matrix)
    assert matrix.plain().tolist() == [[63.5, -254.0], [0.5, 0.0]]
    assert found.rows == {7: 3, 9: 4}
    assert (found.name, found.start, found.end, found.no_answer, found.period) == ("small", 0, 1, 2, None)
    assert found.pieces == b"\x01a"


def test_another_file_than_the_pinned_one_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "w.npz"
    right = written(path)
    path.write_bytes(path.read_bytes()[:-1] + b"\x01")
    with pytest.raises(OperatorError, match="damaged"):
        read_weights(path, right)


@pytest.mark.parametrize("meta", [{**META, "format": 2}, {"format": 1}])
def test_another_format_is_told(tmp_path: Path, meta: dict[str, object]) -> None:
    path = tmp_path / "w.npz"
    with pytest.raises(OperatorError, match="another format"):
        read_weights(path, written(path, meta))


def test_a_missing_file_is_told(tmp_path: Path) -> None:
    with pytest.raises(OperatorError, match="Cannot read"):
        read_weights(tmp_path / "none.npz", "0")
