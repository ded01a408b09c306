"""Sentences to samples: the engine saves them in its own process, which is restarted when it misbehaves."""

from __future__ import annotations

import contextlib
import tempfile
import threading
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from assistant.audio.sound import Samples
from assistant.tts.engine import COMMAND, Deadlines, Engine

_FASTEST = 0.008
"""Least seconds for each character of a sentence: nobody speaks faster."""


class VoiceFailedError(Exception):
    """The engine gave no sound; the text says what went wrong."""


class Synthesizer:
    """Keeps one engine process and restarts it when it hangs, crashes or makes no sound.

    Args:
        words_a_minute: speed.
        voice: the engine's name of the voice, '' for its own choice.
        command: how to start the process, without speed and voice.
        deadlines: how long it may take.
    """

    def __init__(
        self,
        words_a_minute: int = 170,
        voice: str = "",
        command: Sequence[str] = COMMAND,
        deadlines: Deadlines | None = None,
    ) -> None:
        self._command = (*command, str(words_a_minute), voice) if tuple(command) == COMMAND else tuple(command)
        self._deadlines = deadlines or Deadlines()
        self._engine: Engine | None = None
        self._lock = threading.Lock()

    def synthesize(self, text: str) -> tuple[Samples, int]:
        """Samples and sample rate of one sentence; on a failure the engine is restarted and tried once more.

        Raises:
            VoiceFailedError: both tries failed.
        """
        problem = ""
        with self._lock, tempfile.TemporaryDirectory(prefix="leadsman-said-") as folder:
            for turn in range(2):
                path = Path(folder) / f"{turn}.wav"
                problem = self._save(text, path)
                if not problem:
                    found = _read(path, text)
                    if found is not None:
                        return found
                    problem = "it made no sound"
                self._drop()
        raise VoiceFailedError(problem)

    def voices(self) -> list[str]:
        """Names of the engine's voices; empty when it cannot tell."""
        with self._lock, contextlib.suppress(OSError):
            self._engine = self._engine or Engine(self._command)
            return self._engine.voices(self._deadlines)
        return []

    def close(self) -> None:
        """End the process."""
        with self._lock:
            self._drop()

    def _save(self, text: str, path: Path) -> str:
        try:
            self._engine = self._engine or Engine(self._command)
        except OSError as error:
            return f"its process cannot be started: {error.strerror or error}"
        return self._engine.save(text, path, self._deadlines)

    def _drop(self) -> None:
        engine, self._engine = self._engine, None
        if engine is not None:
            engine.kill()


def _read(path: Path, text: str) -> tuple[Samples, int] | None:
    """What was saved, None when it cannot be that sentence."""
    import soundfile

    try:
        samples, rate = soundfile.read(path, dtype="int16", always_2d=True)
    except (OSError, RuntimeError):
        return None
    mono = np.ascontiguousarray(samples[:, 0])
    # nobody speaks faster than this; a file that is shorter, or silent, is not the sentence
    if len(mono) < _FASTEST * len(text) * rate or not np.any(np.abs(mono.astype(np.int32)) > 100):
        return None
    return mono, int(rate)
