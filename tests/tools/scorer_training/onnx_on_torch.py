"""Runs the neural synthesizer's ONNX file with PyTorch, where a GPU has no other runtime for such files.

Knows the operators of that file. Its 8-bit products are done in floating numbers: a product of quantized matrices is
the same without quantizing what comes in, so nothing is rounded on the way. Shapes stay on the processor.
Source of the operators' meaning: the ONNX operator schemas, opset 20, and onnxruntime's contrib operators.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import torch
from torch import Tensor
from torch.nn import functional

Attributes = dict[str, Any]
_FINE = 2.0**-10
_TYPES = {1: torch.float32, 6: torch.int32, 7: torch.int64, 9: torch.bool}


class Runner:
    """A graph, ready to be run.

    Args:
        path: the file.
        device: 'cpu' or 'cuda'.
    """

    def __init__(self, path: Path, device: str) -> None:
        import onnx
        from onnx import helper, numpy_helper

        graph = onnx.load(str(path)).graph
        self.device = device
        self.inputs = [one.name for one in graph.input]
        self._output = graph.output[0].name
        self._constants = {one.name: _constant(numpy_helper.to_array(one), device) for one in graph.initializer}
        self._nodes: list[tuple[Callable[..., Any], Attributes, list[str], list[str], list[str]]] = []
        last = {name: at for at, node in enumerate(graph.node) for name in node.input}
        for at, node in enumerate(graph.node):
            attributes = {one.name: helper.get_attribute_value(one) for one in node.attribute}
            if node.op_type == "DynamicQuantizeLSTM":
                attributes["lstm"] = self._lstm(list(node.input))
            done = [name for name in set(node.input) if last[name] == at and name not in self._constants]
            if "value" in attributes:
                attributes["value"] = numpy_helper.to_array(attributes["value"]).item()
            self._nodes.append((OPERATORS[node.op_type], attributes, list(node.input), list(node.output), done))

    @torch.no_grad()
    def run(self, given: Mapping[str, np.ndarray]) -> np.ndarray:
        """The graph's first output."""
        values: dict[str, Any] = {name: torch.tensor(one, device=self.device) for name, one in given.items()}
        constants = self._constants
        for operator, attributes, inputs, outputs, done in self._nodes:
            taken = [constants[name] if name in constants else values[name] if name else None for name in inputs]
            made = operator(attributes, *taken)
            if len(outputs) == 1 or not isinstance(made, (list, tuple)):
                values[outputs[0]] = made
            else:
                values.update(zip(outputs, made, strict=False))
            for name in done:
                values.pop(name, None)
        return np.asarray(values[self._output].float().cpu().numpy())

    def _lstm(self, names: Sequence[str]) -> torch.nn.LSTM:
        """The layer with its weights as floating numbers: gates in another order, an input by its outputs."""
        weight, recurrent, bias = (self._constants[name].cpu() for name in names[1:4])
        scales = [self._constants[name].cpu().reshape(-1, 1, 1) for name in (names[8], names[10])]
        zeros = [self._constants[name].cpu().reshape(-1, 1, 1) for name in (names[9], names[11])]
        matrices = [(one - zero) * scale for one, zero, scale in zip((weight, recurrent), zeros, scales, strict=True)]
        hidden = recurrent.shape[1]
        order = [gate * hidden + at for gate in (0, 2, 3, 1) for at in range(hidden)]
        made = torch.nn.LSTM(weight.shape[1], hidden, bidirectional=True)
        for way, end in enumerate(("", "_reverse")):
            for name, value in (
                ("weight_ih", matrices[0][way].t()[order]),
                ("weight_hh", matrices[1][way].t()[order]),
                ("bias_ih", bias[way, : 4 * hidden][order]),
                ("bias_hh", bias[way, 4 * hidden :][order]),
            ):
                getattr(made, f"{name}_l0{end}").data.copy_(value)
        made = made.to(self.device).eval()
        made.flatten_parameters()
        return made


def _constant(array: np.ndarray, device: str) -> Tensor:
    """Whole numbers that are shapes and places stay on the processor; bytes are floating numbers at once."""
    made = torch.tensor(np.array(array))
    if made.dtype in (torch.int64, torch.int32):
        return made.long()
    return (made if made.dtype == torch.bool else made.float()).to(device)


def _together(*tensors: Tensor) -> list[Tensor]:
    """On one device: the first other than the processor, if any."""
    for one in tensors:
        if one.device.type != "cpu":
            return [other if other.device == one.device else other.to(one.device) for other in tensors]
    return list(tensors)


def _pair(operation: Callable[[Tensor, Tensor], Tensor]) -> Callable[..., Tensor]:
    def run(_: Attributes, one: Tensor, other: Tensor) -> Tensor:
        return operation(one, other) if one.device == other.device else operation(*_together(one, other))

    return run


def _single(operation: Callable[[Tensor], Any]) -> Callable[..., Any]:
    return lambda _, one: operation(one)


def _divide(one: Tensor, other: Tensor) -> Tensor:
    whole = not one.is_floating_point() and not other.is_floating_point()
    return torch.div(one, other, rounding_mode="trunc") if whole else one / other


def _ints(one: Tensor) -> list[int]:
    found = one.tolist()
    return found if isinstance(found, list) else [found]


def _gather(given: Attributes, data: Tensor, index: Tensor) -> Tensor:
    axis = given.get("axis", 0) % data.dim()
    index = torch.where(index < 0, index + data.shape[axis], index)
    taken = data.index_select(axis, index.reshape(-1).to(data.device))
    return taken.reshape([*data.shape[:axis], *index.shape, *data.shape[axis + 1 :]])


def _slice(_: Attributes, data: Tensor, starts: Tensor, ends: Tensor, axes: Tensor | None = None,
           steps: Tensor | None = None) -> Tensor:  # fmt: skip
    firsts = _ints(starts)
    places = range(len(firsts)) if axes is None else _ints(axes)
    each = [1] * len(firsts) if steps is None else _ints(steps)
    for first, last, axis, step in zip(firsts, _ints(ends), places, each, strict=True):
        size = data.shape[axis]
        if step < 0:
            taken = torch.tensor(range(size)[slice(first, last if last >= -size else None, step)])
            data = data.index_select(axis, taken.to(data.device))
            continue
        at = [slice(None)] * data.dim()
        at[axis] = slice(first, min(last, size), step)
        data = data[tuple(at)]
    return data


def _reshape(_: Attributes, data: Tensor, shape: Tensor) -> Tensor:
    wanted = [data.shape[at] if size == 0 else size for at, size in enumerate(_ints(shape))]
    return data.reshape(wanted)


def _convolve(given: Attributes, x: Tensor, weight: Tensor, *more: Tensor | None) -> Tensor:
    pads = given.get("pads", [0, 0])
    if pads[0] != pads[1]:
        x = functional.pad(x, pads)
        pads = [0, 0]
    return functional.conv1d(
        x, weight, more[0] if more else None, tuple(given.get("strides", (1,))), pads[0],
        tuple(given.get("dilations", (1,))), given.get("group", 1),
    )  # fmt: skip


def _whole_convolve(given: Attributes, x: Tensor, weight: Tensor, _: Tensor, zero: Tensor) -> Tensor:
    return _convolve(given, x, weight - zero)


def _whole_product(_: Attributes, x: Tensor, weight: Tensor, __: Tensor, zero: Tensor) -> Tensor:
    return x @ (weight - zero)


def _convolve_back(given: Attributes, x: Tensor, weight: Tensor, bias: Tensor | None = None) -> Tensor:
    return functional.conv_transpose1d(
        x, weight, bias, tuple(given.get("strides", (1,))), given.get("pads", [0, 0])[0],
        tuple(given.get("output_padding", (0,))), given.get("group", 1), tuple(given.get("dilations", (1,))),
    )  # fmt: skip


def _resize(given: Attributes, x: Tensor, _: Tensor | None, scales: Tensor) -> Tensor:
    scale = float(scales[-1])
    if given["mode"] == b"linear":
        return functional.interpolate(x, scale_factor=scale, mode="linear", align_corners=False)
    return functional.interpolate(x, scale_factor=scale, mode="nearest")


def _spectra(_: Attributes, x: Tensor, step: Tensor, window: Tensor, length: Tensor) -> Tensor:
    frames = x.reshape(x.shape[0], -1).unfold(1, int(length), int(step)) * window
    # the file divides one part by the other for an angle: in silence both would be nought
    return torch.view_as_real(torch.fft.rfft(frames)) + 1e-12


def _scattered(_: Attributes, data: Tensor, index: Tensor, updates: Tensor) -> Tensor:
    data, index, updates = _together(data, index, updates)
    found = data.clone()
    found[tuple(index.unbind(-1))] = updates
    return found


def _recurrent(given: Attributes, x: Tensor, *_: Tensor | None) -> list[Tensor]:
    found, (hidden, cell) = given["lstm"](x)
    # (time, batch, ways and width) -> (time, ways, batch, width)
    return [found.unflatten(-1, (2, -1)).transpose(1, 2), hidden, cell]


def _mean(given: Attributes, x: Tensor, axes: Tensor) -> Tensor:
    return x.mean(_ints(axes), keepdim=bool(given.get("keepdims", 1)))


def _total(given: Attributes, x: Tensor, axes: Tensor) -> Tensor:
    return x.sum(_ints(axes), keepdim=bool(given.get("keepdims", 1)))


def _clip(_: Attributes, x: Tensor, least: Tensor | None = None, most: Tensor | None = None) -> Tensor:
    return torch.clamp(x, *(None if one is None else float(one) for one in (least, most)))


def _normed(given: Attributes, x: Tensor, scale: Tensor, shift: Tensor | None = None) -> Tensor:
    return functional.layer_norm(x, (x.shape[-1],), scale, shift, given["epsilon"])


def _padded(given: Attributes, x: Tensor, pads: Tensor, *_: Tensor) -> Tensor:
    sizes = _ints(pads)
    half = len(sizes) // 2
    return functional.pad(x, [sizes[half - 1], sizes[-1]], mode=given["mode"].decode())


def _squeezed(_: Attributes, x: Tensor, axes: Tensor) -> Tensor:
    return x.squeeze(tuple(_ints(axes)))


def _unsqueezed(_: Attributes, x: Tensor, axes: Tensor) -> Tensor:
    for axis in sorted(_ints(axes)):
        x = x.unsqueeze(axis)
    return x


@functools.cache
def _fine(device: torch.device) -> tuple[Tensor, Tensor]:
    return torch.tensor(_FINE, device=device), torch.tensor(0.0, device=device)


def _quantized(_: Attributes, x: Tensor) -> list[Tensor]:
    """Only scaled: shifts are rounded to whole numbers of this scale, so it is a fine one."""
    return [x / _FINE, *_fine(x.device)]


OPERATORS: dict[str, Callable[..., Any]] = {
    "Add": _pair(torch.add), "Sub": _pair(torch.sub), "Mul": _pair(torch.mul), "Div": _pair(_divide),
    "Pow": _pair(torch.pow), "And": _pair(torch.logical_and), "Equal": _pair(torch.eq), "Less": _pair(torch.lt),
    "Greater": _pair(torch.gt), "GreaterOrEqual": _pair(torch.ge), "MatMul": _pair(torch.matmul),
    "Floor": _single(torch.floor), "Round": _single(torch.round), "Sqrt": _single(torch.sqrt),
    "Sin": _single(torch.sin), "Cos": _single(torch.cos), "Exp": _single(torch.exp), "Atan": _single(torch.atan),
    "Tanh": _single(torch.tanh), "Sigmoid": _single(torch.sigmoid),
    "NonZero": _single(lambda x: x.nonzero().t()), "Shape": _single(lambda x: torch.tensor(x.shape)),
    "Gather": _gather, "Slice": _slice, "Reshape": _reshape, "Squeeze": _squeezed, "Unsqueeze": _unsqueezed,
    "Cast": lambda given, x: x.to(_TYPES[given["to"]]),
    "Transpose": lambda given, x: x.permute(*given["perm"]),
    "Concat": lambda given, *each: torch.cat(_together(*each), given["axis"]),
    "Split": lambda given, x, sizes: list(x.split(_ints(sizes), given["axis"])),
    "Where": lambda _, *each: torch.where(*_together(*each)),
    "Expand": lambda _, x, shape: x.expand(torch.broadcast_shapes(x.shape, _ints(shape))),
    "ConstantOfShape": lambda given, shape: torch.full(_ints(shape), given["value"]),
    "Range": lambda _, first, last, step: torch.arange(first.item(), last.item(), step.item()),
    "CumSum": lambda _, x, axis: x.cumsum(int(axis)),
    "Softmax": lambda given, x: x.softmax(given["axis"]),
    "LeakyRelu": lambda given, x: functional.leaky_relu(x, given["alpha"]),
    "FastGelu": lambda _, x, bias: functional.gelu(x + bias, approximate="tanh"),
    "LayerNormalization": _normed,
    "SkipLayerNormalization": lambda given, x, other, *rest: _normed(given, x + other, *rest),
    "FusedMatMul": lambda _, x, y: torch.matmul(*_together(x.transpose(-1, -2), y)),
    "ReduceMean": _mean, "ReduceSum": _total, "Clip": _clip, "Pad": _padded,
    "Conv": _convolve, "ConvInteger": _whole_convolve, "MatMulInteger": _whole_product,
    "ConvTranspose": _convolve_back, "Resize": _resize, "STFT": _spectra, "ScatterND": _scattered,
    "DequantizeLinear": lambda _, x, scale, zero: (x.float() - zero) * scale, "DynamicQuantizeLinear": _quantized,
    "DynamicQuantizeLSTM": _recurrent,
}  # fmt: skip
"""By name."""
