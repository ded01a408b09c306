"""Sound kept on request: the audio of each answer that was accepted, as FLAC beside its entry and outside the chain.

Words that were overheard lead to no entry, and what was not understood is written down without its sound: nobody was
asked to keep a voice that answered nothing.
"""

from __future__ import annotations

import contextlib
import io
from collections.abc import Callable
from pathlib import Path

import numpy as np
import numpy.typing as npt

from assistant.errors import Finding, OperatorError
from assistant.messages import Heard, Why
from assistant.messages.decisions import Record, Remarked
from assistant.private_files import make_private_folder, write_private
from assistant.records.journal.ports import OpenJournal
from assistant.records.journal.private import SOUND, must_not_be_links, private_folder

Samples = npt.NDArray[np.int16]
Source = Callable[[str], tuple[Samples, int] | None]
"""Name of a sound, as ``Heard.sound`` has it, to samples (mono, 16 bits) and samples a second; None: not there."""

NOTICE = "Sound is kept: every answer that counts is stored on this machine beside its entry."
"""Said aloud when it is on."""


class SoundKeepingJournal:
    """A journal that keeps the sound of each accepted answer once its entry is on disk.

    Args:
        journal: what keeps the entries.
        folder: of the records on this machine.
        session_id: whose sound it is.
        source: where the sound of an answer is.
        notice: told once when sound cannot be kept; the entries do not suffer from it.
    """

    def __init__(
        self, journal: OpenJournal, folder: Path, session_id: str, source: Source, notice: Callable[[str], None]
    ) -> None:
        self._journal, self._source, self._notice = journal, source, notice
        self._records, self._id = folder, session_id
        self._folder = private_folder(folder, session_id) / SOUND
        self._told = False

    @property
    def damage(self) -> tuple[Finding, ...]:
        """What was found damaged on opening."""
        return self._journal.damage

    @property
    def where(self) -> str:
        """Where the record lies."""
        return self._journal.where

    def append(self, record: Record, said: tuple[str, ...], at: float) -> int:
        """Write the entry, then its sound."""
        number = self._journal.append(record, said, at)
        if isinstance(record.fact, Heard) and record.fact.sound and not _missed(record):
            try:
                found = self._source(record.fact.sound)
                if found is not None:
                    self._write(number, *found)
            except (OSError, OperatorError, RuntimeError) as error:
                self._tell(error)
        return number

    def close(self) -> None:
        """Let go of the journal."""
        self._journal.close()

    def _write(self, number: int, samples: Samples, rate: int) -> None:
        import soundfile

        must_not_be_links(self._records, self._id)
        make_private_folder(self._folder)
        coded = io.BytesIO()
        soundfile.write(coded, samples, rate, format="FLAC", subtype="PCM_16")
        write_private(self._folder / f"{number}.flac", coded.getvalue())

    def _tell(self, error: Exception) -> None:
        if not self._told:
            self._told = True
            reason = str(error).rstrip(".")
            with contextlib.suppress(OSError):
                self._notice(f"The sound cannot be kept: {reason}. The entries are written all the same.")


def _missed(record: Record) -> bool:
    """True for an entry that only says what was not understood."""
    return any(isinstance(one, Remarked) and one.what.why is Why.NOT_UNDERSTOOD for one in record.decisions)
