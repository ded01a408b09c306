"""Files and folders that only their owner may read, written whole or not at all."""

from __future__ import annotations

import contextlib
import os
import sys
from pathlib import Path


def write_private(path: Path, content: bytes) -> None:
    """Write a file that only its owner may read: beside its place first, on the disk itself, then moved there.

    Raises:
        OSError: the disk refuses; what stood there before still does.
    """
    beside = path.with_name(f"{path.name}.new")
    beside.unlink(missing_ok=True)
    handle = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o600)
    with os.fdopen(handle, "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    beside.replace(path)
    sync_folder(path.parent)


def make_private_folder(folder: Path) -> None:
    """Make a folder and those missing above it, closed to other users. One that is there is left as it is."""
    missing = []
    while not folder.exists():
        missing.append(folder)
        folder = folder.parent
    for each in reversed(missing):
        with contextlib.suppress(FileExistsError):
            each.mkdir(mode=0o700)


def sync_folder(folder: Path) -> None:
    """Have the folder's list of names on the disk, where the system can do that."""
    if sys.platform == "win32":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
