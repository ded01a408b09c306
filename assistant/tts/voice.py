"""The voice: sentence by sentence, with the moment known at which the last was heard. There is no other.

A voice that fails never stops the session: the text is on the screen already, and each later sentence tries again
with a restarted engine, until it has failed ``GIVE_UP`` times in a row.
"""

from __future__ import annotations

import re
import time
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from typing import Protocol

import numpy as np

from assistant.audio import tones
from assistant.audio.player import SilentLoudspeakerError
from assistant.audio.sound import Samples
from assistant.tts.synthesizer import VoiceFailedError

GIVE_UP = 3
"""Failures in a row after which everything is text only."""
LEAD_IN = 0.05
"""Seconds of silence before the first word."""
_LOOK = 0.02
_END = re.compile(r"(?<=[.?!;:])\s+")
_LEAST = 25
"""Characters below which a sentence is spoken together with the next."""


class Synthesizes(Protocol):
    """Makes sound of a sentence."""

    def synthesize(self, text: str) -> tuple[Samples, int]:
        """Samples and sample rate; raises VoiceFailedError."""

    def close(self) -> None:
        """End its process."""


class Plays(Protocol):
    """A loudspeaker."""

    @property
    def rate(self) -> int:
        """Samples a second that it takes."""

    def play(self, samples: Samples, rate: int) -> None:
        """Queue sound after what is playing; raises SilentLoudspeakerError."""

    def busy(self) -> bool:
        """True until all of it has been heard; raises SilentLoudspeakerError."""

    def stop(self) -> None:
        """Fall silent at once."""

    def close(self) -> None:
        """Release the device."""


class Voice:
    """Speaks aloud.

    Args:
        synthesizer: makes the sound.
        player: plays it.
        notice: takes one sentence when the voice fails.
        interrupted: asked again and again while speaking; True ends it (someone typed, or said 'stop' in a headset).
            None where nothing else listens meanwhile: then Ctrl-C ends the session as it does anywhere.
    """

    def __init__(
        self,
        synthesizer: Synthesizes,
        player: Plays,
        notice: Callable[[str], None],
        interrupted: Callable[[], bool] | None = None,
    ) -> None:
        self._synthesizer, self._player, self._notice = synthesizer, player, notice
        self.interrupted = interrupted
        self._failures = 0
        self._told = False
        self._pool = ThreadPoolExecutor(1, thread_name_prefix="leadsman-voice")
        self.silent_since = 0.0
        """Monotonic seconds at which the last sound of ours was heard."""
        self.began = 0.0
        """Monotonic seconds at which the last sentence was handed to the loudspeaker."""
        self.acknowledged = 0.0
        """The same for the last short sound."""
        self.broken_off = False
        """True when Ctrl-C was pressed while we spoke."""
        self.on = True
        """False while the voice is switched off."""
        self.speaking = False
        """True while a sentence is made or heard."""

    def say(self, text: str) -> None:
        """Speak and return when it was heard, interrupted or given up."""
        if not self.on or self._failures >= GIVE_UP or not text.strip() or self.broken_off:
            return
        if self._is_interrupted():
            return
        parts = sentences(text)
        self.speaking = True
        try:
            coming: Future[tuple[Samples, int]] | None = self._pool.submit(self._synthesizer.synthesize, parts[0])
            for index in range(len(parts)):
                assert coming is not None  # noqa: S101 - one for each part
                samples, rate = coming.result()
                more = index + 1 < len(parts)
                coming = self._pool.submit(self._synthesizer.synthesize, parts[index + 1]) if more else None
                if not index:
                    # a device that wakes up swallows the first moments
                    samples = np.concatenate([np.zeros(round(LEAD_IN * rate), dtype=np.int16), samples])
                self._player.play(samples, rate)
                if not index:
                    self.began = time.monotonic()
                if self._wait():
                    break
            self._failures = 0
        except (VoiceFailedError, SilentLoudspeakerError) as error:
            self._failed(str(error))
        except KeyboardInterrupt:
            self._player.stop()
            if self.interrupted is None:
                raise
            # the session ends where it listens, with everything in its place
            self.broken_off = True
        finally:
            self.speaking = False
            self.silent_since = time.monotonic()

    def acknowledge(self, *, understood: bool) -> None:
        """A short sound: heard, or not understood; returns at once."""
        if not self.on or self._failures >= GIVE_UP:
            return
        make = tones.heard if understood else tones.not_understood
        try:
            sound = make(self._player.rate)
            self._player.play(sound, self._player.rate)
            self.acknowledged = time.monotonic()
            self.silent_since = self.acknowledged + len(sound) / self._player.rate
        except SilentLoudspeakerError as error:
            self._failed(str(error))

    def rest(self) -> None:
        """Release the loudspeaker once it is silent: on a busy machine an idle stream underruns."""
        try:
            if not self._player.busy():
                self._player.close()
        except SilentLoudspeakerError as error:
            self._failed(str(error))

    def close(self) -> None:
        """Release the engine and the loudspeaker."""
        self._player.close()
        self._pool.shutdown(wait=True, cancel_futures=True)
        self._synthesizer.close()

    def _wait(self) -> bool:
        """Wait until it was heard; True when it was interrupted."""
        while self._player.busy():
            if self._is_interrupted():
                self._player.stop()
                return True
            time.sleep(_LOOK)
        return False

    def _is_interrupted(self) -> bool:
        return self.interrupted is not None and self.interrupted()

    def _failed(self, reason: str) -> None:
        self._failures += 1
        if self._failures >= GIVE_UP:
            self._notice(f"The voice failed {GIVE_UP} times ({reason}); from here on everything is shown as text.")
        elif not self._told:
            self._told = True
            self._notice(
                f"The voice failed ({reason}); what it would say stands here. The next sentence tries again."
            )


def sentences(text: str) -> list[str]:
    """A text in parts that are spoken one after another; the shorter the first, the sooner it begins."""
    parts: list[str] = []
    for part in _END.split(text.strip()):
        if parts and len(parts[-1]) < _LEAST:
            parts[-1] = f"{parts[-1]} {part}"
        else:
            parts.append(part)
    return parts
