"""One session's journal in the shared database, open for writing by one machine at a time."""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from typing import Literal
from urllib.parse import quote, quote_plus

from sqlalchemy import Connection, Engine, Select, select, text
from sqlalchemy.dialects.postgresql import insert
from sqlalchemy.engine import URL
from sqlalchemy.exc import SQLAlchemyError

from assistant.errors import Finding, OperatorError
from assistant.messages.decisions import Record
from assistant.records.index.schema import lines, unread
from assistant.records.journal.disk import KEPT
from assistant.records.journal.format import encode_line
from assistant.records.journal.lines import Attempt, Body, Entry, Header, Line, entry_of
from assistant.records.journal.reader import parse
from assistant.records.journal.writer import WallClock, must_be_writable


def reason_of(error: SQLAlchemyError, url: URL) -> str:
    """What the database or its client library said, in one line and without the address's secrets."""
    reason = (str(getattr(error, "orig", None) or error).strip().splitlines() or [""])[0].rstrip(".")
    given = [url.password or "", *(str(value) for name, value in url.query.items() if "password" in name)]
    for secret in given:
        for written in {secret, quote(secret, safe=""), quote_plus(secret)} - {""}:
            reason = reason.replace(written, "(secret)")
    return reason


class NotKeptError(OperatorError):
    """The database did not say that an entry is kept: it is away, or it refused."""


class SharedJournal:
    """Make it with ``create`` or ``open``. An advisory lock on its own connection keeps other writers away.

    The lock goes with the connection. After a break it is taken again, and the chain is compared: when another
    machine has gone on with the session meanwhile, this one says so instead of writing into its lines.
    """

    def __init__(self, engine: Engine, where: str, session_id: str, clock: WallClock) -> None:
        self.damage: tuple[Finding, ...] = ()
        """What was found damaged on opening."""
        self.on_close: Callable[[], None] | None = None
        """Called once after closing."""
        self._engine, self._where, self._id, self._clock = engine, where, session_id, clock
        self._connection: Connection | None = None
        self._next = 0
        self._prev = ""
        self._last_at = 0.0
        self._pending: tuple[Body, bytes, str, float] | None = None
        self._lines: list[bytes] = []

    @classmethod
    def create(cls, engine: Engine, where: str, header: Header, clock: WallClock) -> SharedJournal:
        """Begin a session's journal with its header.

        Raises:
            OperatorError: it cannot be written, or there is one of that identity already.
        """
        journal = cls(engine, where, header.session_id, clock)
        try:
            journal._must_be_new()
            journal._write(header, 0.0)
        except BaseException:
            journal.close()
            raise
        return journal

    @classmethod
    def open(cls, engine: Engine, where: str, session_id: str, data: bytes, clock: WallClock) -> SharedJournal:
        """Take up a session again: a new attempt.

        Raises:
            OperatorError: another machine writes it, or it is read only.
        """
        session = parse(data, session_id)
        must_be_writable(session, session_id)
        journal = cls(engine, where, session_id, clock)
        try:
            last = session.lines[-1] if session.lines else None
            journal.damage = session.damage
            journal._next = (last.seq if last else 0) + 1 + session.broken_tail
            journal._prev = last.hash if last else session.header_hash
            journal._last_at = last.mono if last else 0.0
            journal._lines = [data]
            attempts = 2 + sum(1 for _ in session.attempts())
            journal._write(Attempt(attempts, 0, tuple(str(one) for one in session.damage)), journal._last_at)
        except BaseException:
            journal.close()
            raise
        return journal

    @property
    def where(self) -> str:
        """Where it lies, for a person."""
        return f"{self._id} in {self._where}"

    def append(self, record: Record, said: tuple[str, ...], at: float) -> int:
        """Write one entry and have it committed.

        Raises:
            OperatorError: it is not known to be kept; the same entry is to be appended again.
        """
        return self._write(entry_of(record, said), at)

    def with_pending(self, record: Record, said: tuple[str, ...]) -> tuple[int, bytes] | None:
        """The number of an entry that ``append`` could not write, and the whole journal with it as it was sent.

        None when another entry was sent before and nobody knows whether it stands.
        """
        if self._pending is None or self._pending[0] != entry_of(record, said):
            return None
        return self._next, b"".join((*self._lines, self._pending[1]))

    def follow(self, data: bytes) -> None:
        """The database has this whole journal now, brought there by another way: go on after it."""
        session = parse(data, self._id)
        last = session.lines[-1]
        self._lines, self._pending = [data], None
        self._next, self._prev, self._last_at = last.seq + 1, last.hash, last.mono

    def rest(self) -> None:
        """Let go of the lock and the connection until the next entry."""
        self._drop()

    def moved(self) -> Literal["", "here", "back"]:
        """It stays in the database."""
        return ""

    def close(self) -> None:
        """Let go of the lock and the connection. The index is told that the session goes on no more."""
        if self._connection is not None and self._next:
            with contextlib.suppress(SQLAlchemyError):
                self._connection.execute(insert(unread).values(session_id=self._id).on_conflict_do_nothing())
                self._connection.commit()
        self._drop()
        after, self.on_close = self.on_close, None
        if after is not None:
            after()

    def _must_be_new(self) -> None:
        if self._connected().execute(self._first()).first() is not None:
            raise OperatorError(f"There is a session {self._id} already.")

    def _first(self) -> Select[int]:
        return select(lines.c.seq).where(lines.c.session_id == self._id).limit(1)

    def _write(self, body: Body, at: float) -> int:
        try:
            if self._pending is None or self._pending[0] != body:
                self._settle()
                mono = max(at, self._last_at)
                wall = self._clock.wall().isoformat(timespec="milliseconds")
                self._pending = (body, *encode_line(Line(self._next, wall, mono, self._prev, body)), mono)
            number = self._next
            _, data, digest, mono = self._pending
            self._commit(number, data, digest)
        except SQLAlchemyError as error:
            self._drop()
            reason = reason_of(error, self._engine.url)
            again = KEPT if isinstance(body, Entry) else "Then try again, or leave --store out."
            raise NotKeptError(f"Entry {self._next} is not in {self._where}: {reason}.", remedy=again) from None
        self._go_on_after(data, digest, mono)
        return number

    def _go_on_after(self, data: bytes, digest: str, mono: float) -> None:
        self._lines.append(data)
        self._next, self._prev, self._last_at = self._next + 1, digest, mono
        self._pending = None

    def _settle(self) -> None:
        """An entry that was given up may have been committed all the same: then it stands, and we go on after it."""
        if self._pending is None:
            return
        _, data, digest, mono = self._pending
        if self._connected().execute(self._hash_at(self._next)).scalar() == digest:
            self._go_on_after(data, digest, mono)
        self._pending = None

    def _commit(self, number: int, data: bytes, digest: str) -> None:
        """Insert a line, or find that it is there already; another line in its place is another machine's."""
        connection = self._connected()
        if number:
            before = connection.execute(self._hash_at(number - 1)).scalar()
            if before is not None and before != self._prev:
                raise self._other(connection)
        made = insert(lines).values(session_id=self._id, seq=number, hash=digest, raw=data)
        there = connection.execute(made.on_conflict_do_nothing().returning(lines.c.hash)).scalar()
        if there is None:
            there = connection.execute(self._hash_at(number)).scalar()
        elif not number:
            connection.execute(insert(unread).values(session_id=self._id).on_conflict_do_nothing())
        if there != digest:
            raise self._other(connection)
        connection.commit()

    def _other(self, connection: Connection) -> OperatorError:
        connection.rollback()
        return OperatorError(
            f"Another machine has gone on with session {self._id}: what comes now is not logged.",
            remedy="End this one here (Ctrl-C) and resume it there.",
        )

    def _hash_at(self, number: int) -> Select[str]:
        return select(lines.c.hash).where(lines.c.session_id == self._id, lines.c.seq == number)

    def _connected(self) -> Connection:
        """The connection that holds the lock; a new one after a break."""
        if self._connection is None or self._connection.closed or self._connection.invalidated:
            self._drop()
            connection = self._engine.connect()
            held = connection.execute(text("SELECT pg_try_advisory_lock(hashtext(:id))"), {"id": self._id}).scalar()
            connection.commit()
            if not held:
                connection.close()
                raise OperatorError(
                    f"Session {self._id} is being written by another machine or process.",
                    remedy="Go on there, or end that one first; a machine that is off keeps nothing locked.",
                )
            self._connection = connection
        return self._connection

    def _drop(self) -> None:
        connection, self._connection = self._connection, None
        if connection is None:
            return
        with contextlib.suppress(SQLAlchemyError):
            connection.rollback()
            connection.execute(text("SELECT pg_advisory_unlock(hashtext(:id))"), {"id": self._id})
            connection.commit()
        with contextlib.suppress(SQLAlchemyError):
            connection.invalidate()  # never back into the pool with a lock on it
        with contextlib.suppress(SQLAlchemyError):
            connection.close()
