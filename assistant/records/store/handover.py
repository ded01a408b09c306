"""Sessions that were recorded offline, handed over to the shared database without loss or doubling."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from assistant.errors import OperatorError
from assistant.records.journal.disk import SessionLock
from assistant.records.journal.names import journal_path
from assistant.records.journal.reader import lines_of
from assistant.records.store.folder import FolderStore
from assistant.records.store.postgresql import DatabaseStore, SessionOpenError


@dataclass(frozen=True, slots=True)
class Handed:
    """What came of one session."""

    session_id: str
    fresh: int
    """Lines that the database did not have."""
    problem: str = ""
    """Why it was not, or not wholly, handed over; '' when all of it is there."""
    later: bool = False
    """True where somebody has it open just now, so that it is worth trying again."""


def hand_over(
    source: FolderStore, target: DatabaseStore, *, demos: bool = False, names: Iterable[str] | None = None
) -> Iterator[Handed]:
    """Give local sessions to the database; what is there already is left alone. Local records stay.

    Args:
        source: the records of this machine.
        target: the shop's database.
        demos: invented sessions, too.
        names: which; None for every one.

    Raises:
        UnreachableError: the database is away. What goes wrong with one session is told with it, and the next is
            handed over.
    """
    for name in source.ids() if names is None else names:
        try:
            yield _one(source, target, name, demos=demos)
        except SessionOpenError as error:
            yield Handed(name, 0, error.problem, later=True)
        except OperatorError as error:
            target.reach()  # when it is away, none of the others can be handed over either
            yield Handed(name, 0, error.problem)


def _one(source: FolderStore, target: DatabaseStore, name: str, *, demos: bool) -> Handed:
    try:
        lock = SessionLock(journal_path(source.folder, name).with_suffix(".lock"))
    except OperatorError:
        return Handed(name, 0, "It is being written just now; it is handed over the next time.", later=True)
    try:
        known, broken, invented = lines_of(source.data(name))
        if invented and not demos:
            return Handed(name, 0, "It is invented, so it stays here (--demos hands it over).")
        fresh, other = target.take_over(name, known)
        if other:
            return Handed(name, 0, f"The database has another entry {other[0]}: it was continued in two places.")
        private = source.technician(name)
        if private and not target.technician(name):
            target.name_technician(name, private)
        for photo in source.photos(name):
            picture = source.photo(name, photo)
            if picture is not None and target.photo(name, photo) is None:
                target.keep_photo(name, photo, picture)
        if fresh:
            target.index().put(target, name)
    finally:
        lock.release()
    return Handed(name, fresh, f"{broken} damaged lines stay here (see leadsman verify {name})." if broken else "")
