"""Files in a records folder that are no journals of this program: what each is, and how that is told.

A sync tool leaves conflicted copies, a file manager leaves backups, somebody drops a folder in. None of it is read,
nothing of it stops anything, and it is named once.
"""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterator, Mapping
from pathlib import Path

from assistant.errors import OperatorError
from assistant.private_files import kind_of
from assistant.records.journal.names import SUFFIX, is_journal_name

_NAMED = 5
"""Strangers named one by one."""


def journals_in(folder: Path, strangers: dict[str, str] | None = None) -> Iterator[os.DirEntry[str]]:
    """Every file that is named like a session's journal.

    Args:
        folder: of the records.
        strangers: filled with the names of what looks like a journal and is none, and what it is.

    Raises:
        OperatorError: the folder cannot be read.
    """
    try:
        with contextlib.suppress(FileNotFoundError), os.scandir(folder) as entries:
            for entry in entries:
                journal = is_journal_name(entry.name)
                if journal and entry.is_file(follow_symlinks=False):
                    yield entry
                elif strangers is not None and SUFFIX in entry.name.lower():
                    strangers[entry.name] = _kind(entry) if journal else "not named like a session's file"
    except OSError as error:
        raise OperatorError(f"Cannot read {folder}: {(error.strerror or str(error)).rstrip('.')}.") from None


def _kind(entry: os.DirEntry[str]) -> str:
    try:
        return kind_of(entry.stat(follow_symlinks=False).st_mode)
    except OSError:
        return "gone meanwhile"


def told(folder: Path, strangers: Mapping[str, str]) -> str:
    """One sentence on what was passed by; '' where nothing was."""
    if not strangers:
        return ""
    named = [f"{name} ({what})" for name, what in sorted(strangers.items())[:_NAMED]]
    more = f" and {len(strangers) - _NAMED} more" if len(strangers) > _NAMED else ""
    return f"Passed by in {folder}: {', '.join(named)}{more}. Move what is no record of this program elsewhere."


def others_may_write(folder: Path) -> str:
    """One sentence where other users may change the records; '' where they may not."""
    if os.name == "nt":
        return ""
    try:
        mode = folder.stat().st_mode
    except OSError:
        return ""
    if not mode & 0o022:
        return ""
    return (
        f"Others may write into {folder}, so they could change or replace records. To end that: chmod go-w {folder}"
    )
