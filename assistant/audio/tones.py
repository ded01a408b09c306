"""Short signal tones: heard, and not understood. Pure: numbers in, samples out."""

from __future__ import annotations

import numpy as np

from assistant.audio.sound import Samples


def _tone(pitches: tuple[float, ...], seconds: float, rate: int) -> Samples:
    """Tones in a row, each with a soft beginning and end so that nothing clicks."""
    parts = []
    for pitch in pitches:
        time = np.arange(round(seconds * rate)) / rate
        edge = np.minimum(1.0, np.minimum(time, seconds - time) / 0.008)
        parts.append(np.sin(2 * np.pi * pitch * time) * np.clip(edge, 0.0, 1.0) * 0.25)
    return np.asarray(np.rint(np.concatenate(parts) * 32767), dtype=np.int16)


def heard(rate: int) -> Samples:
    """One short high tone: the answer was heard."""
    return _tone((1175.0,), 0.07, rate)


def not_understood(rate: int) -> Samples:
    """Two falling tones: a voice was heard, and no answer in it."""
    return _tone((440.0, 330.0), 0.09, rate)
