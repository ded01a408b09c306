"""Plays sound through the loudspeaker and knows when all of it has been heard.

A device that stops asking for sound is closed and opened again for the next sentence.
"""

from __future__ import annotations

import contextlib
import threading
import time
from typing import Any

import numpy as np
import soxr

from assistant.audio.devices import hush_driver
from assistant.audio.sound import Samples

STALLED = 3.0
"""Seconds without being asked for sound after which the device hangs; a virtual one asks every two seconds."""


class SilentLoudspeakerError(Exception):
    """Nothing can be played; the text says why."""


class Player:
    """The loudspeaker of this machine.

    Args:
        rate: the usual sample rate of what is played.
    """

    def __init__(self, rate: int = 22050) -> None:
        self._usual = rate
        self._rate = rate
        self._lock = threading.Lock()
        self._waiting: list[Samples] = []
        self._at = 0
        self._ends = 0.0
        self._asked = 0.0
        self._stream: Any = None

    @property
    def rate(self) -> int:
        """Samples a second that the device takes."""
        return self._rate

    def open(self) -> None:
        """Have the device ready.

        Raises:
            SilentLoudspeakerError: there is none, or it cannot be opened.
        """
        if self._stream is not None and self._stream.active and time.monotonic() - self._asked < STALLED:
            return
        self.close()
        failure = ""
        try:
            import sounddevice
        except (ImportError, OSError) as error:
            raise SilentLoudspeakerError(str(error)) from None
        hush_driver()
        for rate in (self._usual, None):
            try:
                stream = sounddevice.RawOutputStream(
                    samplerate=rate, channels=1, dtype="int16", callback=self._give, latency=0.1
                )
                self._stream, self._rate = stream, round(stream.samplerate)
                self._asked = time.monotonic()
                stream.start()
            except Exception as error:  # noqa: BLE001 - drivers throw what they like
                failure = str(error)
            else:
                return
        self.close()
        raise SilentLoudspeakerError(failure or "it cannot be opened")

    def play(self, samples: Samples, rate: int) -> None:
        """Queue sound after what is playing already; returns at once.

        Raises:
            SilentLoudspeakerError: nothing can be played.
        """
        self.open()
        if rate != self._rate:
            samples = np.asarray(soxr.resample(samples, rate, self._rate), dtype=np.int16)
        with self._lock:
            self._waiting.append(samples)

    def busy(self) -> bool:
        """True until all of it has been heard.

        Raises:
            SilentLoudspeakerError: the device hangs; what was left is dropped.
        """
        now = time.monotonic()
        with self._lock:
            left = bool(self._waiting)
        if left and now - self._asked > STALLED:
            self.close()
            raise SilentLoudspeakerError("the device does not take any more sound")
        return left or now < self._ends

    def stop(self) -> None:
        """Fall silent at once."""
        with self._lock:
            self._waiting.clear()
            self._at = 0

    def close(self) -> None:
        """Release the device; calling it twice does no harm."""
        self.stop()
        stream, self._stream = self._stream, None
        if stream is not None:
            with contextlib.suppress(Exception):
                stream.abort()
            with contextlib.suppress(Exception):
                stream.close()

    def _give(self, out: Any, frames: int, _time: Any, _status: Any) -> None:
        self._asked = time.monotonic()
        given = np.zeros(frames, dtype=np.int16)
        filled = 0
        with self._lock:
            while self._waiting and filled < frames:
                part = self._waiting[0][self._at : self._at + frames - filled]
                given[filled : filled + len(part)] = part
                filled += len(part)
                self._at += len(part)
                if self._at >= len(self._waiting[0]):
                    self._waiting.pop(0)
                    self._at = 0
        if filled:
            delay = float(self._stream.latency) if self._stream is not None else 0.1
            self._ends = self._asked + filled / self._rate + min(delay, 0.5)
        out[:] = given.tobytes()
