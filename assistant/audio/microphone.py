"""The microphone of this machine: whole frames at 16 kHz, and notice within two seconds when it is lost.

The sound library's own thread only queues. Everything else (resampling, cutting into frames) happens where the frames
are taken out.
"""

from __future__ import annotations

import contextlib
import queue
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
import soxr

from assistant.audio.devices import hush_driver, microphone_problem
from assistant.audio.sound import RATE, Samples
from assistant.audio.sources import SoundSource, joined_source
from assistant.errors import OperatorError

FRAME = 512
"""Samples of one frame, 32 ms: what the voice detector takes."""
STALLED = 1.6
"""Seconds without sound after which the microphone is lost."""
LOOK = 0.5
"""Seconds between checks of which microphone the stream records from."""
MOST = 2000
"""Most blocks that may wait, about a minute; sound beyond that is dropped and marked as lost."""
SILENT = 1.5
"""Seconds of exact silence after which it is muted, or not allowed to be used."""


@dataclass(frozen=True, slots=True)
class Frame:
    """A piece of sound."""

    samples: Samples
    """``FRAME`` samples at 16 kHz."""
    at: float
    """Monotonic seconds at which its last sample arrived."""
    lost: bool = False
    """True when sound before it was lost."""


@dataclass(frozen=True, slots=True)
class Lost:
    """The microphone went away."""

    reason: str
    other: str = ""
    """Name of another microphone that took its place, '' for none: it is not listened to unasked."""


@dataclass(frozen=True, slots=True)
class Muted:
    """The microphone gives exact silence."""


Event = Frame | Lost | Muted
Block = tuple[bytes, float, bool]


class Microphone:
    """One opened microphone.

    Args:
        wanted: name of the microphone that was used before; another one is refused.
        arrived: called for each block, from the sound library's thread, so that a waiter may wake.

    Raises:
        OperatorError: there is none, it may not be used, or it is another than the one wanted.
    """

    def __init__(self, wanted: str = "", arrived: Callable[[], None] | None = None) -> None:
        self._blocks: queue.SimpleQueue[Block] = queue.SimpleQueue()
        self._arrived = arrived or (lambda: None)
        self._last = time.monotonic()
        self._over = threading.Event()
        self._dropped = False
        self._zeros = 0.0
        self._told_muted = False
        self._rest = np.empty(0, dtype=np.int16)
        self._stream, self.rate, self._channels = _open(self._take, self._over.set)
        self._resample = soxr.ResampleStream(self.rate, RATE, 1, dtype="int16") if self.rate != RATE else None
        self.source: SoundSource | None = joined_source()
        self._changed: SoundSource | None = None
        self._gone, self._closed = threading.Event(), threading.Event()
        self._watcher = threading.Thread(target=self._watch, name="leadsman-microphone", daemon=True)
        if self.source is not None and (self.source.monitor or (wanted and self.source.name != wanted)):
            self.close()
            if self.source.monitor:
                raise OperatorError("No microphone is connected.", remedy="Connect one, or type the answers.")
            raise OtherMicrophoneError(self.source)
        if self.source is not None:
            self._watcher.start()

    @property
    def name(self) -> str:
        """Name by which it is known again, '' where it has none."""
        return self.source.name if self.source is not None else ""

    @property
    def title(self) -> str:
        """How people know it."""
        return self.source.title if self.source is not None else "the usual microphone"

    def events(self) -> Iterator[Event]:
        """Everything that arrived since the last call, oldest first; nothing follows a ``Lost``."""
        with contextlib.suppress(queue.Empty):
            while True:
                yield from self._frames(*self._blocks.get_nowait())
        if self._changed is not None:
            yield Lost(f"Sound now comes from another microphone, {self._changed.title}.", self._changed.title)
        elif self._gone.is_set() or self._over.is_set() or time.monotonic() - self._last > STALLED:
            yield Lost("No sound comes from it any more.")

    def close(self) -> None:
        """Release the device; calling it twice does no harm."""
        self._closed.set()
        with contextlib.suppress(Exception):
            self._stream.abort()
        with contextlib.suppress(Exception):
            self._stream.close()
        if self._watcher.is_alive():
            self._watcher.join()

    def _take(self, data: Any, _frames: int, _time: Any, status: Any) -> None:
        self._last = time.monotonic()
        if self._blocks.qsize() >= MOST:
            self._dropped = True
            return
        lost, self._dropped = self._dropped or bool(status.input_overflow), False
        self._blocks.put((bytes(data), self._last, lost))
        self._arrived()

    def _frames(self, data: bytes, at: float, lost: bool) -> Iterator[Event]:
        samples = np.frombuffer(data, dtype="<i2")
        if self._channels > 1:
            samples = samples.reshape(-1, self._channels).astype(np.int32).mean(axis=1).astype(np.int16)
        if samples.any():
            self._told_muted = True  # it has given sound: exact silence is then a headset's noise gate
        self._zeros += len(samples) / self.rate
        if self._zeros > SILENT and not self._told_muted:
            self._told_muted = True
            yield Muted()
        if self._resample is not None:
            samples = np.asarray(self._resample.resample_chunk(samples), dtype=np.int16)
        self._rest = np.concatenate([self._rest, samples])
        while len(self._rest) >= FRAME:
            frame, self._rest = self._rest[:FRAME], self._rest[FRAME:]
            yield Frame(frame, at, lost)
            lost = False

    def _watch(self) -> None:
        """Watch which microphone the stream is connected to: a sound server can move it without notice."""
        missed = 0
        while not self._closed.wait(LOOK):
            found = joined_source()
            if found is not None and self.source is not None and found.name != self.source.name:
                self._changed = found
                self._arrived()
                return
            missed = missed + 1 if found is None else 0
            if missed >= 2:
                self._gone.set()
                self._arrived()
                return


class OtherMicrophoneError(OperatorError):
    """Another microphone than the one in use would be listened to.

    Args:
        source: the one that is there.
    """

    def __init__(self, source: SoundSource) -> None:
        self.source = source
        super().__init__(
            f"The microphone in use is gone; {source.title} is there.",
            remedy="Type 'voice on' to listen with that one, or connect the first one again.",
        )


def _open(take: Callable[..., None], over: Callable[[], None]) -> tuple[Any, int, int]:
    """The opened stream, the rate it really has, and its channels."""
    hush_driver()
    problem = microphone_problem()
    if problem is not None:
        raise OperatorError(problem.text, remedy=problem.remedy)
    import sounddevice

    failure = ""
    for channels in (1, 2):
        for rate in (RATE, None):
            stream = None
            try:
                stream = sounddevice.RawInputStream(
                    samplerate=rate, channels=channels, dtype="int16", callback=take, finished_callback=over
                )
                stream.start()
            except Exception as error:  # noqa: BLE001 - drivers throw what they like
                failure = str(error)
                if stream is not None:
                    with contextlib.suppress(Exception):
                        stream.close()
            else:
                return stream, round(stream.samplerate), channels
    raise OperatorError(
        f"The microphone cannot be opened ({failure}).",
        remedy="Close what else uses it, allow this program to use it in the system's settings, or type the answers.",
    )
