"""Weights between PyTorch and the product's file: 8-bit matrices, one scale for each output.

The format is ``assistant/asr/network/weights``'s; it is written and read here with numpy and PyTorch alone, since the
machine that trains has nothing of the product.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import torch

from tests.tools.scorer_training.vocabulary import EMBEDDING

Arrays = dict[str, npt.NDArray[Any]]
_SMALL = 10_000
"""Arrays of fewer numbers stay floating ones."""


def to_state(arrays: Mapping[str, npt.NDArray[Any]]) -> dict[str, torch.Tensor]:
    """Plain arrays under the product's names as a state of ``Network``."""
    state = {}
    for name, array in arrays.items():
        value = torch.tensor(np.asarray(array, dtype=np.float32))
        if name in ("enc.gn.w", "enc.gn.b"):
            state["enc.gn." + ("weight" if name.endswith("w") else "bias")] = value.flatten()
        elif name == EMBEDDING:
            state["dec.embed_tokens.weight"] = value
        elif name.endswith(".w"):
            state[f"{name[:-2]}.weight"] = value.t().contiguous()
        else:
            state[name] = value
    return state


def from_state(state: Mapping[str, torch.Tensor]) -> Arrays:
    """The inverse of ``to_state``."""
    arrays: Arrays = {}
    for name, value in state.items():
        array = value.detach().float().cpu().numpy()
        if name == "enc.gn.weight":
            arrays["enc.gn.w"] = array
        elif name == "enc.gn.bias":
            arrays["enc.gn.b"] = array
        elif name == "dec.embed_tokens.weight":
            arrays[EMBEDDING] = array
        elif name.endswith(".weight") and array.ndim == 2:
            arrays[f"{name[:-7]}.w"] = np.ascontiguousarray(array.T)
        else:
            arrays[name] = array
    return arrays


def write(path: Path, arrays: Mapping[str, npt.NDArray[Any]], meta: Mapping[str, Any], tokenizer: bytes,
          domain: npt.NDArray[np.int32]) -> None:  # fmt: skip
    """Write a file: matrices and convolutions as 8-bit numbers, all else as half-precision ones."""
    out: dict[str, Any] = {
        "meta": np.frombuffer(json.dumps(dict(meta)).encode("utf-8"), dtype=np.uint8),
        "tokenizer": np.frombuffer(tokenizer, dtype=np.uint8),
        "domain": domain.astype(np.int32),
    }
    for name, array in arrays.items():
        if array.ndim < 2 or array.size < _SMALL:
            out[name] = array.astype(np.float16)
            continue
        out[name], out[f"{name}:s"] = quantized(array, _output_axis(name, array))
    path.parent.mkdir(parents=True, exist_ok=True)
    np.savez_compressed(path, **out)


def quantized(array: npt.NDArray[Any], axis: int) -> tuple[npt.NDArray[np.int8], npt.NDArray[np.float32]]:
    """8-bit numbers around nought and the scale of each slice along ``axis``."""
    others = tuple(at for at in range(array.ndim) if at != axis)
    scale = np.maximum(np.abs(array).max(axis=others, keepdims=True), 1e-12) / 127
    levels = np.rint(array / scale).astype(np.int8)
    return levels, scale.reshape(-1).astype(np.float32)


def read(path: Path) -> tuple[Arrays, dict[str, Any], bytes, npt.NDArray[np.int32] | None]:
    """Plain arrays, what the file says of itself, the list of pieces, and the piece of each row."""
    with np.load(path) as opened:
        found = {name: opened[name] for name in opened.files}
    meta = json.loads(found.pop("meta").tobytes())
    tokenizer = found.pop("tokenizer").tobytes()
    domain = found.pop("domain", None)
    arrays: Arrays = {}
    for name, array in found.items():
        if name.endswith((":s", ":z")):
            continue
        scale = found.get(f"{name}:s")
        if scale is None:
            arrays[name] = array.astype(np.float32)
            continue
        shape = [1] * array.ndim
        if scale.size > 1:
            shape[_output_axis(name, array)] = -1
        zero = found.get(f"{name}:z")
        levels = array.astype(np.float32) - (0 if zero is None else zero.astype(np.float32).reshape(shape))
        arrays[name] = levels * scale.reshape(shape)
    return arrays, meta, tokenizer, domain


def _output_axis(name: str, array: npt.NDArray[Any]) -> int:
    return 0 if name == EMBEDDING or array.ndim == 3 else 1
