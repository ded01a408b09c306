"""Sound of many examples at once, on the processor or a GPU: speed, microphone, room, noise, telephone, level."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import torch
from torch import Tensor

from tests.tools.scorer_training.clips import NOISE, RATE, Clip
from tests.tools.scorer_training.examples import MOST_PARTS, Example

_FRAME = 400
_STEP = 4800
"""Lengths are multiples of it: a GPU plans for each length anew."""
_ROOM = 5600
"""Samples of the longest room, 0.35 s."""
TELEPHONE, NARROW, CLIPPED, QUIET = 0.15, 0.10, 0.04, 0.08
"""Shares of examples at telephone rate, with less than the whole band, overloaded, and without noise."""


class Sounds:
    """Clips on the device, and the sound of examples of them.

    Args:
        clips: speech and noise, in the order that examples name them by.
        device: 'cpu' or 'cuda'.
        seed: of every choice.
    """

    def __init__(self, clips: Sequence[Clip], device: str, seed: int) -> None:
        self.device = device
        self._random = torch.Generator(device).manual_seed(seed)
        levels = [np.rint(np.clip(clip.levels, -1, 1) * 32767).astype(np.int16) for clip in clips]
        lengths = np.array([len(one) for one in levels])
        self._starts = torch.tensor(np.cumsum(lengths) - lengths, device=device)
        self._store = torch.tensor(np.concatenate([*levels, np.zeros(8, np.int16)]), device=device)
        self._speech_end = int(sum(len(one) for one, clip in zip(levels, clips, strict=True) if clip.source != NOISE))
        noises = [number for number, clip in enumerate(clips) if clip.source == NOISE and lengths[number] > RATE // 4]
        self._noises = torch.tensor(noises, device=device)
        self._lengths = torch.tensor(lengths, device=device)
        self._spoken = np.array([_spoken_share(clip) for clip in clips])

    def of(self, examples: Sequence[Example], *, noisy: bool = True, ratio: float | None = None) -> Tensor:
        """Sound (examples, samples), all of one length.

        Args:
            examples: of about the same length.
            noisy: with everything around the voices; else the voices alone.
            ratio: decibels of voice over noise for all, None for one of each's own.
        """
        count = len(examples)
        longest = max(math.ceil(one.length / one.speed) for one in examples)
        length = longest + int(self._uniform(1, 1600, 18_000)) if noisy else longest + 4800
        length = -(-length // _STEP) * _STEP
        free = [length - math.ceil(one.length / one.speed) for one in examples]
        offsets = (self._uniform(count, 0, 1) * torch.tensor(free, device=self.device)).long()
        voice = self._voices(examples, offsets, length)
        if not noisy:
            return voice
        voice = self._in_rooms(voice)
        spoken = torch.tensor(
            [max(1.0, self._spoken_samples(one)) for one in examples],
            device=self.device, dtype=torch.float32,
        )  # fmt: skip
        power = (voice**2).sum(1) / spoken
        heard = power > 0
        noise = self._noise(count, length)
        noise = noise / noise.std(dim=1, keepdim=True).clamp_min(1e-6)
        gain = (power.clamp_min(1e-9) / 10 ** (self._ratios(count, ratio) / 10)).sqrt()
        quiet = self._chance(count, QUIET if ratio is None else 0.0) & heard
        gain = torch.where(quiet, gain * 1e-3, torch.where(heard, gain, torch.full_like(gain, 0.1)))
        mixed = self._narrowed(voice + gain[:, None] * noise)
        return self._levelled(mixed)

    def _spoken_samples(self, one: Example) -> float:
        return float(sum(part.length * self._spoken[part.clip] for part in one.parts)) / one.speed

    def _uniform(self, shape: int | tuple[int, ...], low: float, high: float) -> Tensor:
        size = (shape,) if isinstance(shape, int) else shape
        return torch.rand(size, generator=self._random, device=self.device) * (high - low) + low

    def _normal(self, *shape: int) -> Tensor:
        return torch.randn(shape, generator=self._random, device=self.device)

    def _chance(self, count: int, share: float) -> Tensor:
        return self._uniform(count, 0, 1) < share

    def _ratios(self, count: int, ratio: float | None) -> Tensor:
        if ratio is not None:
            return torch.full((count,), ratio, device=self.device)
        kinds = torch.stack([self._uniform(count, low, high) for low, high in ((-5, 4), (0, 10), (6, 30))])
        which = torch.randint(3, (1, count), generator=self._random, device=self.device)
        return kinds.gather(0, which)[0]

    def _voices(self, examples: Sequence[Example], offsets: Tensor, length: int) -> Tensor:
        """Every part at its place, played at its example's speed, between the samples by a cubic curve."""
        table = np.zeros((4, len(examples), MOST_PARTS), dtype=np.int64)
        for row, one in enumerate(examples):
            for column, part in enumerate(one.parts):
                table[:, row, column] = part.clip, part.start, part.length, part.at
        clip, start, size, at = torch.tensor(table, device=self.device)
        speed = torch.tensor([one.speed for one in examples], device=self.device, dtype=torch.float32)
        time = torch.arange(length, device=self.device)[None] - offsets[:, None]
        played = time * speed[:, None]
        voice = torch.zeros(len(examples), length, device=self.device)
        most = max((len(one.parts) for one in examples), default=0)
        for column in range(most):
            inside = played - at[:, column, None]
            there = (inside >= 1) & (inside < size[:, column, None] - 2)
            whole = inside.floor().clamp(min=1)
            index = (self._starts[clip[:, column]] + start[:, column])[:, None] + whole.long()
            index = torch.where(there, index, torch.ones_like(index))
            voice += self._between(index, inside - whole) * there
        return voice

    def _between(self, index: Tensor, share: Tensor) -> Tensor:
        before, first, second, after = (self._store[index + step].float() / 32768 for step in (-1, 0, 1, 2))
        slope = (second - before) / 2
        other = (after - first) / 2
        square = 3 * (second - first) - 2 * slope - other
        cube = 2 * (first - second) + slope + other
        return first + share * (slope + share * (square + share * cube))

    def _in_rooms(self, voice: Tensor) -> Tensor:
        """The tone of a microphone for half of them, a room for a third."""
        count, length = voice.shape
        points = _power_of_two(length + _ROOM)
        tone = (
            self._normal(count, 33) * torch.hann_window(33, device=self.device) * self._uniform((count, 1), 0, 0.35)
        )
        tone = tone * self._chance(count, 0.5)[:, None]
        tone[:, 16] += 1
        time = torch.arange(_ROOM, device=self.device)[None]
        lasting = self._uniform((count, 1), 0.05, 0.35) * RATE / 6
        room = self._normal(count, _ROOM) * torch.exp(-time / lasting)
        room = room / room.norm(dim=1, keepdim=True) * self._uniform((count, 1), 0.1, 0.7)
        room = room * self._chance(count, 0.35)[:, None]
        room[:, 0] = 1
        spectrum = torch.fft.rfft(voice, points) * torch.fft.rfft(tone, points) * torch.fft.rfft(room, points)
        return torch.fft.irfft(spectrum, points)[:, 16 : length + 16]

    def _noise(self, count: int, length: int) -> Tensor:
        """Recorded, made, voices, or two of them."""
        kind = self._uniform(count, 0, 1)
        made = _even(self._made(count, length))
        if not len(self._noises):
            return made
        recorded = _even(self._recorded(count, length))
        babble = _even(self._babble(count, length))
        noise = torch.where((kind < 0.50)[:, None], recorded, made)
        noise = torch.where((kind > 0.92)[:, None], babble, noise)
        both = (self._chance(count, 0.2) & (kind < 0.9))[:, None]
        return torch.where(both, noise + made * self._uniform((count, 1), 0.2, 0.9), noise)

    def _recorded(self, count: int, length: int) -> Tensor:
        which = self._noises[torch.randint(len(self._noises), (count,), generator=self._random, device=self.device)]
        size, start = self._lengths[which][:, None], self._starts[which][:, None]
        speed = torch.where(self._chance(count, 0.4)[:, None], self._uniform((count, 1), 0.55, 1.7), 1.0)
        speed = torch.where(self._chance(count, 0.2)[:, None], -speed, speed)  # played backward
        place = torch.arange(length, device=self.device)[None] * speed + self._uniform((count, 1), 0, 1) * size
        first = place.floor().long()
        share = place - first
        one, two = (self._store[start + (first + step) % size].float() for step in (0, 1))
        heard = one + share * (two - one)
        points = _power_of_two(length)
        frequency = torch.fft.rfftfreq(points, 1 / RATE, device=self.device)[None]
        shape = torch.where(self._chance(count, 0.5)[:, None], self._bumps(frequency, count, 4), 1.0)
        heard = _even(torch.fft.irfft(torch.fft.rfft(heard, points) * shape, points)[:, :length])
        return torch.where(self._chance(count, 0.12)[:, None], heard * self._strokes(count, length), heard)

    def _bumps(self, frequency: Tensor, count: int, most: float) -> Tensor:
        """A tone: some bands louder by up to so many times, and more of the high or the low."""
        shape = ((frequency + 100) / 1000) ** self._uniform((count, 1), -0.5, 0.5)
        for _ in range(3):
            center = 10 ** self._uniform((count, 1), 2.2, 3.8)
            width = center * self._uniform((count, 1), 0.1, 0.8)
            height = self._uniform((count, 1), 0, most) * self._chance(count, 0.6)[:, None]
            shape = shape * (1 + height * torch.exp(-0.5 * ((frequency - center) / width) ** 2))
        return shape

    def _strokes(self, count: int, length: int) -> Tensor:
        """How loud something is that comes in strokes, as a saw, a file, a hammer or an impact wrench does."""
        time = torch.arange(length, device=self.device)[None] / RATE
        rate = 10 ** self._uniform((count, 1), 0.0, 1.25)
        sway = self._uniform((count, 1), 0, 0.35) * torch.sin(
            self._uniform((count, 1), 0.3, 5) * time + self._uniform((count, 1), 0, 6.3)
        )
        phase = rate * time + sway + self._uniform((count, 1), 0, 1) + 1
        number = phase.floor()
        inside = phase - number
        swell = inside ** self._uniform((count, 1), 0.3, 3)
        fade = torch.exp(-inside * self._uniform((count, 1), 1, 15))
        shut = (inside < self._uniform((count, 1), 0.25, 0.9)).float()
        kind = self._uniform((count, 1), 0, 1)
        shape = torch.where(kind < 0.35, swell * (1 - inside) * 2, torch.where(kind < 0.7, fade, shut))
        each = self._uniform((count, 64), 0.35, 1).gather(1, number.long().clamp(0, 63))
        return shape * each + self._uniform((count, 1), 0, 0.3)

    def _babble(self, count: int, length: int) -> Tensor:
        total = torch.zeros(count, length, device=self.device)
        for _ in range(4):
            start = (self._uniform((count, 1), 0, 1) * max(1, self._speech_end - length)).long()
            index = (start + torch.arange(length, device=self.device)[None]).clamp_max(len(self._store) - 1)
            total += self._store[index].float() * self._uniform((count, 1), 0.3, 1)
        return total

    def _made(self, count: int, length: int) -> Tensor:
        """Colored hiss, drops and knocks, pulsing, and the harmonics of something that turns."""
        points = _power_of_two(length)
        source = self._normal(count, points)
        sparse = self._chance(count, 0.35)[:, None]
        density = 10 ** self._uniform((count, 1), -3.5, -1)
        drops = source**3 * (self._uniform((count, points), 0, 1) < density)
        source = torch.where(sparse, drops / density.sqrt(), source)
        frequency = torch.fft.rfftfreq(points, 1 / RATE, device=self.device)[None]
        shape = (frequency + 60) ** self._uniform((count, 1), -2, 0.5)
        for _ in range(4):
            center = 10 ** self._uniform((count, 1), 1.9, 3.75)
            width = center * self._uniform((count, 1), 0.03, 0.6)
            height = self._uniform((count, 1), 0, 12) * self._chance(count, 0.5)[:, None]
            shape = shape * (1 + height * torch.exp(-0.5 * ((frequency - center) / width) ** 2))
        hiss = _even(torch.fft.irfft(torch.fft.rfft(source) * shape, points)[:, :length])
        time = torch.arange(length, device=self.device)[None] / RATE
        beat = torch.sin(2 * math.pi * self._uniform((count, 1), 0.5, 40) * time + self._uniform((count, 1), 0, 6.3))
        pulsing = self._chance(count, 0.5)[:, None]
        hiss = torch.where(pulsing, hiss * (1 + self._uniform((count, 1), 0.2, 1) * beat), hiss)
        hiss = torch.where(self._chance(count, 0.3)[:, None], _even(hiss * self._strokes(count, length)), hiss)
        turning = torch.nonzero(self._chance(count, 0.35))[:, 0]
        if len(turning):
            hiss[turning] += _even(self._turning(len(turning), time)) * self._uniform((len(turning), 1), 0.3, 2)
        return hiss

    def _turning(self, count: int, time: Tensor) -> Tensor:
        basic = 10 ** self._uniform((count, 1), 1.3, 2.5)
        sway = self._uniform((count, 1), 0, 0.04) * torch.sin(self._uniform((count, 1), 0.5, 30) * time)
        total = torch.zeros(count, time.shape[1], device=self.device)
        fall = self._uniform((count, 1), 0.2, 1.2)
        for number in range(1, 25):
            height = self._uniform((count, 1), 0, 1) / number**fall * (basic * number < RATE / 2)
            total += height * torch.sin(
                2 * math.pi * number * basic * (time + sway / 6) + self._uniform((count, 1), 0, 6.3)
            )
        return total

    def _narrowed(self, mixed: Tensor) -> Tensor:
        """The band of a telephone, or a microphone with less than the whole one."""
        count, length = mixed.shape
        points = _power_of_two(length)
        frequency = torch.fft.rfftfreq(points, 1 / RATE, device=self.device)[None]
        telephone = self._chance(count, TELEPHONE)[:, None]
        narrow = self._chance(count, NARROW)[:, None]
        top = torch.where(telephone, self._uniform((count, 1), 3300, 3900), self._uniform((count, 1), 4500, 7500))
        bottom = torch.where(telephone, self._uniform((count, 1), 20, 330), self._uniform((count, 1), 20, 150))
        band = torch.sigmoid((top - frequency) / 60) * torch.sigmoid((frequency - bottom) / 25)
        band = torch.where(telephone | narrow, band, torch.ones_like(band))
        return torch.fft.irfft(torch.fft.rfft(mixed, points) * band, points)[:, :length]

    def _levelled(self, mixed: Tensor) -> Tensor:
        count = len(mixed)
        mixed = mixed / mixed.abs().amax(1, keepdim=True).clamp_min(1e-6)
        over = torch.where(self._chance(count, CLIPPED), self._uniform(count, 1.5, 6), 1.0)
        mixed = (mixed * over[:, None]).clamp(-1, 1)
        return mixed * 10 ** (-self._uniform((count, 1), 0, 26) / 20)


def _even(x: Tensor) -> Tensor:
    return x / x.std(dim=1, keepdim=True).clamp_min(1e-6)


def _power_of_two(length: int) -> int:
    return 1 << (length - 1).bit_length()


def _spoken_share(clip: Clip) -> float:
    """Share of a clip's frames in which somebody speaks, as the benchmark counts them."""
    frames = len(clip.levels) // _FRAME
    if clip.source == NOISE or frames < 1:
        return 1.0
    power = np.mean(clip.levels[: frames * _FRAME].reshape(frames, _FRAME) ** 2, axis=1)
    return float(np.mean(power > 0.01 * np.max(power)))
