"""The same silence around every answer: cut where a recording has more of it, added where it has less.

The recognizer needs a little silence to begin with, or it loses a short first word, and a little at the end. What is
beyond that costs time and gives it room to invent words. Where there is noise nothing is cut: the first and last
sounds of an answer cannot be told from it. Its silence stays silence: with the noise carried on at both ends, one
answer in a hundred more is right at 5 dB, but rain alone is heard as words in a quarter of its stretches.
"""

from __future__ import annotations

import numpy as np

from assistant.audio.sound import RATE, Samples

BEFORE = 0.15
"""Seconds of silence before the first sound of a quiet recording."""
AFTER = 0.2
"""Seconds of silence after its last sound."""
LEAD_IN = 0.3
"""Seconds of silence put before a noisy recording."""
TAIL = 0.5
"""Seconds of silence put after it."""
_DEPTH = 1e-4
"""Power, as a share of the loudest frame's (-40 dB), above which a frame holds sound: softer than any consonant."""
_FRAME = 400


def framed(samples: Samples, *, noisy: bool) -> Samples:
    """The sound of one answer with silence around it."""
    frames = len(samples) // _FRAME
    if noisy or not frames:
        return np.concatenate([_silence(LEAD_IN), samples, _silence(TAIL)])
    power = np.mean(samples[: frames * _FRAME].astype(np.float64).reshape(frames, _FRAME) ** 2, axis=1)
    loud = np.flatnonzero(power > _DEPTH * power.max())
    if not len(loud):
        return np.concatenate([_silence(LEAD_IN), samples, _silence(TAIL)])
    start = int(loud[0]) * _FRAME - int(BEFORE * RATE)
    end = (int(loud[-1]) + 1) * _FRAME + int(AFTER * RATE)
    inside = samples[max(0, start) : min(len(samples), end)]
    missing = (max(0, -start), max(0, end - len(samples)))
    return np.concatenate([_silence(missing[0] / RATE), inside, _silence(missing[1] / RATE)])


def _silence(seconds: float) -> Samples:
    return np.zeros(round(seconds * RATE), dtype=np.int16)
