"""The network as two graphs: sound to what the texts are compared with, and texts to how likely they are.

The architecture is the published one of Moonshine (Jeffries and others 2024, arXiv 2410.15608): three convolutions
over raw sound, six layers of encoder and six of decoder, 288 wide, 8 heads, positions turned into the first 32 of
each head's 36 numbers. The texts of a call may share beginnings: they are one tree, its nodes in any order in which
each stands behind its parent, and a mask says which nodes a node comes after.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from assistant.asr.network.onnx_file import OURS, Graph
from assistant.asr.network.weights import Floats, Matrix, Weights

LAYERS, HEADS, WIDTH, TURNED = 6, 8, 288, 32
INNER = 1152
LONGEST = 4096
"""Most positions of a sound or a text: at 41.7 positions a second far beyond the longest answer."""
_EPSILON = 1e-5


class _Builder:
    """A graph and the weights that it takes."""

    def __init__(self, name: str, weights: Weights, *, small: bool) -> None:
        self.graph = Graph(name)
        self._weights = weights
        self._small = small

    def plain(self, name: str) -> Floats:
        """An array as floating numbers."""
        found = self._weights.arrays[name]
        return found.plain() if isinstance(found, Matrix) else found

    def convolve(self, x: str, name: str, stride: int) -> str:
        """A convolution over time, with its bias where there is one."""
        bias = self._weights.arrays.get(f"{name}.bias")
        kernel = self._weights.arrays[f"{name}.weight"]
        if isinstance(kernel, Matrix):  # a scale for each output channel, which come first here
            shape = (-1, *(1 for _ in kernel.levels.shape[1:]))
            kernel = Matrix(kernel.levels, kernel.scale.reshape(shape), kernel.zero.reshape(shape)).plain()
        given = (
            self.graph.constant(kernel),
            *([] if bias is None else [self.graph.constant(self.plain(f"{name}.bias"))]),
        )
        return self.graph.add("Conv", x, *given, strides=(stride,), kernel_shape=kernel.shape[2:])

    def product(self, x: str, name: str, bias: str = "") -> str:
        """Times a matrix, by its name, with a bias where one is named."""
        found = self._weights.arrays[name]
        if isinstance(found, Matrix) and self._small:
            given = [self.graph.constant(one) for one in (_above(found.levels), found.scale, _above(found.zero))]
            made = self.graph.add("DynamicQuantizeMatMul", x, *given, domain=OURS)
        else:
            made = self.graph.add("MatMul", x, self.graph.constant(self.plain(name)))
        return self.graph.add("Add", made, self.graph.constant(self.plain(bias))) if bias else made

    def normed(self, x: str, name: str) -> str:
        """Layer normalization."""
        return self.graph.add(
            "LayerNormalization", x, self.graph.constant(self.plain(name)), axis=-1, epsilon=_EPSILON
        )

    def turned(self, x: str, positions: str) -> str:
        """With the position turned into each head."""
        if not hasattr(self, "_turns"):
            rates = 1.0 / (10000.0 ** (np.arange(0, TURNED, 2) / TURNED))
            angles = np.arange(LONGEST)[:, None] * rates[None]
            self._turns = [self.graph.constant(one(angles).astype(np.float32)) for one in (np.cos, np.sin)]
        return self.graph.add(
            "RotaryEmbedding", x, *self._turns, positions, interleaved=1, num_heads=HEADS, rotary_embedding_dim=TURNED
        )

    def attended(self, query: str, key: str, value: str, mask: str = "") -> str:
        """Attention of all heads."""
        return self.graph.add("Attention", query, key, value, mask, q_num_heads=HEADS, kv_num_heads=HEADS)


def sound_graph(weights: Weights, *, small: bool) -> bytes:
    """Sound (1, 1, samples) -> keys and values (layers, positions, width) that every layer of texts attends to.

    Args:
        weights: of the network.
        small: products of 8-bit matrices, else of floating numbers.
    """
    make = _Builder("sound", weights, small=small)
    graph = make.graph
    sound = graph.input("sound", "float32", (1, 1, "samples"))
    positions = graph.input("positions", "int64", (1, "positions"))
    x = graph.add("Tanh", make.convolve(sound, "enc.conv1", 64))
    # one group over all channels and the whole time: as a single channel
    shape = graph.add("Shape", x)
    flat = graph.add("Reshape", x, graph.constant(np.array([1, 1, -1], dtype=np.int64)))
    ones = [graph.constant(np.array([one], dtype=np.float32)) for one in (1.0, 0.0)]
    x = graph.add("Reshape", graph.add("InstanceNormalization", flat, *ones, epsilon=_EPSILON), shape)
    scale, shift = (graph.constant(make.plain(f"enc.gn.{one}").reshape(1, WIDTH, 1)) for one in "wb")
    x = graph.add("Add", graph.add("Mul", x, scale), shift)
    x = graph.add("Gelu", make.convolve(x, "enc.conv2", 3))
    x = graph.add("Gelu", make.convolve(x, "enc.conv3", 2))
    x = graph.add("Transpose", x, perm=(0, 2, 1))
    for layer in range(LAYERS):
        at = f"enc.layers.{layer}"
        h = make.normed(x, f"{at}.input_layernorm.weight")
        query, key = (make.turned(make.product(h, f"{at}.self_attn.{one}_proj.w"), positions) for one in "qk")
        heads = make.attended(query, key, make.product(h, f"{at}.self_attn.v_proj.w"))
        x = graph.add("Add", x, make.product(heads, f"{at}.self_attn.o_proj.w"))
        h = make.normed(x, f"{at}.post_attention_layernorm.weight")
        h = graph.add("Gelu", make.product(h, f"{at}.mlp.fc1.w", f"{at}.mlp.fc1.bias"))
        x = graph.add("Add", x, make.product(h, f"{at}.mlp.fc2.w", f"{at}.mlp.fc2.bias"))
    x = make.normed(x, "enc.layer_norm.weight")
    for name, one in (("keys", "k"), ("values", "v")):
        each = [make.product(x, f"dec.layers.{layer}.encoder_attn.{one}_proj.w") for layer in range(LAYERS)]
        graph.output(name, graph.add("Concat", *each, axis=0), "float32", (LAYERS, "positions", WIDTH))
    return graph.model()


def text_graph(weights: Weights, *, small: bool) -> bytes:
    """Nodes of a tree of texts -> the log probability of every piece behind the nodes that are asked for.

    Inputs: ``pieces`` (nodes) rows of the pieces; ``depths`` (1, nodes) how many stand before each; ``mask`` (nodes,
    past + nodes) 0 where a node comes after or is the other, else a large negative number; ``asked`` (asked) which
    nodes; ``past_keys`` and ``past_values`` (layers, past, width) of nodes given before; ``keys`` and ``values`` of
    the sound. Outputs: ``likely`` (asked, pieces), and ``own_keys`` and ``own_values`` of the nodes, past ones first.
    """
    make = _Builder("text", weights, small=small)
    graph = make.graph
    pieces = graph.input("pieces", "int64", ("nodes",))
    depths = graph.input("depths", "int64", (1, "nodes"))
    mask = graph.input("mask", "float32", ("nodes", "seen"))
    asked = graph.input("asked", "int64", ("asked",))
    sides = {
        name: graph.input(name, "float32", (LAYERS, length, WIDTH))
        for name, length in (
            ("past_keys", "past"),
            ("past_values", "past"),
            ("keys", "positions"),
            ("values", "positions"),
        )
    }
    layers = [graph.constant(np.array([layer], dtype=np.int64)) for layer in range(LAYERS)]
    embedded = graph.add("Gather", graph.constant(_embedding(weights)), pieces)
    x = graph.add("Unsqueeze", embedded, layers[0])
    kept: dict[str, list[str]] = {"own_keys": [], "own_values": []}
    for layer in range(LAYERS):
        at = f"dec.layers.{layer}"
        side = {name: graph.add("Gather", value, layers[layer], axis=0) for name, value in sides.items()}
        h = make.normed(x, f"{at}.input_layernorm.weight")
        query, key = (make.turned(make.product(h, f"{at}.self_attn.{one}_proj.w"), depths) for one in "qk")
        key = graph.add("Concat", side["past_keys"], key, axis=1)
        value = graph.add("Concat", side["past_values"], make.product(h, f"{at}.self_attn.v_proj.w"), axis=1)
        kept["own_keys"].append(key)
        kept["own_values"].append(value)
        heads = make.attended(query, key, value, mask)
        x = graph.add("Add", x, make.product(heads, f"{at}.self_attn.o_proj.w"))
        h = make.normed(x, f"{at}.post_attention_layernorm.weight")
        heads = make.attended(make.product(h, f"{at}.encoder_attn.q_proj.w"), side["keys"], side["values"])
        x = graph.add("Add", x, make.product(heads, f"{at}.encoder_attn.o_proj.w"))
        h = make.normed(x, f"{at}.final_layernorm.weight")
        both = make.product(h, f"{at}.mlp.fc1.w", f"{at}.mlp.fc1.bias")
        ends = [graph.constant(np.array([end], dtype=np.int64)) for end in (0, INNER, 2 * INNER, 2)]
        value = graph.add("Slice", both, ends[0], ends[1], ends[3])
        gate = graph.add("Slice", both, ends[1], ends[2], ends[3])
        gate = graph.add("Mul", gate, graph.add("Sigmoid", gate))
        h = make.product(graph.add("Mul", value, gate), f"{at}.mlp.fc2.w", f"{at}.mlp.fc2.bias")
        x = graph.add("Add", x, h)
    x = graph.add("Gather", graph.add("Squeeze", x, layers[0]), asked)
    x = make.normed(x, "dec.norm.weight")
    head = "proj_out.w"
    if head in weights.arrays:
        x = make.product(x, head)
    else:  # the published network compares with the pieces that it reads
        x = graph.add("MatMul", x, graph.constant(np.ascontiguousarray(_embedding(weights).T)))
    graph.output("likely", graph.add("LogSoftmax", x, axis=-1), "float32", ("asked", "rows"))
    for name, each in kept.items():
        graph.output(name, graph.add("Concat", *each, axis=0), "float32", (LAYERS, "seen", WIDTH))
    return graph.model()


def _above(levels: npt.NDArray[np.int8]) -> npt.NDArray[np.uint8]:
    """The same levels counted from nought.

    Products of two unsigned bytes never overflow on a processor that adds them in 16 bits; with signed ones scores
    change there without a word.
    """
    return np.asarray(levels.astype(np.int16) + 128, dtype=np.uint8)


def _embedding(weights: Weights) -> Floats:
    found = weights.arrays["dec.embed_tokens.w"]
    if not isinstance(found, Matrix):
        return found
    shape = (-1, 1) if found.scale.ndim else ()  # a scale for each row
    return Matrix(found.levels, found.scale.reshape(shape), found.zero.reshape(shape)).plain()
