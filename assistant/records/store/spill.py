"""A session in the shared database that goes on in a file of this machine while the database is away.

The file begins with everything written so far, so it is a whole record that any command reads, and it goes on in the
same chain. Once the database answers again it is given what it lacks, the file is removed, and the session goes on
there. What is still in a file when the session is closed stays there for ``leadsman handover``.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Literal, Protocol

from sqlalchemy import Engine, text
from sqlalchemy.exc import SQLAlchemyError

from assistant.errors import Finding, OperatorError
from assistant.messages.decisions import Record
from assistant.records.journal.reader import lines_of
from assistant.records.journal.writer import Journal, WallClock
from assistant.records.store.postgresql_connection import fell_silent
from assistant.records.store.postgresql_rows import NotKeptError, SharedJournal

RETRY = 10.0
"""Seconds between two looks whether the database is back."""


class Database(Protocol):
    """What is asked of the database; ``store.postgresql.DatabaseStore`` is it."""

    engine: Engine
    folder: Path
    """Of this machine."""

    def take_over(self, session_id: str, known: Sequence[tuple[int, str, bytes]]) -> tuple[int, list[int]]:
        """Take the lines that it lacks; returns how many, and the numbers under which another line stands."""
        ...


class SpillingJournal:
    """A session's journal in the database, or on this machine while that does not answer.

    Args:
        store: the database.
        shared: the journal in it.
        session_id: which session.
        clock: tells the wall time.
    """

    def __init__(self, store: Database, shared: SharedJournal, session_id: str, clock: WallClock) -> None:
        self.damage: tuple[Finding, ...] = shared.damage
        """What was found damaged on opening."""
        self.on_close: Callable[[], None] | None = None
        """Called once after closing."""
        self._store, self._shared, self._id, self._clock = store, shared, session_id, clock
        self._local: Journal | None = None
        self._moved: Literal["", "here", "back"] = ""
        self._back = threading.Event()
        self._over = threading.Event()

    @property
    def where(self) -> str:
        """Where it lies now, for a person."""
        if self._local is None:
            return self._shared.where
        return f"{self._local.where} (hand it over with: leadsman handover)"

    def moved(self) -> Literal["", "here", "back"]:
        """Where it went since this was last asked."""
        moved, self._moved = self._moved, ""
        return moved

    def append(self, record: Record, said: tuple[str, ...], at: float) -> int:
        """Write one entry: into the database, or on this machine when that does not take it.

        Raises:
            OperatorError: neither has it, or another machine has gone on with the session in the database.
        """
        if self._local is not None and self._back.is_set():
            self._give_back(self._local)
        if self._local is not None:
            return self._local.append(record, said, at)
        try:
            return self._shared.append(record, said, at)
        except NotKeptError as error:
            if fell_silent():
                return self._spill(record, said, error)
        try:
            return self._shared.append(record, said, at)  # a connection that was cut: a new one may do
        except NotKeptError as error:
            return self._spill(record, said, error)

    def close(self) -> None:
        """Let go of it; what is on this machine is given to the database if that answers."""
        self._over.set()
        if self._local is not None and not fell_silent():
            self._give_back(self._local)
        if self._local is not None:
            self._local.close()
        self._shared.close()
        after, self.on_close = self.on_close, None
        if after is not None:
            after()

    def _spill(self, record: Record, said: tuple[str, ...], error: NotKeptError) -> int:
        found = self._shared.with_pending(record, said)
        if found is None:
            raise error
        number, data = found
        try:
            self._local = Journal.carry_on(self._store.folder, self._id, data, self._clock)
        except OperatorError as refused:
            raise OperatorError(f"{error.problem} {refused.problem}", remedy=error.remedy) from None
        self._shared.rest()
        self._moved = "here"
        self._look_out()
        return number

    def _look_out(self) -> None:
        threading.Thread(target=self._look, name="leadsman-database", daemon=True).start()

    def _look(self) -> None:
        while not self._over.wait(RETRY):
            try:
                with self._store.engine.connect() as connection:
                    connection.execute(text("SELECT 1"))
            except SQLAlchemyError:
                continue
            self._back.set()
            return

    def _give_back(self, local: Journal) -> None:
        """Give the database what it lacks and go on there; where that fails, stay here and look again.

        Where another machine has gone on with the session meanwhile this one stays here to its end: its work is as
        real, and ``leadsman handover`` names what stands in two places.
        """
        data = local.data()
        self._back.clear()
        try:
            _, other = self._store.take_over(self._id, lines_of(data)[0])
        except OperatorError:
            if not self._over.is_set():
                self._look_out()
            return
        if not other:
            self._shared.follow(data)
            self._local = None
            self._moved = "back"
            local.discard()
