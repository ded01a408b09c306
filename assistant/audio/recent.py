"""Sounds of the last spoken answers, for a record that keeps them."""

from __future__ import annotations

from assistant.audio.sound import RATE, Samples

KEPT = 8
"""Spoken answers whose sound is remembered."""


class RecentAudio:
    """The sounds of the last few spoken answers, each under a name of its own.

    Args:
        source: what the names begin with.
    """

    def __init__(self, source: str) -> None:
        self._source, self._count = source, 0
        self._sounds: dict[str, Samples] = {}

    def keep(self, samples: Samples) -> str:
        """Remember a sound, in place of the oldest; returns its name."""
        self._count += 1
        name = f"{self._source}-{self._count:04d}"
        self._sounds[name] = samples
        while len(self._sounds) > KEPT:
            del self._sounds[next(iter(self._sounds))]
        return name

    def find(self, name: str) -> tuple[Samples, int] | None:
        """A sound and its samples a second, None when it is not remembered."""
        return (self._sounds[name], RATE) if name in self._sounds else None
