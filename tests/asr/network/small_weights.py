"""A network of the right shape with weights drawn at random, and the same network written plainly in numpy."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from assistant.asr.network.weights import WORDS, Floats, Matrix, Weights
from assistant.audio.sound import Samples

Places = npt.NDArray[np.int64]
WIDTH, HEADS, LAYERS = 288, 8, 6
ROWS = 40
PIECES = b"".join(bytes([len(piece)]) + piece for piece in [b"<u>", b"<s>", b"</s>", *[b"x"] * 256]) + b"".join(
    bytes([len(piece.encode())]) + piece.encode() for piece in ["▁", "o", "n", "e", "on", "▁on", "▁one", "t"]
)


def drawn(seed: int = 1) -> Weights:
    """Weights of a small vocabulary, matrices in 8 bits."""
    rng = np.random.default_rng(seed)
    arrays: dict[str, Floats | Matrix] = {}

    def matrix(name: str, rows: int, columns: int) -> None:
        levels = rng.integers(-127, 128, (rows, columns)).astype(np.int8)
        scale = (rng.uniform(0.5, 1.5, columns) / 127 * 1.7 / math.sqrt(rows)).astype(np.float32)
        arrays[name] = Matrix(levels, scale, np.zeros(columns, dtype=np.int8))

    def vector(name: str, length: int, about: float) -> None:
        arrays[name] = (about + 0.1 * rng.standard_normal(length)).astype(np.float32)

    for name, shape in (("1", (WIDTH, 1, 127)), ("2", (2 * WIDTH, WIDTH, 7)), ("3", (WIDTH, 2 * WIDTH, 3))):
        spread = 1 / math.sqrt(shape[1] * shape[2])
        arrays[f"enc.conv{name}.weight"] = (rng.standard_normal(shape) * spread).astype(np.float32)
    vector("enc.conv2.bias", 2 * WIDTH, 0.0)
    vector("enc.conv3.bias", WIDTH, 0.0)
    vector("enc.gn.w", WIDTH, 1.0)
    vector("enc.gn.b", WIDTH, 0.0)
    vector("enc.layer_norm.weight", WIDTH, 1.0)
    vector("dec.norm.weight", WIDTH, 1.0)
    for side, attentions, norms, wide in (
        ("enc", ("self_attn",), ("input", "post_attention"), 1152),
        ("dec", ("self_attn", "encoder_attn"), ("input", "post_attention", "final"), 2304),
    ):
        for layer in range(LAYERS):
            at = f"{side}.layers.{layer}"
            for attention in attentions:
                for one in "qkvo":
                    matrix(f"{at}.{attention}.{one}_proj.w", WIDTH, WIDTH)
            matrix(f"{at}.mlp.fc1.w", WIDTH, wide)
            matrix(f"{at}.mlp.fc2.w", 1152, WIDTH)
            vector(f"{at}.mlp.fc1.bias", wide, 0.0)
            vector(f"{at}.mlp.fc2.bias", WIDTH, 0.0)
            for norm in norms:
                vector(f"{at}.{norm}_layernorm.weight", WIDTH, 1.0)
    arrays["dec.embed_tokens.w"] = rng.standard_normal((ROWS, WIDTH)).astype(np.float32)
    matrix("proj_out.w", WIDTH, ROWS)
    rows = {265: 3, 260: 4, 261: 5, 262: 6, 263: 7, 264: 8, 266: 9, 259: 10}
    return Weights("drawn", "0", WORDS, 0, 1, None, 2, rows, PIECES, arrays)


class Plain:
    """The published architecture in numpy, by its paper and the layers' public definitions, in floating numbers."""

    def __init__(self, weights: Weights) -> None:
        self._weights = weights

    def _w(self, name: str) -> Floats:
        found = self._weights.arrays[name]
        return found.plain() if isinstance(found, Matrix) else found

    def encode(self, samples: Samples) -> Floats:
        """16-bit sound -> positions by width."""
        sound = samples.astype(np.float32) / np.float32(32768.0)
        x = np.tanh(_convolved(sound[None], self._w("enc.conv1.weight"), None, 64))
        x = (x - x.mean()) / np.sqrt(x.var() + 1e-5)
        x = x * self._w("enc.gn.w")[:, None] + self._w("enc.gn.b")[:, None]
        x = _gelu(_convolved(x, self._w("enc.conv2.weight"), self._w("enc.conv2.bias"), 3))
        x = _gelu(_convolved(x, self._w("enc.conv3.weight"), self._w("enc.conv3.bias"), 2)).T
        where = np.arange(len(x))
        for layer in range(LAYERS):
            at = f"enc.layers.{layer}"
            h = _normed(x, self._w(f"{at}.input_layernorm.weight"))
            x = x + self._attend(f"{at}.self_attn", h, h, None, where)
            h = _normed(x, self._w(f"{at}.post_attention_layernorm.weight"))
            h = _gelu(h @ self._w(f"{at}.mlp.fc1.w") + self._w(f"{at}.mlp.fc1.bias"))
            x = x + h @ self._w(f"{at}.mlp.fc2.w") + self._w(f"{at}.mlp.fc2.bias")
        return _normed(x, self._w("enc.layer_norm.weight"))

    def likely(self, encoded: Floats, rows: list[int]) -> Floats:
        """One text -> log probability of every row behind each of its pieces."""
        x = self._w("dec.embed_tokens.w")[rows]
        where = np.arange(len(rows))
        mask = np.where(where[:, None] >= where[None], 0.0, -np.inf)
        for layer in range(LAYERS):
            at = f"dec.layers.{layer}"
            h = _normed(x, self._w(f"{at}.input_layernorm.weight"))
            x = x + self._attend(f"{at}.self_attn", h, h, mask, where)
            h = _normed(x, self._w(f"{at}.post_attention_layernorm.weight"))
            x = x + self._attend(f"{at}.encoder_attn", h, encoded, None, None)
            h = _normed(x, self._w(f"{at}.final_layernorm.weight"))
            both = h @ self._w(f"{at}.mlp.fc1.w") + self._w(f"{at}.mlp.fc1.bias")
            value, gate = both[:, :1152], both[:, 1152:]
            h = value * gate / (1 + np.exp(-gate))
            x = x + h @ self._w(f"{at}.mlp.fc2.w") + self._w(f"{at}.mlp.fc2.bias")
        scores = _normed(x, self._w("dec.norm.weight")) @ self._w("proj_out.w")
        return np.asarray(scores - np.logaddexp.reduce(scores, axis=-1, keepdims=True), dtype=np.float32)

    def _attend(self, name: str, x: Floats, other: Floats, mask: Floats | None, where: Places | None) -> Floats:
        query, key, value = (
            (given @ self._w(f"{name}.{one}_proj.w")).reshape(len(given), HEADS, -1)
            for one, given in (("q", x), ("k", other), ("v", other))
        )
        if where is not None:
            query, key = _turned(query, where), _turned(key, where)
        heads = []
        for head in range(HEADS):
            a = query[:, head] @ key[:, head].T / math.sqrt(query.shape[-1])
            a = a if mask is None else a + mask
            a = np.exp(a - a.max(axis=-1, keepdims=True))
            heads.append(a / a.sum(axis=-1, keepdims=True) @ value[:, head])
        return np.concatenate(heads, axis=-1) @ self._w(f"{name}.o_proj.w")


def _normed(x: Floats, weight: Floats) -> Floats:
    made = (x - x.mean(-1, keepdims=True)) / np.sqrt(x.var(-1, keepdims=True) + 1e-5) * weight
    return np.asarray(made, dtype=np.float32)


def _gelu(x: Floats) -> Floats:
    return np.asarray(x * 0.5 * (1 + np.vectorize(math.erf)(x / math.sqrt(2))), dtype=np.float32)


def _convolved(x: Floats, kernel: Floats, bias: Floats | None, stride: int) -> Floats:
    width = kernel.shape[2]
    spans = np.lib.stride_tricks.sliding_window_view(x, width, axis=1)[:, ::stride]
    made = np.einsum("ctw,ocw->ot", spans, kernel)
    return np.asarray(made if bias is None else made + bias[:, None], dtype=np.float32)


def _turned(x: Floats, where: Places) -> Floats:
    made = x.copy()
    for pair in range(16):
        angle = where * 10000.0 ** (-2 * pair / 32)
        c, s = np.cos(angle)[:, None], np.sin(angle)[:, None]
        one, other = x[..., 2 * pair], x[..., 2 * pair + 1]
        made[..., 2 * pair], made[..., 2 * pair + 1] = one * c - other * s, other * c + one * s
    return made
