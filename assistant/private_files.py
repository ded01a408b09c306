"""Files and folders that only their owner may read, written whole or not at all."""

from __future__ import annotations

import contextlib
import os
import stat
import sys
from pathlib import Path

PLAINLY = (
    getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_CLOEXEC", 0)
    | getattr(os, "O_BINARY", 0)
)  # fmt: skip
"""Flags of opening: no link is followed, and a pipe that nobody writes to is not waited for."""


class NotPlainError(OSError):
    """What stands under a name is no ordinary file of a fit size. Its text says what it is."""


def read_plain(path: str | Path, most: int) -> bytes:
    """The bytes of an ordinary file; links are not followed, and pipes and devices are not read.

    Args:
        path: of the file.
        most: bytes that it may have.

    Raises:
        NotPlainError: it is something else, or longer.
        OSError: it is not there, or cannot be read.
    """
    if os.path.islink(path):  # noqa: PTH114 - without an object for each of very many
        raise NotPlainError("it is a link to another place")
    handle = os.open(path, os.O_RDONLY | PLAINLY)
    try:
        found = os.fstat(handle)
        if not stat.S_ISREG(found.st_mode):
            raise NotPlainError(f"it is {kind_of(found.st_mode)}")
        if found.st_size > most:
            raise NotPlainError(f"it has {found.st_size} bytes, more than the {most} that are read")
        pieces = []
        while piece := os.read(handle, max(1, min(found.st_size + 1, 1 << 20))):
            pieces.append(piece)
        return b"".join(pieces)
    finally:
        os.close(handle)


def kind_of(mode: int) -> str:
    """What stands under a name, from the mode that the system gives: ``a folder``, ``a pipe``."""
    kinds = ((stat.S_ISDIR, "a folder"), (stat.S_ISLNK, "a link to another place"), (stat.S_ISFIFO, "a pipe"),
             (stat.S_ISSOCK, "a socket"), (stat.S_ISREG, "a file"))  # fmt: skip
    return next((name for fits, name in kinds if fits(mode)), "a device")


def link_below(folder: Path, *names: str) -> Path | None:
    """The first of these names, one below the other, that is a link; None where all are what they seem."""
    for name in names:
        folder = folder / name
        if folder.is_symlink():
            return folder
    return None


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
