"""The network in PyTorch, for training alone, with the names of the product's weights.

The product runs the same by onnxruntime (``assistant/asr/network``); a test compares the two.
Source: the published architecture of Moonshine (Jeffries and others 2024, arXiv 2410.15608).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import torch
from torch import Tensor, nn
from torch.nn import functional

TURNED_SHARE = 32 / 36
"""Share of each head's numbers into which the position is turned."""


@dataclass(frozen=True, slots=True)
class Size:
    """How large a network is; the defaults are the published tiny one."""

    width: int = 288
    heads: int = 8
    inner: int = 1152
    layers: int = 6


class Norm(nn.Module):
    """Layer normalization with a scale and no shift."""

    def __init__(self, width: int) -> None:
        super().__init__()
        self.weight = nn.Parameter(torch.ones(width))

    def forward(self, x: Tensor) -> Tensor:
        return functional.layer_norm(x, (x.shape[-1],), self.weight, None, 1e-5)


class Attention(nn.Module):
    """Attention of all heads, with positions where ``turn`` is given."""

    def __init__(self, size: Size) -> None:
        super().__init__()
        self.heads = size.heads
        self.q_proj, self.k_proj, self.v_proj, self.o_proj = (
            nn.Linear(size.width, size.width, bias=False) for _ in range(4)
        )

    def forward(self, x: Tensor, other: Tensor, *, turn: bool = False, causal: bool = False) -> Tensor:
        query, key, value = (self._split(part) for part in (self.q_proj(x), self.k_proj(other), self.v_proj(other)))
        if turn:
            query, key = turned(query), turned(key)
        mixed = functional.scaled_dot_product_attention(query, key, value, is_causal=causal)
        return self.o_proj(mixed.transpose(1, 2).flatten(2))

    def _split(self, x: Tensor) -> Tensor:
        return x.unflatten(-1, (self.heads, -1)).transpose(1, 2)


def turned(x: Tensor) -> Tensor:
    """Rotary positions over neighbors, in the first numbers of each head (batch, heads, positions, numbers)."""
    count = round(x.shape[-1] * TURNED_SHARE) // 2 * 2
    rates = 10000.0 ** (-torch.arange(0, count, 2, device=x.device) / count)
    angles = torch.arange(x.shape[-2], device=x.device)[:, None] * rates[None]
    cos, sin = angles.cos().to(x.dtype), angles.sin().to(x.dtype)
    even, odd = x[..., 0:count:2], x[..., 1:count:2]
    both = torch.stack([even * cos - odd * sin, odd * cos + even * sin], dim=-1).flatten(-2)
    return torch.cat([both, x[..., count:]], dim=-1)


class Inner(nn.Module):
    """The layer between: plain for sound, gated for texts."""

    def __init__(self, size: Size, *, gated: bool) -> None:
        super().__init__()
        self.gated = gated
        self.fc1 = nn.Linear(size.width, size.inner * (2 if gated else 1))
        self.fc2 = nn.Linear(size.inner, size.width)

    def forward(self, x: Tensor) -> Tensor:
        x = self.fc1(x)
        if self.gated:
            x, gate = x.chunk(2, dim=-1)
            return self.fc2(x * functional.silu(gate))
        return self.fc2(functional.gelu(x))


class SoundLayer(nn.Module):
    """One layer of the encoder."""

    def __init__(self, size: Size) -> None:
        super().__init__()
        self.self_attn, self.mlp = Attention(size), Inner(size, gated=False)
        self.input_layernorm, self.post_attention_layernorm = Norm(size.width), Norm(size.width)

    def forward(self, x: Tensor) -> Tensor:
        h = self.input_layernorm(x)
        x = x + self.self_attn(h, h, turn=True)
        return x + self.mlp(self.post_attention_layernorm(x))


class TextLayer(nn.Module):
    """One layer of the decoder."""

    def __init__(self, size: Size) -> None:
        super().__init__()
        self.self_attn, self.encoder_attn, self.mlp = Attention(size), Attention(size), Inner(size, gated=True)
        self.input_layernorm, self.post_attention_layernorm, self.final_layernorm = (
            Norm(size.width) for _ in range(3)
        )

    def forward(self, x: Tensor, sound: Tensor) -> Tensor:
        h = self.input_layernorm(x)
        x = x + self.self_attn(h, h, turn=True, causal=True)
        x = x + self.encoder_attn(self.post_attention_layernorm(x), sound)
        return x + self.mlp(self.final_layernorm(x))


class Encoder(nn.Module):
    """Sound (batch, samples) to positions (batch, positions, width)."""

    def __init__(self, size: Size) -> None:
        super().__init__()
        width = size.width
        self.conv1 = nn.Conv1d(1, width, 127, 64, bias=False)
        self.gn = nn.GroupNorm(1, width, eps=1e-5)
        self.conv2, self.conv3 = nn.Conv1d(width, 2 * width, 7, 3), nn.Conv1d(2 * width, width, 3, 2)
        self.layers = nn.ModuleList(SoundLayer(size) for _ in range(size.layers))
        self.layer_norm = Norm(width)

    def forward(self, sound: Tensor) -> Tensor:
        x = self.gn(torch.tanh(self.conv1(sound[:, None])))
        x = functional.gelu(self.conv3(functional.gelu(self.conv2(x)))).transpose(1, 2)
        for layer in self.layers:
            x = layer(x)
        return self.layer_norm(x)


class Decoder(nn.Module):
    """Rows of a text so far (batch, pieces) to what comes next (batch, pieces, width)."""

    def __init__(self, size: Size, rows: int) -> None:
        super().__init__()
        self.embed_tokens = nn.Embedding(rows, size.width)
        self.layers = nn.ModuleList(TextLayer(size) for _ in range(size.layers))
        self.norm = Norm(size.width)

    def forward(self, text: Tensor, sound: Tensor) -> Tensor:
        x = self.embed_tokens(text)
        for layer in self.layers:
            x = layer(x, sound)
        return self.norm(x)


class Network(nn.Module):
    """All of it: the logits of the next piece behind every piece of a text."""

    def __init__(self, rows: int, size: Size | None = None) -> None:
        super().__init__()
        size = size or Size()
        self.enc, self.dec = Encoder(size), Decoder(size, rows)
        self.proj_out = nn.Linear(size.width, rows, bias=False)

    def forward(self, sound: Tensor, text: Tensor) -> Tensor:
        return self.proj_out(self.dec(text, self.enc(sound)))


def parameters_of(network: nn.Module) -> int:
    """How many numbers are trained."""
    return sum(math.prod(part.shape) for part in network.parameters())
