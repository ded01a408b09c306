"""Reduces steady noise under a voice, by a Wiener filter with a decision-directed signal-to-noise ratio.

The noise is what the quietest frames hold; each band is turned down by its own signal-to-noise ratio, but never by
more than a stated amount: a recognizer trained on real rooms is harmed more by holes in the sound than by noise.
Method: Y. Ephraim and D. Malah, "Speech enhancement using a minimum mean-square error short-time spectral amplitude
estimator", 1984 (from memory).
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from assistant.audio.sound import Samples

_FRAME = 512
_HOP = 128
_MEMORY = 0.9
"""Share of a band's ratio that comes from the frame before: less leaves tones that warble, more blurs word ends."""
_QUIETEST = 8
"""The noise is estimated from the quietest eighth of the frames."""

Array = npt.NDArray[np.float64]


def clean(samples: Samples, most_db: float) -> Samples:
    """The same sound with its steady noise turned down by at most ``most_db`` decibels in each band."""
    window = np.hanning(_FRAME + 1)[:_FRAME]
    count = len(samples) // _HOP + 2 * (_FRAME // _HOP)
    padded = np.zeros(_FRAME + (count - 1) * _HOP + _FRAME)
    padded[_FRAME : _FRAME + len(samples)] = samples
    places = np.arange(_FRAME)[None, :] + _HOP * np.arange(count)[:, None]
    spectra = np.fft.rfft(padded[places] * window, axis=1)
    power = np.abs(spectra) ** 2
    gains = _gains(power, _noise(power), 10 ** (-most_db / 20))
    frames = np.fft.irfft(spectra * gains, axis=1) * window
    out = np.zeros(len(padded))
    weight = np.zeros(len(padded))
    for number in range(count):
        place = slice(number * _HOP, number * _HOP + _FRAME)
        out[place] += frames[number]
        weight[place] += window**2
    cleaned = (out / np.maximum(weight, 1e-3))[_FRAME : _FRAME + len(samples)]
    return np.clip(np.rint(cleaned), -32768, 32767).astype(np.int16)


def _noise(power: Array) -> Array:
    """Power of the noise in each band; frames at the edges reach into the padding and are left out."""
    edge = _FRAME // _HOP
    inner = power[edge:-edge] if len(power) > 4 * edge else power
    quiet = np.argsort(inner.sum(axis=1))[: max(5, len(inner) // _QUIETEST)]
    return np.asarray(inner[quiet].mean(axis=0)) + 1e-9


def _gains(power: Array, noise: Array, floor: float) -> Array:
    gains = np.empty_like(power)
    before = np.zeros(power.shape[1])
    for number, row in enumerate(power / noise):
        ratio = _MEMORY * before + (1 - _MEMORY) * np.maximum(row - 1.0, 0.0)
        gain = np.maximum(ratio / (1.0 + ratio), floor)
        gains[number] = gain
        before = gain**2 * row
    return gains
