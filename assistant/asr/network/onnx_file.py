"""A graph of a network, written in the ONNX format that onnxruntime reads.

Only the few messages of the format that our graphs need are written here, so that no further package is carried for
it. Source: the public schema ``onnx.proto`` (ONNX IR version 10), whose field numbers stand beside each message.
"""

from __future__ import annotations

import struct
from collections.abc import Iterable, Sequence

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.generic]
Dimension = int | str
"""A length, or the name of one that differs from call to call."""

IR_VERSION = 10
OPSET = 23
OURS = "com.microsoft"
"""The runtime's own operators, for products of 8-bit matrices."""
_VARINT, _BYTES, _FIXED32 = 0, 2, 5
_TYPES = {"float32": 1, "uint8": 2, "int8": 3, "int32": 6, "int64": 7}
_FLOAT, _INT = 1, 2


class Graph:
    """A graph in the making: constants, operations, inputs and outputs, in the order in which they are added."""

    def __init__(self, name: str) -> None:
        self._name = name
        self._nodes: list[bytes] = []
        self._constants: list[bytes] = []
        self._inputs: list[bytes] = []
        self._outputs: list[bytes] = []
        self._count = 0

    def constant(self, value: Array) -> str:
        """An array that belongs to the graph; its name."""
        name = self._fresh()
        whole = np.ascontiguousarray(value)
        # TensorProto: dims 1, data_type 2, name 8, raw_data 9
        self._constants.append(
            b"".join(_number(1, length) for length in whole.shape)
            + _number(2, _TYPES[str(whole.dtype)])
            + _text(8, name)
            + _field(9, whole.tobytes())
        )
        return name

    def input(self, name: str, kind: str, shape: Sequence[Dimension]) -> str:
        """What is given at each call: the name of the type as numpy has it, and the shape."""
        self._inputs.append(_value(name, kind, shape))
        return name

    def output(self, name: str, value: str, kind: str, shape: Sequence[Dimension]) -> None:
        """What a call gives back, under a name of its own."""
        self._nodes.append(_node("Identity", (value,), (name,), "", {}))
        self._outputs.append(_value(name, kind, shape))

    def add(self, operation: str, *inputs: str, domain: str = "", **attributes: float | int | Sequence[int]) -> str:
        """An operation with one result; the name of that. An input that is left out is ''."""
        name = self._fresh()
        self._nodes.append(_node(operation, inputs, (name,), domain, attributes))
        return name

    def model(self) -> bytes:
        """The file."""
        # GraphProto: node 1, name 2, initializer 5, input 11, output 12
        graph = b"".join(_field(1, one) for one in self._nodes) + _text(2, self._name)
        graph += b"".join(_field(5, one) for one in self._constants)
        graph += b"".join(_field(11, one) for one in self._inputs) + b"".join(
            _field(12, one) for one in self._outputs
        )
        # OperatorSetIdProto: domain 1, version 2; ModelProto: ir_version 1, graph 7, opset_import 8
        sets = [_text(1, "") + _number(2, OPSET), _text(1, OURS) + _number(2, 1)]
        return _number(1, IR_VERSION) + _field(7, graph) + b"".join(_field(8, one) for one in sets)

    def _fresh(self) -> str:
        self._count += 1
        return f"v{self._count}"


def _node(
    operation: str,
    inputs: Iterable[str],
    outputs: Iterable[str],
    domain: str,
    attributes: dict[str, float | int | Sequence[int]],
) -> bytes:
    # NodeProto: input 1, output 2, op_type 4, attribute 5, domain 7
    made = b"".join(_text(1, one) for one in inputs) + b"".join(_text(2, one) for one in outputs)
    made += _text(4, operation) + b"".join(_field(5, _attribute(name, one)) for name, one in attributes.items())
    return made + (_text(7, domain) if domain else b"")


def _attribute(name: str, value: float | int | Sequence[int]) -> bytes:
    # AttributeProto: name 1, f 2, i 3, ints 8, type 20 (float 1, int 2, ints 7)
    if isinstance(value, float):
        return _text(1, name) + _varint(2 << 3 | _FIXED32) + struct.pack("<f", value) + _number(20, _FLOAT)
    if isinstance(value, int):
        return _text(1, name) + _number(3, value) + _number(20, _INT)
    return _text(1, name) + b"".join(_number(8, one) for one in value) + _number(20, 7)


def _value(name: str, kind: str, shape: Sequence[Dimension]) -> bytes:
    # Dimension: dim_value 1, dim_param 2; TensorShapeProto: dim 1; TypeProto.Tensor: elem_type 1, shape 2;
    # TypeProto: tensor_type 1; ValueInfoProto: name 1, type 2
    dims = [_number(1, one) if isinstance(one, int) else _text(2, one) for one in shape]
    tensor = _number(1, _TYPES[kind]) + _field(2, b"".join(_field(1, one) for one in dims))
    return _text(1, name) + _field(2, _field(1, tensor))


def _number(field: int, value: int) -> bytes:
    return _varint(field << 3 | _VARINT) + _varint(value & 0xFFFFFFFFFFFFFFFF)


def _text(field: int, text: str) -> bytes:
    return _field(field, text.encode("utf-8"))


def _field(field: int, content: bytes) -> bytes:
    return _varint(field << 3 | _BYTES) + _varint(len(content)) + content


def _varint(value: int) -> bytes:
    made = bytearray()
    while value > 0x7F:
        made.append(value & 0x7F | 0x80)
        value >>= 7
    made.append(value)
    return bytes(made)
