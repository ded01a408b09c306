"""The publisher's two files as weights of ours.

They are graphs of onnxruntime in its own file format, a FlatBuffer, with the matrices as 8-bit integers. The package
onnxruntime carries the format's reader; nothing of the publisher's package is installed or run.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from assistant.asr.network.tokenizer import END, START, Tokenizer
from assistant.asr.network.weights import WRITTEN, Floats, Matrix, Weights
from assistant.errors import OperatorError

NAME = "Moonshine tiny English, as published"
_TYPES = {
    1: np.float32,
    2: np.uint8,
    3: np.int8,
    6: np.int32,
    7: np.int64,
    9: np.bool_,
    10: np.float16,
    11: np.float64,
}
_QUANTIZED = "_quantized"
_OF_A_LAYER = re.compile(r"layers\.\d+\..*(bias|layernorm\.weight)$")
_OF_THE_TEXT = re.compile(r"model\.decoder\.(.*(?:bias|norm\.weight))(?:_merged_\d)?$")
_GROUP_SCALE, _GROUP_SHIFT = "onnx::Mul_2080", "onnx::Add_2081"

Arrays = dict[str, npt.NDArray[np.generic]]


def published_weights(folder: Path, sha256: str) -> Weights:
    """The publisher's files, whose hashes have been checked, as weights.

    Args:
        folder: where ``encoder_model.ort``, ``decoder_model_merged.ort`` and ``tokenizer.bin`` lie.
        sha256: the hash that stands for them in a record.

    Raises:
        OperatorError: they cannot be read.
    """
    try:
        arrays = {**_sound(folder / "encoder_model.ort"), **_text(folder / "decoder_model_merged.ort")}
        pieces = (folder / "tokenizer.bin").read_bytes()
    except (OSError, KeyError, ImportError) as error:
        raise OperatorError(f"The published weights in {folder} cannot be read ({error}).") from None
    (period,) = Tokenizer(pieces).encode("a.")[-1:]
    return Weights(NAME, sha256, WRITTEN, START, END, period, None, None, pieces, arrays)


def _sound(path: Path) -> dict[str, Floats | Matrix]:
    (graph,) = _graphs(path)
    known = _constants(graph)
    found: dict[str, Floats | Matrix] = {}
    for name, matrix in _matrices(graph, known):
        found["enc" + name.replace("/layers", ".layers").replace("/", ".") + ".w"] = matrix
    for name, array in known.items():
        if _OF_A_LAYER.match(name) or name in ("layer_norm.weight", "conv2.bias", "conv3.bias"):
            found[f"enc.{name}"] = array.astype(np.float32)
    for name in ("conv1", "conv2", "conv3"):
        found[f"enc.{name}.weight"] = known[f"{name}.weight_add_tensor"].astype(np.float32)
    found["enc.gn.w"] = known[_GROUP_SCALE].astype(np.float32)
    found["enc.gn.b"] = known[_GROUP_SHIFT].astype(np.float32)
    return found


def _text(path: Path) -> dict[str, Floats | Matrix]:
    graphs = _graphs(path)
    known: Arrays = {}
    for graph in graphs:
        known.update(_constants(graph))
    found: dict[str, Floats | Matrix] = {}
    for name, matrix in _matrices(graphs[1], known):  # the branch of a text's beginning; the other has no keys
        found[name.replace("/model/decoder/", "dec.").replace("/Gather", "").replace("/", ".").lstrip(".") + ".w"] = (
            matrix
        )
    for name, array in known.items():
        match = _OF_THE_TEXT.match(name)
        if match:
            found.setdefault(f"dec.{match.group(1)}", array.astype(np.float32))
    return found


def _graphs(path: Path) -> list[Any]:
    """The graph of a file and those inside its operations."""
    from onnxruntime.tools.ort_format_model.ort_flatbuffers_py.fbs.InferenceSession import InferenceSession

    return list(_with_inner(InferenceSession.GetRootAs(path.read_bytes(), 0).Model().Graph()))


def _with_inner(graph: Any) -> Iterator[Any]:
    yield graph
    for node in _nodes(graph):
        for at in range(node.AttributesLength()):
            inner = node.Attributes(at).G()
            if inner is not None:
                yield from _with_inner(inner)


def _nodes(graph: Any) -> Iterator[Any]:
    return (graph.Nodes(at) for at in range(graph.NodesLength()))


def _constants(graph: Any) -> Arrays:
    found: Arrays = {}
    for at in range(graph.InitializersLength()):
        tensor = graph.Initializers(at)
        shape = [tensor.Dims(axis) for axis in range(tensor.DimsLength())]
        raw = tensor.RawDataAsNumpy()
        if not isinstance(raw, int):
            found[tensor.Name().decode()] = np.frombuffer(raw.tobytes(), _TYPES[tensor.DataType()]).reshape(shape)
    return found


def _matrices(graph: Any, known: Arrays) -> Iterator[tuple[str, Matrix]]:
    """The 8-bit matrices by the name of the operation that takes them."""
    for node in _nodes(graph):
        inputs = [node.Inputs(at).decode() for at in range(node.InputsLength())]
        taken = next((name for name in inputs if name.endswith(_QUANTIZED) and name in known), None)
        if taken is not None:
            base = taken.removesuffix(_QUANTIZED)
            levels, scale = known[taken], known[f"{base}_scale"].astype(np.float32)
            zero = known[f"{base}_zero_point"]
            if levels.dtype == np.uint8:  # the same values, around nought
                levels, zero = levels.astype(np.int16) - 128, zero.astype(np.int16) - 128
            yield (
                node.Name().decode().replace("/MatMul_quant", ""),
                Matrix(levels.astype(np.int8), scale, zero.astype(np.int8)),
            )
