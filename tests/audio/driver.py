"""A sound driver of the tests' own in the place of the package sounddevice: it gives and takes when told to."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np


@dataclass
class Flags:
    """What the driver says of a block."""

    input_overflow: bool = False


@dataclass
class Stream:
    """One opened device."""

    samplerate: float
    channels: int
    callback: Callable[..., None]
    over: Callable[[], None] | None
    active: bool = False
    latency: float = 0.1
    closed: bool = False

    def start(self) -> None:
        """Begin."""
        self.active = True

    def abort(self) -> None:
        """End at once; a device that went away complains."""
        if self.closed:
            raise OSError("no such device")
        self.active = False

    def close(self) -> None:
        """Give it back."""
        self.active, self.closed = False, True

    def gives(self, samples: np.ndarray, *, overflow: bool = False) -> None:
        """A block of the microphone's sound arrives."""
        self.callback(samples.astype("<i2").tobytes(), len(samples), None, Flags(overflow))

    def asks(self, frames: int) -> np.ndarray:
        """The loudspeaker asks for so much sound."""
        out = bytearray(2 * frames)
        self.callback(out, frames, None, Flags())
        return np.frombuffer(bytes(out), dtype=np.int16)


@dataclass
class Driver:
    """What the package offers; ``refuses`` tells of a rate and channels why they cannot be had, '' where they can."""

    own_rate: float = 48000.0
    refuses: Callable[[float | None, int], str] = lambda _rate, _channels: ""
    streams: list[Stream] = field(default_factory=list)

    def _open(
        self, samplerate: float | None, channels: int, callback: Callable[..., None], over: Any = None
    ) -> Stream:
        if why := self.refuses(samplerate, channels):
            raise OSError(why)
        self.streams.append(Stream(samplerate or self.own_rate, channels, callback, over))
        return self.streams[-1]

    def RawInputStream(  # noqa: N802 - the package's name
        self, *, samplerate: float | None, channels: int, dtype: str, callback: Any, finished_callback: Any
    ) -> Stream:
        """A microphone."""
        assert dtype == "int16"
        return self._open(samplerate, channels, callback, finished_callback)

    def RawOutputStream(  # noqa: N802 - the package's name
        self, *, samplerate: float | None, channels: int, dtype: str, callback: Any, latency: float
    ) -> Stream:
        """A loudspeaker."""
        assert (dtype, latency) == ("int16", 0.1)
        return self._open(samplerate, channels, callback)


class Hand:
    """A clock that is set by hand."""

    def __init__(self) -> None:
        self.at = 100.0

    def monotonic(self) -> float:
        """Seconds."""
        return self.at
