"""Records in PostgreSQL, shared by the machines of a shop: journals and index with the same tables as everywhere.

A line is kept under its session and sequence number, with its hash; writing it twice changes nothing. An entry counts
as logged once its transaction is committed. When the connection breaks in the middle of a commit, nobody knows
whether it counted: the same bytes are sent again, and the hash in the database tells.
"""

from __future__ import annotations

import contextlib
import json
import time
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from pathlib import Path

from sqlalchemy import Connection, Engine, delete, func, insert, select, text
from sqlalchemy.dialects.postgresql import insert as upsert
from sqlalchemy.engine import URL
from sqlalchemy.exc import SQLAlchemyError

from assistant.errors import OperatorError
from assistant.records.index.index import Index
from assistant.records.index.journals import Look
from assistant.records.index.schema import PATIENTLY, lines, photos, private, sessions, unread
from assistant.records.index.writing import sum_causes
from assistant.records.journal.lines import Header
from assistant.records.journal.names import no_session
from assistant.records.journal.private import (
    counted,
    erase,
    erase_photo,
    photos_of,
    read_photo,
    sounds_of,
    write_photo,
)
from assistant.records.journal.writer import WallClock
from assistant.records.store.postgresql_address import address
from assistant.records.store.postgresql_rows import SharedJournal, reason_of
from assistant.records.store.spill import SpillingJournal

_HELD = text(
    "SELECT name FROM unnest(CAST(:names AS text[])) AS name WHERE hashtext(name)::bigint IN ("
    "SELECT (classid::bigint << 32) | objid::bigint FROM pg_locks WHERE locktype = 'advisory' AND objsubid = 1 "
    "AND granted AND database = (SELECT oid FROM pg_database WHERE datname = current_database()))"
)
"""Of these sessions those whose lock somebody holds (``postgresql_rows``). The list of locks is read: who tried each
lock instead would for a moment hold those that are free, and turn away whoever takes such a session up just then."""


def open_database(folder: Path) -> DatabaseStore:
    """The shop's database.

    Args:
        folder: of this machine, for kept sound and sessions that were recorded offline.

    Raises:
        OperatorError: its address is not known, or it cannot be reached.
    """
    try:
        from assistant.records.store.postgresql_connection import impatient_engine
    except ImportError as error:
        raise OperatorError(
            f"The package {error.name} is missing, so no database can be used.",
            remedy="Run: pip install 'leadsman[postgresql]'",
        ) from None
    store = DatabaseStore(impatient_engine(address()), folder)
    try:
        store.reach()
    except OperatorError:
        store.engine.dispose()
        raise
    return store


COMPARED = "compared"
"""Begins the mark of an index that held every journal once; from then on new ones wait in ``unread``. Behind a sign
stands when sessions under way were looked at last."""
UNDER_WAY = 15.0
"""Seconds for which the index says the same of a session under way. Fifty bays that write would have whoever asks for
a list read fifty journals; a session that is closed waits in ``unread``."""


class UnreachableError(OperatorError):
    """The database does not answer, or refuses; its address is known. Work can go on in a folder."""


class SessionOpenError(OperatorError):
    """Another machine writes this session just now."""


class DatabaseStore:
    """Records in PostgreSQL.

    Args:
        engine: the database.
        folder: of this machine, where kept sound lies.
    """

    def __init__(self, engine: Engine, folder: Path) -> None:
        self.engine, self.folder = engine, folder
        self._index = Index(engine)

    @property
    def where(self) -> str:
        """The database's name and machine, without its secret."""
        url = self.engine.url
        return f"the database {url.database or ''} on {url.host or 'this machine'}"

    def reach(self) -> None:
        """Make the tables where there are none, and whatever changed since they were made.

        Raises:
            UnreachableError: it cannot be reached, or a newer program has changed its tables.
        """
        from assistant.records.store.migrations import LATEST, NUMBERS, migrate

        with self._plain(), self.engine.begin() as connection:
            connection.execute(text(PATIENTLY))
            # two machines that begin at once must not both make the tables
            connection.execute(text("SELECT pg_advisory_xact_lock(1279607109)"))
            before = migrate(connection)
            if before not in NUMBERS:
                raise UnreachableError(
                    f"A newer Leadsman has changed {self.where} (change {before}; this one knows {LATEST}).",
                    remedy="Bring this machine up to date. Until then leave --store out, and hand over afterwards.",
                )
            if before != LATEST:
                sum_causes(connection)

    def index(self) -> Index:
        """The index beside the journals."""
        return self._index

    def ids(self) -> list[str]:
        """Identities by name, which is by time."""
        with self._reading() as connection:
            return sorted(connection.execute(select(lines.c.session_id).where(lines.c.seq == 0)).scalars())

    def more_than(self, count: int) -> bool:
        """Asks for one beyond that."""
        with self._reading() as connection:
            beyond = select(lines.c.seq).where(lines.c.seq == 0).offset(count).limit(1)
            return connection.execute(beyond).first() is not None

    def has(self, session_id: str) -> bool:
        """True when there is a line of it."""
        with self._reading() as connection:
            chosen = select(lines.c.seq).where(lines.c.session_id == session_id).limit(1)
            return connection.execute(chosen).first() is not None

    def pass_by(self, session_id: str, why: str) -> None:
        """Nothing but this program's own lines stands in the database."""

    def data(self, session_id: str) -> bytes:
        """The journal as its bytes would stand in a file."""
        with self._reading() as connection:
            chosen = select(lines.c.raw).where(lines.c.session_id == session_id).order_by(lines.c.seq)
            found = b"".join(connection.execute(chosen).scalars())
        if not found:
            raise no_session(session_id, self.where)
        return found

    def sizes(self, names: Sequence[str]) -> dict[str, int]:
        """Bytes of these journals."""
        total = func.sum(func.length(lines.c.raw))
        chosen = select(lines.c.session_id, total).where(lines.c.session_id.in_(names)).group_by(lines.c.session_id)
        with self._reading() as connection:
            return {row[0]: int(row[1]) for row in connection.execute(chosen)}

    def read_many(self, names: Sequence[str]) -> Iterator[tuple[str, bytes, str]]:
        """All in two questions."""
        of_these = select(lines.c.session_id, lines.c.raw).where(lines.c.session_id.in_(names))
        with self._reading() as connection:
            named = select(private.c.session_id, private.c.fields).where(private.c.session_id.in_(names))
            fields = {row.session_id: json.loads(row.fields) for row in connection.execute(named)}
            pieces: dict[str, list[bytes]] = {}
            for name, raw in connection.execute(of_these.order_by(lines.c.session_id, lines.c.seq)):
                pieces.setdefault(name, []).append(raw)
        for name, raws in pieces.items():
            yield name, b"".join(raws), fields.get(name, {}).get("technician", "")

    def look(
        self,
        known: Callable[[Sequence[str] | None], Mapping[str, int]],  # noqa: ARG002 - the database compares them itself
        left: Mapping[str, int],
        mark: str,
    ) -> Look:
        """What waits to be read; the first time journals and index are compared, in the database.

        Journals that somebody put in or took out by hand, past this program, are found by making the index anew.
        """
        compared, _, before = mark.partition("@")
        now = time.time()
        if compared == COMPARED:
            with self._reading() as connection:
                waiting = list(connection.execute(select(unread.c.session_id)).scalars())
            waiting.sort(reverse=True)
            if before.isdigit() and 0 <= now - int(before) < UNDER_WAY:  # a clock that is ahead holds nobody up
                return Look(waiting, [], mark)
            grown = [name for name in self._grown(left) if name not in waiting]
            return Look(waiting + grown, [], f"{COMPARED}@{int(now)}" if left else mark)
        begun = select(lines.c.session_id).where(lines.c.seq == 0)
        fresh = begun.where(~select(sessions.c.id).where(sessions.c.id == lines.c.session_id).exists())
        there = select(lines.c.seq).where(lines.c.session_id == sessions.c.id, lines.c.seq == 0)
        with self._reading() as connection:
            stale = list(connection.execute(fresh.union(select(unread.c.session_id))).scalars())
            gone = list(connection.execute(select(sessions.c.id).where(~there.exists())).scalars())
        return Look(sorted([*stale, *self._grown(left)], reverse=True), gone, f"{COMPARED}@{int(now)}")

    def _grown(self, left: Mapping[str, int]) -> list[str]:
        sizes = self.sizes(list(left)) if left else {}
        return sorted((name for name, size in sizes.items() if size != left[name]), reverse=True)

    def technician(self, session_id: str) -> str:
        """From the table of private things."""
        return self.private_fields(session_id).get("technician", "")

    def private_fields(self, session_id: str) -> dict[str, str]:
        """Everything private about a session."""
        with self._reading() as connection:
            found = connection.execute(select(private.c.fields).where(private.c.session_id == session_id)).scalar()
        return json.loads(found) if found else {}

    def name_technician(self, session_id: str, name: str) -> None:
        """Into the table of private things."""
        fields = json.dumps({**self.private_fields(session_id), "technician": name}, ensure_ascii=False)
        with self._plain(), self.engine.begin() as connection:
            made = upsert(private).values(session_id=session_id, fields=fields)
            connection.execute(made.on_conflict_do_update(index_elements=["session_id"], set_={"fields": fields}))

    def sounds(self, session_id: str) -> dict[int, Path]:
        """Sound stays on the machine that heard it."""
        return sounds_of(self.folder, session_id)

    def keep_photo(self, session_id: str, name: str, content: bytes) -> None:
        """Into the table of photos; while the database is away into this machine's folder, and from there with its
        session."""
        try:
            with self._plain(), self.engine.begin() as connection:
                made = upsert(photos).values(session_id=session_id, name=name, content=content)
                connection.execute(made.on_conflict_do_nothing())
        except UnreachableError:
            write_photo(self.folder, session_id, name, content)

    def photo(self, session_id: str, name: str) -> bytes | None:
        """From the table of photos, or from this machine's folder."""
        here = read_photo(self.folder, session_id, name)
        if here is not None:
            return here
        chosen = select(photos.c.content).where(photos.c.session_id == session_id, photos.c.name == name)
        with self._reading() as connection:
            found = connection.execute(chosen).scalar()
        return None if found is None else bytes(found)

    def erase_photo(self, session_id: str, name: str) -> bool:
        """From the table of photos, and what a handover left on this machine."""
        here = erase_photo(self.folder, session_id, name)
        with self._plain(), self.engine.begin() as connection:
            chosen = delete(photos).where(photos.c.session_id == session_id, photos.c.name == name)
            return bool(connection.execute(chosen).rowcount) or here

    def erase(self, session_id: str, *, sound: bool, names: bool, photos: bool) -> list[str]:
        """Sound, names and photos of this machine, and names and photos in the database."""
        gone = erase(self.folder, session_id, sound=sound, names=names, photos=False)
        if photos:
            gone += self._erase_photos(session_id)
        if names:
            with self._plain(), self.engine.begin() as connection:
                found = connection.execute(delete(private).where(private.c.session_id == session_id)).rowcount
                connection.execute(sessions.update().where(sessions.c.id == session_id).values(technician=""))
            if found and "the technician's name" not in gone:
                gone.append("the technician's name")
        return gone

    def _erase_photos(self, session_id: str) -> list[str]:
        """Those in the database, and what a handover left on this machine; in words."""
        here = set(photos_of(self.folder, session_id))
        erase(self.folder, session_id, sound=False, names=False, photos=True)
        with self._plain(), self.engine.begin() as connection:
            chosen = delete(photos).where(photos.c.session_id == session_id).returning(photos.c.name)
            gone = here | set(connection.execute(chosen).scalars())
        return [counted(len(gone), "photo")] if gone else []

    def create(self, header: Header, clock: WallClock) -> SpillingJournal:
        """Begin a record, which goes on in this machine's folder while the database is away.

        Raises:
            OperatorError: it cannot be written, or there is one of that identity already.
        """
        with self._plain():
            shared = SharedJournal.create(self.engine, self.where, header, clock)
        return SpillingJournal(self, shared, header.session_id, clock)

    def open(self, session_id: str, clock: WallClock) -> SpillingJournal:
        """Take up a record again, on whatever machine it was left.

        Raises:
            OperatorError: there is none, another machine writes it, or its header is lost.
        """
        with self._plain():
            shared = SharedJournal.open(self.engine, self.where, session_id, self.data(session_id), clock)
        return SpillingJournal(self, shared, session_id, clock)

    def in_use(self, names: Collection[str]) -> frozenset[str]:
        """Those of these sessions that are being written, on this machine or another one."""
        if not names:
            return frozenset()
        with self._plain(), self.engine.begin() as connection:
            return frozenset(connection.execute(_HELD, {"names": list(names)}).scalars())

    def take_over(self, session_id: str, known: Sequence[tuple[int, str, bytes]]) -> tuple[int, list[int]]:
        """Take lines (number, hash, bytes) from a machine that was offline, in one transaction.

        Raises:
            SessionOpenError: another machine writes the session just now.

        Returns:
            How many were new, and the numbers under which another line stands already; with those nothing is taken.
        """
        with self._plain(), self.engine.begin() as connection:
            held = text("SELECT pg_try_advisory_xact_lock(hashtext(:id))")
            if not connection.execute(held, {"id": session_id}).scalar():
                raise SessionOpenError("It is open in the database just now; it is handed over the next time.")
            chosen = select(lines.c.seq, lines.c.hash).where(lines.c.session_id == session_id)
            there = {row.seq: row.hash for row in connection.execute(chosen)}
            other = [seq for seq, digest, _ in known if there.get(seq, digest) != digest]
            if other:
                return 0, other
            fresh = [
                {"session_id": session_id, "seq": seq, "hash": digest, "raw": raw}
                for seq, digest, raw in known
                if seq not in there
            ]
            if fresh:
                connection.execute(insert(lines), fresh)
                connection.execute(upsert(unread).values(session_id=session_id).on_conflict_do_nothing())
            for name in photos_of(self.folder, session_id):
                picture = read_photo(self.folder, session_id, name)
                if picture is not None:
                    made = upsert(photos).values(session_id=session_id, name=name, content=picture)
                    connection.execute(made.on_conflict_do_nothing())
            return len(fresh), []

    @contextlib.contextmanager
    def _reading(self) -> Iterator[Connection]:
        with self._plain(), self._index.connect() as connection:
            yield connection

    @contextlib.contextmanager
    def _plain(self) -> Iterator[None]:
        try:
            yield
        except SQLAlchemyError as error:
            raise unreachable(error, self.where, self.engine.url) from None


def unreachable(error: SQLAlchemyError, where: str, url: URL) -> UnreachableError:
    """A sentence for what the database refused, without its secret."""
    reason = reason_of(error, url)
    return UnreachableError(
        f"Cannot use {where}: {reason}.",
        remedy="Work can go on without it: leave --store out, and hand over later with leadsman handover.",
    )
