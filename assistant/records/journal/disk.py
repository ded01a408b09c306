"""The journal's file and its lock: the only places of this room that touch the disk to write."""

from __future__ import annotations

import contextlib
import errno
import os
import stat
import sys
from pathlib import Path
from typing import Protocol

from assistant.errors import OperatorError
from assistant.private_files import PLAINLY, NotPlainError, kind_of

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl


class File(Protocol):
    """What a journal needs of its file; tests have a fake that fails where they want."""

    def read(self) -> bytes:
        """Everything in it."""
        ...

    def write(self, data: bytes) -> None:
        """Append all of it; OSError when that was not possible, and a part may then stand in the file."""
        ...

    def sync(self) -> None:
        """Have it on the disk itself."""
        ...

    def truncate(self, size: int) -> None:
        """Cut it to so many bytes."""
        ...

    def in_place(self) -> bool:
        """True while the file still stands under its name."""
        ...

    def status(self) -> tuple[int, int]:
        """Its bytes, and when it was last written to in nanoseconds: other values show another writer."""
        ...

    def close(self) -> None:
        """Let go of it."""
        ...


class ChangedError(OSError):
    """Another program changed a journal where it lies, so what comes now would not follow from what stands there."""


class AppendFile:
    """A file opened for appending, private to the user. Links are not followed, and nothing but a file is opened."""

    def __init__(self, path: Path, *, create: bool) -> None:
        """Open it.

        Raises:
            OSError: it cannot be opened; FileExistsError when it was to be created and is there.
        """
        self.path = path
        flags = os.O_RDWR | os.O_APPEND | PLAINLY
        if create:
            flags |= os.O_CREAT | os.O_EXCL
        self._handle = os.open(path, flags, 0o600)
        mode = os.fstat(self._handle).st_mode
        if not stat.S_ISREG(mode):
            self.close()
            raise NotPlainError(f"it is {kind_of(mode)}")

    def read(self) -> bytes:
        """Everything in it."""
        os.lseek(self._handle, 0, os.SEEK_SET)
        pieces = []
        while piece := os.read(self._handle, 1 << 20):
            pieces.append(piece)
        return b"".join(pieces)

    def write(self, data: bytes) -> None:
        """Append in one write; a short one (the disk is filling up) goes on until the system names the reason."""
        rest = memoryview(data)
        while rest:
            written = os.write(self._handle, rest)
            if written == 0:
                raise OSError(errno.EIO, os.strerror(errno.EIO))
            rest = rest[written:]

    def sync(self) -> None:
        """Have it on the disk itself."""
        os.fsync(self._handle)

    def truncate(self, size: int) -> None:
        """Cut it to so many bytes."""
        os.ftruncate(self._handle, size)

    def in_place(self) -> bool:
        """True while this very file stands under its name."""
        try:
            there = self.path.lstat()
        except (FileNotFoundError, NotADirectoryError):
            return False
        ours = os.fstat(self._handle)
        if (there.st_dev, there.st_ino) != (ours.st_dev, ours.st_ino):
            raise FileExistsError(errno.EEXIST, "another file has taken its name")
        return True

    def status(self) -> tuple[int, int]:
        """Its bytes, and when it was last written to in nanoseconds."""
        found = os.fstat(self._handle)
        return found.st_size, found.st_mtime_ns

    def close(self) -> None:
        """Let go of it."""
        if self._handle >= 0:
            os.close(self._handle)
            self._handle = -1


class SessionLock:
    """Keeps a second writer away. The system frees it when the process ends, however it ends.

    The lock is on an open handle, not in the file's being there: a lock file that a crash left behind means nothing.
    """

    def __init__(self, path: Path) -> None:
        """Take the lock.

        Raises:
            OperatorError: another process has it, or its name is taken by what is no lock.
            OSError: the lock file cannot be made.
        """
        self.path = path
        self._handle = -1
        while True:
            handle = os.open(path, os.O_RDWR | os.O_CREAT | PLAINLY, 0o600)
            found = os.fstat(handle)
            if not stat.S_ISREG(found.st_mode) or found.st_nlink > 1:  # writing into it would write elsewhere too
                os.close(handle)
                raise OperatorError(
                    f"{path} is no lock of this program: it is {kind_of(found.st_mode)} put there by somebody.",
                    remedy="Look at it, and take it away.",
                )
            try:
                _lock(handle)
            except OSError:
                holder = _read_holder(handle)
                os.close(handle)
                raise OperatorError(
                    f"Session {path.stem} is being written by another process{holder}.",
                    remedy="Go on there, or end that one first; a finished process keeps nothing locked.",
                ) from None
            if _same(path, handle):
                break
            os.close(handle)  # its last holder removed it between our opening and our locking
        self._handle = handle
        with contextlib.suppress(OSError):
            os.ftruncate(handle, 0)
            os.write(handle, f" {os.getpid()}\n".encode())  # the first byte is the one that is locked

    def lost(self) -> bool:
        """True when the lock file no longer stands under its name, so that it keeps nobody away."""
        return not _same(self.path, self._handle)

    def release(self) -> None:
        """Free it and take the file away."""
        if self._handle < 0:
            return
        with contextlib.suppress(OSError):
            if sys.platform != "win32" and _same(self.path, self._handle):
                self.path.unlink()
        os.close(self._handle)
        self._handle = -1


def is_locked(path: Path) -> bool:
    """True while a process holds the lock of that name; a file that a crash left behind means nothing."""
    try:
        handle = os.open(path, os.O_RDWR | PLAINLY)
    except OSError:
        return False
    try:
        _lock(handle)
    except OSError:
        return True
    finally:
        os.close(handle)  # frees what was locked for a moment
    return False


def _lock(handle: int) -> None:
    if sys.platform == "win32":
        os.lseek(handle, 0, os.SEEK_SET)
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
    else:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)


def _same(path: Path, handle: int) -> bool:
    try:
        there = path.lstat()
    except OSError:
        return False
    ours = os.fstat(handle)
    return (there.st_dev, there.st_ino) == (ours.st_dev, ours.st_ino)


def _read_holder(handle: int) -> str:
    try:
        os.lseek(handle, 1, os.SEEK_SET)
        number = os.read(handle, 20).strip()
    except OSError:
        return ""
    return f" (number {number.decode()})" if number.isdigit() else ""


KEPT = "It is kept here and tried again."
"""What becomes of an entry that the disk refused."""


def explain(error: OSError, path: Path, what: str, kept: str = "Then try again.") -> OperatorError:
    """A sentence for what the disk refused.

    Args:
        error: what it said.
        path: of the file.
        what: the sentence's subject, such as 'Entry 7'.
        kept: what comes then: ``KEPT``, where the caller keeps it and tries again by itself.
    """
    if isinstance(error, ChangedError):
        text = (
            f"{what} is not on disk: another program has changed {path}, so it would not follow from what is there."
        )
        return OperatorError(text, remedy=f"Put that file back from a copy, or end this session. {kept}")
    if isinstance(error, NotPlainError):
        return OperatorError(f"{what} is not on disk: {path} is not an ordinary file: {error}.", remedy=kept)
    if error.errno == errno.ELOOP:
        text = f"{what} is not on disk: {path} is a link to another place, and links are not followed."
        return OperatorError(text, remedy=f"Take the link away. {kept}")
    if error.errno in (errno.ENOSPC, getattr(errno, "EDQUOT", errno.ENOSPC)):
        return OperatorError(f"{what} is not on disk: the disk is full.", remedy=f"Free some space. {kept}")
    if error.errno in (errno.EROFS, errno.EACCES, errno.EPERM):
        text = f"{what} is not on disk: {path.parent} cannot be written to."
        return OperatorError(text, remedy=f"Make the folder writable, or name another with --records. {kept}")
    if error.errno in (errno.ENOENT, errno.ENOTDIR, errno.ESTALE, errno.ENODEV, errno.ENXIO):
        text = f"{what} is not on disk: the folder {path.parent} is gone."
        return OperatorError(text, remedy=f"Bring it back (plug the drive in, mount the share). {kept}")
    if error.errno == errno.EEXIST:
        text = f"{what} is not on disk: another file has taken the place of {path}."
        return OperatorError(text, remedy=f"Move that file away. {kept}")
    reason = (error.strerror or str(error)).rstrip(".")
    return OperatorError(f"{what} is not on disk: {reason} ({path}).", remedy=kept)
