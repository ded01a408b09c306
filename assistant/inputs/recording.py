"""Answers from a folder of recordings: one file an answer, in name order."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from pathlib import Path

from assistant.errors import OperatorError
from assistant.inputs.ports import Clock, HearsFiles
from assistant.inputs.script import Script
from assistant.messages import Expectation, Fact, Heard, InputEnded, Source, WentQuiet

KINDS = (".flac", ".wav")
"""Endings of files that are taken for answers."""


def recordings_in(folder: Path) -> list[Path]:
    """Recordings of a folder in name order, numbers in names counted as numbers.

    Raises:
        OperatorError: the folder is missing, unreadable, or holds no recording.
    """
    remedy = "Give a folder with one WAV or FLAC file an answer, named 01.flac, 02.flac and so on."
    if not folder.exists():
        raise OperatorError(f"There is no folder of recordings at {folder}.", remedy=remedy)
    if not folder.is_dir():
        raise OperatorError(f"{folder} is a file, not a folder of recordings.", remedy=remedy)
    try:
        found = [path for path in folder.iterdir() if path.suffix.lower() in KINDS and not path.name.startswith(".")]
    except OSError as error:
        raise OperatorError(f"Cannot read {folder}: {error.strerror or error}.", remedy=remedy) from None
    if not found:
        raise OperatorError(f"There is no WAV or FLAC file in {folder}.", remedy=remedy)
    return sorted(found, key=_name_order)


class RecordedListener:
    """Plays recordings to the recognizer as if they were spoken now.

    Args:
        files: recordings in the order in which they are answers.
        recognizer: what hears them.
        now: seconds since the session began.
        prompts: identity of the prompt each one answers; empty to check nothing.
        notice: takes each sentence about a recording that is clipped, faint or noisy.
    """

    def __init__(
        self,
        files: Sequence[Path],
        recognizer: HearsFiles,
        now: Clock,
        prompts: Sequence[str] = (),
        notice: Callable[[str], None] | None = None,
    ) -> None:
        self._files = tuple(files)
        self._recognizer = recognizer
        self._now = now
        self._notice = notice
        self._script = Script([path.name for path in files], prompts)

    def listen(self, expectation: Expectation, seconds: float | None) -> Fact:  # noqa: ARG002 - nothing to wait for
        """Hear the next recording. One in which nobody speaks is ``WentQuiet``.

        Raises:
            OperatorError: the recording cannot be used, or was made for another prompt.
        """
        if self._script.ended:
            return InputEnded(self._now())
        path = self._files[self._script.take(str(expectation.prompt))]
        hearing = self._recognizer.hear_file(path, expectation)
        if self._notice is not None:
            for warning in hearing.warnings:
                self._notice(f"{path.name}: {warning}")
        if not hearing.hypotheses:
            return WentQuiet(self._now())
        return Heard(self._now(), hearing.hypotheses, Source.RECORDING, hearing.snr_db, path.name)

    def close(self) -> None:
        """Nothing to let go of: the recognizer belongs to whoever made it."""


def _name_order(path: Path) -> tuple[list[tuple[int, int, str]], str]:
    parts = re.split(r"(\d+)", path.name.lower())
    return [(0, int(part), "") if part.isdigit() else (1, 0, part) for part in parts if part], path.name
