"""A trained network's graph, ready to run."""

from __future__ import annotations

from typing import Any


def network(model: bytes) -> Any:
    """A graph in ONNX, from its bytes, to be run on one thread: one bay never takes another's core."""
    import onnxruntime

    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = options.inter_op_num_threads = 1
    return onnxruntime.InferenceSession(model, options, providers=["CPUExecutionProvider"])
