"""The journal: append-only, one write and one fsync an entry, before anybody says 'logged'.

What is promised: when ``append`` returns, the entry survives a kill and a power cut. When it raises, the file is as
it was before, or will be made so by the next append. A torn end that a kill left behind is set aside on opening, into
a file beside the journal, and never glued to what follows. The chain of hashes shows a changed or missing line
inside, not a cut tail.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import Literal, Protocol

from assistant.errors import Finding, OperatorError
from assistant.messages.decisions import Record
from assistant.private_files import make_private_folder, sync_folder
from assistant.records.journal.disk import KEPT, AppendFile, ChangedError, File, SessionLock, explain
from assistant.records.journal.format import encode_line
from assistant.records.journal.lines import FORMAT, Attempt, Body, Entry, Header, Line, entry_of
from assistant.records.journal.names import SUFFIX, journal_path, no_session
from assistant.records.journal.reader import Session, parse

TORN_SUFFIX = ".torn"


class WallClock(Protocol):
    """Tells the wall time; ``assistant.clock.Clock`` is one."""

    def wall(self) -> datetime:
        """Wall time with its offset; it may jump."""
        ...


Opener = Callable[..., File]


def must_be_writable(session: Session, name: str) -> None:
    """A record that is not this program's to write into is read only.

    Args:
        session: the record as read.
        name: its identity, by the name under which it lies.

    Raises:
        OperatorError: its header is lost, a later version wrote it, or it is another session's under this name.
    """
    read = f"It can be read: leadsman show {name}."
    if not session.header_read:
        raise OperatorError(
            f"Session {name} has lost its header, so it cannot be continued.",
            remedy=f"What is left of it can be read: leadsman show {name}.",
        )
    if session.header.format > FORMAT:
        raise OperatorError(
            f"A later version wrote session {name} (format {session.header.format}); this one only reads it.",
            remedy=f"Go on with it in that version. {read}",
        )
    if session.header.session_id != name:
        raise OperatorError(
            f"{name}{SUFFIX} holds session {session.header.session_id}: a copy, or renamed. It is only read.",
            remedy=f"Go on with that one: leadsman resume {session.header.session_id}.",
        )


class Journal:
    """One session's record, open for writing by this process alone. Make it with ``create`` or ``open``."""

    def __init__(self, path: Path, file: File, lock: SessionLock, clock: WallClock, opener: Opener) -> None:
        self.path = path
        self.damage: tuple[Finding, ...] = ()
        """What was found damaged on opening."""
        self.set_aside = 0
        """Bytes of a torn end that opening moved into the ``.torn`` file."""
        self.on_close: Callable[[], None] | None = None
        """Called once after closing, such as to bring the index up to date; what it raises is not ours."""
        self._file, self._lock, self._clock, self._opener = file, lock, clock, opener
        self._size = 0
        self._next = 0
        self._prev = ""
        self._last_at = 0.0
        self._dirty = False
        self._sum = hashlib.sha256()
        self._stamp = 0

    @classmethod
    def create(cls, folder: Path, header: Header, clock: WallClock, *, opener: Opener = AppendFile) -> Journal:
        """Begin a session's journal with its header.

        Raises:
            OperatorError: it cannot be written, or there is one of that identity already. Nothing is left behind.
        """
        path = journal_path(folder, header.session_id)
        lock: SessionLock | None = None
        file: File | None = None
        try:
            make_private_folder(folder)
            lock = SessionLock(path.with_suffix(".lock"))
            file = opener(path, create=True)
            journal = cls(path, file, lock, clock, opener)
            journal._write(header, 0.0)
            sync_folder(folder)
        except (OSError, OperatorError) as error:
            taken = isinstance(error, FileExistsError) and file is None
            _give_up(lock, file, None if file is None else path)
            if taken:
                raise OperatorError(f"There is a session {header.session_id} already.") from None
            if isinstance(error, OSError):
                raise explain(error, path, "The new record") from None
            raise
        return journal

    @classmethod
    def open(cls, folder: Path, session_id: str, clock: WallClock, *, opener: Opener = AppendFile) -> Journal:
        """Take up a session again: a new attempt. Old lines stay as they are; a torn end is set aside.

        Raises:
            OperatorError: there is no such session, another process writes it, it is read only (see
                ``must_be_writable``), or the disk refuses.
        """
        path = journal_path(folder, session_id)
        if not os.path.lexists(path):
            raise no_session(session_id, folder)
        lock: SessionLock | None = None
        file: File | None = None
        try:
            lock = SessionLock(path.with_suffix(".lock"))
            file = opener(path, create=False)
            journal = cls(path, file, lock, clock, opener)
            journal._take_up(file.read(), session_id)
        except (OSError, OperatorError) as error:
            _give_up(lock, file, None)
            if isinstance(error, OSError):
                raise explain(error, path, f"Session {session_id}") from None
            raise
        return journal

    @classmethod
    def carry_on(
        cls, folder: Path, session_id: str, data: bytes, clock: WallClock, *, opener: Opener = AppendFile
    ) -> Journal:
        """Go on here with a session that was written elsewhere up to now, in the same chain.

        Args:
            folder: where it goes on.
            session_id: which one.
            data: its whole journal so far; what stands of it here already is left as it is.
            clock: tells the wall time.
            opener: opens the file.

        Raises:
            OperatorError: another record of that identity lies here, or the disk refuses. Nothing is left behind.
        """
        path = journal_path(folder, session_id)
        lock: SessionLock | None = None
        file: File | None = None
        made: Path | None = None
        try:
            make_private_folder(folder)
            lock = SessionLock(path.with_suffix(".lock"))
            fresh = not os.path.lexists(path)
            file = opener(path, create=fresh)
            made = path if fresh else None
            file.write(_after(data, file.read(), path))
            file.sync()
            sync_folder(folder)
            journal = cls(path, file, lock, clock, opener)
            journal._size, journal._sum = len(data), hashlib.sha256(data)
            journal._stamp = file.status()[1]
            journal._continue_from(parse(data, session_id))
        except (OSError, OperatorError) as error:
            _give_up(lock, file, made)
            if isinstance(error, OSError):
                raise explain(error, path, f"Session {session_id}") from None
            raise
        return journal

    @property
    def where(self) -> str:
        """Where it lies, for a person."""
        return str(self.path)

    def append(self, record: Record, said: tuple[str, ...], at: float) -> int:
        """Write one entry and have it on disk.

        Args:
            record: the fact, its decisions and the replies.
            said: the replies as sentences.
            at: seconds since the session began.

        Returns:
            The entry's number.

        Raises:
            OperatorError: it is not on disk; the sentence says why and what to do. The file is left so that the next
                append can succeed.
        """
        return self._write(entry_of(record, said), at)

    def data(self) -> bytes:
        """What is written so far."""
        return self._file.read()[: self._size]

    def moved(self) -> Literal["", "here", "back"]:
        """A file stays where it is."""
        return ""

    def discard(self) -> None:
        """Let go of it and remove the file, since all of it is safely kept elsewhere."""
        with contextlib.suppress(OSError):
            self.path.unlink()
            sync_folder(self.path.parent)
        self.close()

    def close(self) -> None:
        """Let go of file and lock."""
        self._file.close()
        self._lock.release()
        after, self.on_close = self.on_close, None
        if after is not None:
            after()

    def __enter__(self) -> Journal:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def _write(self, body: Body, at: float) -> int:
        number = self._next
        mono = max(at, self._last_at)
        wall = self._clock.wall().isoformat(timespec="milliseconds")
        data, digest = encode_line(Line(number, wall, mono, self._prev, body))
        try:
            self._mend()
            self._stay_in_place()
            self._stay_unchanged()
            self._dirty = True
            self._file.write(data)
            self._file.sync()
            self._stamp = self._file.status()[1]
        except OSError as error:
            with contextlib.suppress(OSError):
                self._mend()
            if isinstance(body, Entry):
                raise explain(error, self.path, f"Entry {number}", KEPT) from None
            raise explain(error, self.path, f"Entry {number}" if number else "The new record") from None
        self._dirty = False
        self._size += len(data)
        self._sum.update(data)
        self._next, self._prev, self._last_at = number + 1, digest, mono
        return number

    def _mend(self) -> None:
        """Cut away what a failed write left behind."""
        if self._dirty:
            self._file.truncate(self._size)
            self._stamp = self._file.status()[1]
            self._dirty = False

    def _stay_unchanged(self) -> None:
        """The journal is as we left it: its length, and where it was written to since, every byte.

        Raises:
            ChangedError: another program cut or replaced it where it lies.
        """
        size, stamp = self._file.status()
        if (size, stamp) == (self._size, self._stamp):
            return
        if size != self._size or hashlib.sha256(self._file.read()).digest() != self._sum.digest():
            raise ChangedError
        self._stamp = stamp

    def _stay_in_place(self) -> None:
        """Where the file was taken away and its folder is there (again), write it anew from the open handle."""
        if self._file.in_place():
            return
        if not self.path.parent.is_dir():
            raise FileNotFoundError(2, "the folder is gone", str(self.path.parent))
        known = self._file.read()[: self._size]
        if hashlib.sha256(known).digest() != self._sum.digest():
            raise ChangedError
        if self._lock.lost():
            self._lock.release()
            self._lock = SessionLock(self.path.with_suffix(".lock"))
        fresh = self._opener(self.path, create=True)
        try:
            fresh.write(known)
            fresh.sync()
            sync_folder(self.path.parent)
        except OSError:
            fresh.close()
            with contextlib.suppress(OSError):
                self.path.unlink()
            raise
        self._file.close()
        self._file = fresh
        self._stamp = fresh.status()[1]

    def _take_up(self, data: bytes, session_id: str) -> None:
        session = parse(data, session_id)
        must_be_writable(session, session_id)
        self.damage = session.damage
        self._size = len(data)
        if session.whole_size < len(data):
            self._set_aside(data[session.whole_size :], session.whole_size)
        if session.newline_missing:
            self._file.write(b"\n")
            self._size += 1
        self._sum = hashlib.sha256(data[: session.whole_size] + (b"\n" if session.newline_missing else b""))
        self._stamp = self._file.status()[1]
        self._continue_from(session)
        attempts = 2 + sum(1 for _ in session.attempts())
        findings = tuple(str(finding) for finding in session.damage)
        self._write(Attempt(attempts, self.set_aside, findings), self._last_at)

    def _continue_from(self, session: Session) -> None:
        last = session.lines[-1] if session.lines else None
        self._next = (last.seq if last else 0) + 1 + session.broken_tail
        self._prev = last.hash if last else session.header_hash
        self._last_at = last.mono if last else 0.0

    def _set_aside(self, torn: bytes, size: int) -> None:
        """Move a torn end into the file beside the journal: first it is safe there, then it is cut off here."""
        beside = self.path.with_suffix(TORN_SUFFIX)
        aside = self._opener(beside, create=not os.path.lexists(beside))
        try:
            aside.write(torn + b"\n")
            aside.sync()
        finally:
            aside.close()
        sync_folder(self.path.parent)
        self._file.truncate(size)
        self._file.sync()
        self._size = size
        self.set_aside = len(torn)


def _after(data: bytes, here: bytes, path: Path) -> bytes:
    """What follows in a journal on what lies here of it."""
    if not data.startswith(here):
        raise OperatorError(
            f"Another record of session {path.stem} lies in {path.parent}.", remedy=f"Move {path} away."
        )
    return data[len(here) :]


def _give_up(lock: SessionLock | None, file: File | None, made: Path | None) -> None:
    if file is not None:
        file.close()
    if made is not None:
        with contextlib.suppress(OSError):
            made.unlink()
    if lock is not None:
        lock.release()
