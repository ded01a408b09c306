"""The index: written when sessions end, checked against the journals before it is asked, made again at will."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

from sqlalchemy import Connection, Engine, create_engine, delete, event, func, insert, select, text, update
from sqlalchemy.exc import DatabaseError, SQLAlchemyError

from assistant.errors import OperatorError
from assistant.phrasing.wording import without_thousands
from assistant.private_files import link_below, make_private_folder
from assistant.records.index.reading import Batch, Known, Progress, no_collecting, read_batch, reading_batches
from assistant.records.index.schema import (
    INDEX,
    PATIENTLY,
    VERSION,
    WORDS_OFF,
    WORDS_ON,
    causes,
    found,
    metadata,
    passed,
    pictures,
    pieces,
    readings,
    repairs,
    sessions,
    state,
    unread,
)
from assistant.records.index.writing import insert_many, sum_causes, take_turns
from assistant.records.summary.summary import LEFT

if TYPE_CHECKING:
    from assistant.records.index.journals import Journals

FOLDER = "index"
"""Subfolder of the records: what is written in it does not touch the records folder's own time."""
FILE = "history.sqlite"
MARK = "looked"
"""Under this name the index keeps when it was last compared with the records, and what their place was like then."""
WORTH_MORE_PROCESSES = 80_000_000
"""Bytes of journals to be read through from which starting more processes pays: some seconds of work."""
_SAMPLE = 32
"""Journals whose sizes tell how much there is."""
_KEPT = 20
"""By how much a journal that stays as it was is quicker than one that is read through."""


class Index:
    """The index of one place for records."""

    def __init__(self, engine: Engine, path: Path | None = None) -> None:
        """Args: engine: the database; path: its file, None for a database that others share."""
        self.engine = engine
        self.path = path
        self._made = False

    def connect(self) -> Connection:
        """A connection with the tables in place."""
        if not self._made:
            self._make()
        return self.engine.connect()

    def put(self, store: Journals, session_id: str, technician: str = "") -> None:
        """Write one session anew, from its journal."""
        batch = read_batch(store, [session_id], {})
        if technician:
            for rows in batch.rows:
                rows.session["technician"] = technician
        with self.connect() as connection, connection.begin():
            self._write(connection, batch)

    def refresh(self, store: Journals, progress: Progress | None = None, at_most: int | None = None) -> int:
        """Bring in what changed since: new, removed, changed and unfinished sessions.

        Where nothing changed this costs the same however many records there are; see ``Journals.look``.

        Args:
            store: where the journals are.
            progress: told how many are done, of how many.
            at_most: the most journals to read; the others are left for the next time.

        Returns:
            How many changed, those that were left among them.
        """
        with self.connect() as connection:
            chosen = select(sessions.c.id, sessions.c.size).where(sessions.c.ending == LEFT)
            left = {row.id: row.size for row in connection.execute(chosen)}
            mark = connection.execute(select(state.c.value).where(state.c.name == MARK)).scalar()
        seen = store.look(self._sizes, left, mark or "")
        if seen.gone:
            with self.connect() as connection, connection.begin():
                self._remove(connection, seen.gone)
        stale = seen.stale[:at_most]
        # only a command tells how far it is, and may start processes: a page that serves must not
        jobs = self.processes(store, stale) if progress is not None else 1
        whole = self._read_all(store, stale, progress, jobs) and len(stale) == len(seen.stale)
        if whole and seen.mark != mark:
            with self.connect() as connection, connection.begin():
                connection.execute(delete(state).where(state.c.name == MARK))
                connection.execute(insert(state), [{"name": MARK, "value": seen.mark}])
        with self.connect() as connection:
            for row in connection.execute(select(passed.c.id, passed.c.why)):
                store.pass_by(row.id, row.why)
        return len(seen.stale)

    def _sizes(self, names: Sequence[str] | None = None) -> dict[str, int]:
        """Bytes of these journals, or of every one, as they were when they were read."""
        sizes: dict[str, int] = {}
        with self.connect() as connection:
            for table in (passed, sessions):
                chosen = select(table.c.id, table.c.size)
                rows = connection.execute(chosen if names is None else chosen.where(table.c.id.in_(names)))
                # as the driver gives them: making an object for each costs more than reading it
                sizes.update(cast("Iterable[tuple[str, int]]", rows.cursor or rows))
        return sizes

    def rebuild(
        self,
        store: Journals,
        progress: Progress | None = None,
        jobs: int | None = None,
        cluster: str = "",
        *,
        anew: bool = False,
    ) -> int:
        """Make the index again from the journals. Returns how many sessions there are.

        A session's rows are its own summary: they stay where its journal is, byte for byte, the one that this version
        made them from (``reading.digest_of``), and only the others are read through and folded.

        Args:
            store: where the journals are.
            progress: told how many are done, of how many.
            jobs: processes that read; None: one a core when it is worth it.
            cluster: address of a Dask scheduler whose workers, which reach the records too, read instead; '': none.
            anew: forget everything first.
        """
        names = store.ids()

        def make(known: Known) -> int:
            most = self.processes(store, names, _KEPT if known else 1)
            processes = 1 if self.path is None else jobs or most
            self._read_all(store, names, progress, processes, cluster, known=known)
            self._finish([*set(known).difference(names)])
            return len(names)

        if not anew:
            try:
                known = self._known()
                if known:
                    return make(known)
            except DatabaseError:  # its file is damaged
                if self.path is None:
                    raise
        self._forget()
        return make({})

    def _finish(self, gone: Sequence[str]) -> None:
        """Take out what is no more, and sum what is there, once every journal was read."""
        with self.connect() as connection, connection.begin():
            if self.path is None:
                connection.execute(text(PATIENTLY))
            self._remove(connection, gone)
            sum_causes(connection)
            if self.path is None:
                connection.execute(text(WORDS_ON))
                connection.execute(text("ANALYZE"))  # it must know how many there are to choose its way

    def _known(self) -> Known:
        """Digest and technician of each session that is there. What was passed by is forgotten."""
        chosen = select(sessions.c.id, sessions.c.digest, sessions.c.technician)
        with self.connect() as connection, connection.begin():
            known = {row.id: (row.digest, row.technician) for row in connection.execute(chosen)}
            connection.execute(delete(passed))
            if self.path is not None:  # the next look compares every journal
                connection.execute(delete(state).where(state.c.name == MARK))
        return known

    def _forget(self) -> None:
        """Begin with an index that has nothing."""
        if self.path is not None:
            self.engine.dispose()
            for suffix in ("", "-wal", "-shm", "-journal"):
                Path(f"{self.path}{suffix}").unlink(missing_ok=True)
            self._made = False
            return
        with self.connect() as connection, connection.begin():
            connection.execute(text(PATIENTLY))
            connection.execute(text(WORDS_OFF))
            for table in (readings, repairs, pictures, causes, passed, found, sessions):
                connection.execute(delete(table))

    def processes(self, store: Journals, names: Sequence[str], quicker: int = 1) -> int:
        """How many read these journals: one a core where it is worth it; none beside this one for a database.

        Args:
            store: where they are.
            names: of the journals.
            quicker: by how much reading each is quicker than reading it through.
        """
        if self.path is None or not names:
            return 1
        some = store.sizes(names[:: max(1, len(names) // _SAMPLE)])
        size = sum(some.values()) / max(1, len(some)) * len(names)
        return (os.cpu_count() or 1) if size >= WORTH_MORE_PROCESSES * quicker else 1

    def candidates(self, store: Journals, wanted: str, progress: Progress | None = None) -> list[str]:
        """Sessions in which all the words may stand, the newest first, with what changed since brought in."""
        self.refresh(store, progress)
        return self.found_in(wanted)

    def found_in(self, wanted: str, limit: int | None = None) -> list[str]:
        """Indexed sessions in which all the words may stand, the newest first."""
        words = pieces(without_thousands(wanted))
        if not words:
            return []
        if self.engine.dialect.name == "sqlite":
            clause, query = _MATCH_SQLITE, " ".join(f'"{word}"*' for word in words)
        else:
            clause, query = _MATCH_POSTGRESQL, " & ".join(f"'{word}':*" for word in words)
        numbers = text(clause).columns(found.c.rowid).subquery().select()
        chosen = select(sessions.c.id).where(sessions.c.number.in_(numbers)).order_by(sessions.c.started.desc())
        with self.connect() as connection:
            return [row.id for row in connection.execute(chosen.limit(limit), {"query": query})]

    def forget_name(self, session_id: str) -> None:
        """Take a technician's name out."""
        with self.connect() as connection, connection.begin():
            connection.execute(update(sessions).where(sessions.c.id == session_id).values(technician=""))

    def _read_all(
        self,
        store: Journals,
        names: Sequence[str],
        progress: Progress | None,
        jobs: int,
        cluster: str = "",
        *,
        known: Known | None = None,
    ) -> bool:
        """Read journals in batches and write each as it comes; True when every one could be read.

        ``jobs`` processes read. ``known``: all that stands in the index, and stays where its journal did; causes are
        not summed then.
        """
        done = read = 0
        with no_collecting(), reading_batches(store, names, jobs, cluster, known) as batches:
            for wanted, batch in batches:
                with self.connect() as connection, connection.begin():
                    self._write(connection, batch, known)
                for row in batch.passed:
                    store.pass_by(row["id"], row["why"])
                done, read = done + len(wanted), read + batch.count
                if progress is not None:
                    progress(done, len(names))
        return read == len(names)

    def _write(self, connection: Connection, read: Batch, known: Known | None = None) -> None:
        """Write sessions; ``known``: all that is there already, in an index that is made again."""
        batch = read.rows
        there = [*(rows.session["id"] for rows in batch), *(row["id"] for row in read.passed)]
        if known is None or not known.keys().isdisjoint(there):
            self._remove(connection, there)
        insert_many(connection, passed, read.passed)
        if self.path is None and read.kept:
            connection.execute(delete(unread).where(unread.c.session_id.in_(read.kept)))
        if not batch:
            return
        if self.path is None:  # several machines write: the database gives the numbers
            insert_many(connection, sessions, [rows.session for rows in batch])
            names = [rows.session["id"] for rows in batch]
            connection.execute(delete(unread).where(unread.c.session_id.in_(names)))
            chosen = select(sessions.c.id, sessions.c.number).where(sessions.c.id.in_(names))
            numbers = {row.id: row.number for row in connection.execute(chosen)}
        else:
            first = (connection.execute(select(func.max(sessions.c.number))).scalar() or 0) + 1
            numbers = {rows.session["id"]: number for number, rows in enumerate(batch, first)}
            made = [{**rows.session, "number": numbers[rows.session["id"]]} for rows in batch]
            insert_many(connection, sessions, made)

        def numbered(kind: str) -> list[dict[str, Any]]:
            return [{**row, "session": numbers[rows.session["id"]]} for rows in batch for row in getattr(rows, kind)]

        insert_many(connection, readings, numbered("readings"))
        insert_many(connection, repairs, numbered("repairs"))
        insert_many(connection, pictures, numbered("pictures"))
        said = [{"rowid": numbers[rows.session["id"]], "words": rows.words} for rows in batch]
        insert_many(connection, found, said)
        if known is None:
            sum_causes(connection, {row["unit_plain"] for rows in batch for row in rows.repairs})

    def _remove(self, connection: Connection, names: Sequence[str]) -> None:
        take_turns(connection)
        for start in range(0, len(names), 500):
            connection.execute(delete(passed).where(passed.c.id.in_(names[start : start + 500])))
            chosen = select(sessions.c.number).where(sessions.c.id.in_(names[start : start + 500]))
            numbers = list(connection.execute(chosen).scalars())
            if numbers:
                of_these = select(repairs.c.unit_plain).where(repairs.c.session.in_(numbers)).distinct()
                units = set(connection.execute(of_these).scalars())
                connection.execute(delete(readings).where(readings.c.session.in_(numbers)))
                connection.execute(delete(repairs).where(repairs.c.session.in_(numbers)))
                connection.execute(delete(pictures).where(pictures.c.session.in_(numbers)))
                connection.execute(delete(found).where(found.c.rowid.in_(numbers)))
                connection.execute(delete(sessions).where(sessions.c.number.in_(numbers)))
                sum_causes(connection, units)

    def _make(self) -> None:
        """Make the file; the tables of a shared database are its store's (``records.store.migrations``)."""
        if self.path is not None:
            link = link_below(self.path.parent.parent, FOLDER, FILE)
            if link is not None:
                raise OperatorError(
                    f"The index is not used: {link} is a link to another place.", remedy="Take it away."
                )
            make_private_folder(self.path.parent)
            self.path.touch(mode=0o600)
            for second in (False, True):
                try:
                    if self._fits():
                        break
                except DatabaseError as error:
                    if second:
                        raise OperatorError(f"The index cannot be used: {error.orig}.") from None
                # another version, or not a database: it is made again from the journals
                self.engine.dispose()
                self.path.unlink(missing_ok=True)
                self.path.touch(mode=0o600)
        self._made = True

    def _fits(self) -> bool:
        """Make the tables where there are none; False when they are another version's."""
        with self.engine.connect() as connection, connection.begin():
            metadata.create_all(connection, tables=[table for table in INDEX if table is not found])
            version = connection.execute(select(state.c.value).where(state.c.name == "version")).scalar()
            if version is None:
                connection.execute(insert(state), [{"name": "version", "value": str(VERSION)}])
            return version in (None, str(VERSION))


_MATCH_SQLITE = "SELECT rowid FROM found WHERE found MATCH :query"
_MATCH_POSTGRESQL = "SELECT rowid FROM found WHERE vector @@ to_tsquery('simple', :query)"
_open: dict[Path, Index] = {}


def folder_index(folder: Path) -> Index:
    """The index of a records folder; one for each folder in a process."""
    path = (folder / FOLDER / FILE).absolute()
    if path not in _open:
        engine = create_engine(f"sqlite:///{path}", connect_args={"timeout": 10})
        event.listen(engine, "connect", _quick)
        _open[path] = Index(engine, path)
    index = _open[path]
    if not path.exists():
        index.engine.dispose()
        index._made = False  # noqa: SLF001 - it was removed behind our back
    return index


def _quick(connection: Any, _record: object) -> None:
    """The index can be made again, so it need not wait for the disk; the journals are what is synced."""
    cursor = connection.cursor()
    cursor.execute("PRAGMA journal_mode=WAL")
    cursor.execute("PRAGMA synchronous=OFF")
    cursor.execute("PRAGMA secure_delete=ON")  # a forgotten name leaves no trace in the file
    cursor.close()


@contextlib.contextmanager
def plain_errors(what: str) -> Iterator[None]:
    """A database's trouble as a sentence."""
    try:
        yield
    except SQLAlchemyError as error:
        reason = str(getattr(error, "orig", None) or error).strip().splitlines()[0]
        raise OperatorError(f"{what}: {reason}.", remedy="The journals are not touched by this.") from None


__all__ = ["LEFT", "Index", "folder_index", "plain_errors"]
