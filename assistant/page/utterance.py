"""Where a spoken answer ends: by its level over the noise around it.

This is a gate for push-to-talk and for listening by itself, not a judge of speech: what comes through goes to the
recogniser, which may find no word in it.
"""

from __future__ import annotations

from collections import deque

import numpy as np
import numpy.typing as npt

RATE = 16000
"""Samples a second."""
FRAME = 320
"""Samples judged at a time: 20 ms."""
START_FRAMES = 5
"""Loud frames in the last ``START_WINDOW`` that begin an answer: a click or an air gun's snap is shorter."""
START_WINDOW = 8
END_SILENCE = 0.8
"""Seconds of quiet that end an answer: people pause between the figures of a reading."""
LEAD_IN = 0.4
"""Seconds kept from before the first loud frame: first words are short and begin softly."""
LONGEST = 20.0
"""Seconds of the longest answer."""
OVER_NOISE_DB = 9.0
"""Level over the noise that counts as loud."""
FAINTEST_DB = -55.0
"""Level, full scale being 0 dB, below which nothing is loud."""
NOISE_WINDOW = 100
"""Frames, two seconds, over whose quieter moments the noise is judged: people pause more often than that."""
NOISE_SHARE = 0.1
"""Share of those frames that is taken for the noise."""
LOUDEST_NOISE_DB = -22.0
"""Noise is never taken for louder: a voice that begins at once is not its own noise."""


class Utterance:
    """Gathers one spoken answer.

    Args:
        until_released: True when a held button ends it, so that quiet does not.
    """

    def __init__(self, *, until_released: bool = False) -> None:
        self._until_released = until_released
        self._rest = b""
        self._lead: deque[bytes] = deque(maxlen=int(LEAD_IN * RATE / FRAME))
        self._kept: list[bytes] = []
        self._recent: deque[bool] = deque(maxlen=START_WINDOW)
        self._levels: deque[float] = deque(maxlen=NOISE_WINDOW)
        self._quiet_frames = 0
        self.began = False
        """True once something loud enough to be speech was heard."""
        self.ended = False
        """True when no more sound is wanted."""

    @property
    def samples(self) -> bytes:
        """What was gathered: 16-bit little-endian mono at 16 kHz; empty before anything loud was heard."""
        return b"".join(self._kept)

    @property
    def seconds(self) -> float:
        """Length of what was gathered."""
        return len(self._kept) * FRAME / RATE

    def feed(self, data: bytes) -> bool:
        """Take in sound and tell whether the answer has ended."""
        data = self._rest + data
        size = FRAME * 2
        whole = len(data) // size * size
        self._rest = data[whole:]
        for start in range(0, whole, size):
            if self.ended:
                break
            self._frame(data[start : start + size])
        return self.ended

    def release(self) -> None:
        """The button was let go."""
        self.ended = True

    def _frame(self, frame: bytes) -> None:
        loud = self._is_loud(np.frombuffer(frame, dtype="<i2"))
        if self._until_released:
            self._kept.append(frame)
            self.began = self.began or loud
        elif not self.began:
            self._lead.append(frame)
            self._recent.append(loud)
            if sum(self._recent) >= START_FRAMES:
                self.began = True
                self._kept.extend(self._lead)
        else:
            self._kept.append(frame)
            self._quiet_frames = 0 if loud else self._quiet_frames + 1
            self.ended = self._quiet_frames * FRAME >= END_SILENCE * RATE
        if self.seconds >= LONGEST:
            self.ended = True

    def _is_loud(self, samples: npt.NDArray[np.int16]) -> bool:
        power = float(np.mean(samples.astype(np.float64) ** 2)) / 32768.0**2
        level = float(10.0 * np.log10(power + 1e-10))
        self._levels.append(level)
        ranked = sorted(self._levels)
        noise = min(ranked[int(len(ranked) * NOISE_SHARE)], LOUDEST_NOISE_DB)
        return level > max(noise + OVER_NOISE_DB, FAINTEST_DB)
