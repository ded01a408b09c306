"""What every place for records can do, so that commands need not know which one it is."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from assistant.errors import Finding, OperatorError
from assistant.messages.decisions import Record
from assistant.records.journal.format import Header
from assistant.records.journal.reader import Session, parse
from assistant.records.journal.writer import WallClock, journal_path

if TYPE_CHECKING:
    from assistant.records.index.index import Index


class OpenJournal(Protocol):
    """One session's record, open for writing."""

    damage: tuple[Finding, ...]
    """What was found damaged on opening."""
    on_close: Callable[[], None] | None
    """Called once after closing."""

    @property
    def where(self) -> str:
        """Where the record lies, for a person."""
        ...

    def append(self, record: Record, said: tuple[str, ...], at: float) -> int:
        """Write one entry; OperatorError when it is not safely kept."""
        ...

    def close(self) -> None:
        """Let go of it."""
        ...


@dataclass(frozen=True, slots=True)
class Look:
    """What changed in a place for records since the index was made."""

    stale: list[str]
    """Sessions that are new or changed, the newest first, then those that may have changed."""
    gone: list[str]
    """Sessions that are no more."""
    mark: str = ""
    """What the place was like, to be kept until the next time; '' when nothing can be said."""


class Store(Protocol):
    """A place for records."""

    @property
    def where(self) -> str:
        """Its name for a person."""
        ...

    def ids(self) -> list[str]:
        """Identities of all sessions, the oldest first."""
        ...

    def has(self, session_id: str) -> bool:
        """True when there is a session of that identity."""
        ...

    def name_technician(self, session_id: str, name: str) -> None:
        """Keep a technician's name outside the chain, where it can be erased."""
        ...

    def data(self, session_id: str) -> bytes:
        """A journal's bytes.

        Raises:
            OperatorError: there is none, or it cannot be read.
        """
        ...

    def sizes(self, names: Sequence[str]) -> dict[str, int]:
        """Identity to bytes of the journal for these sessions, by which a change shows."""
        ...

    def read_many(self, names: Sequence[str]) -> Iterator[tuple[str, bytes, str]]:
        """Identity, journal and technician of each of these that can be read."""
        ...

    def look(
        self, known: Callable[[Sequence[str] | None], Mapping[str, int]], left: Mapping[str, int], mark: str
    ) -> Look:
        """What changed since the index was made.

        Args:
            known: gives identity to size of these sessions, or (None) of all, as the index has them.
            left: the same for unfinished sessions: these may have grown.
            mark: what ``Look.mark`` was the last time.
        """
        ...

    def technician(self, session_id: str) -> str:
        """The technician's name, kept outside the chain; '' when there is none."""
        ...

    def sounds(self, session_id: str) -> dict[int, Path]:
        """Entry to its kept sound on this machine."""
        ...

    def erase(self, session_id: str, *, sound: bool, names: bool) -> list[str]:
        """Erase kept sound and names; returns what was there, in words."""
        ...

    def create(self, header: Header, clock: WallClock) -> OpenJournal:
        """Begin a record."""
        ...

    def open(self, session_id: str, clock: WallClock) -> OpenJournal:
        """Take up a record again."""
        ...

    def index(self) -> Index:
        """The index beside the records."""
        ...


def find(store: Store, session_id: str) -> Session:
    """A session by its identity, by the start or the end of it where that is enough, or ``last``.

    Raises:
        OperatorError: there is none, or more than one.
    """
    return parse(store.data(name := identify(store, session_id)), name)


def identify(store: Store, session_id: str) -> str:
    """The whole identity of a session that is named by it, by a part of it, or as ``last``.

    Raises:
        OperatorError: there is none, or more than one.
    """
    if session_id != "last":
        journal_path(Path(), session_id)
    names = store.ids()
    if session_id in names:
        return session_id
    if session_id == "last":
        if not names:
            raise OperatorError(f"There are no sessions in {store.where}.")
        return names[-1]
    near = [name for name in names if name.startswith(session_id) or name.endswith(session_id)]
    if len(near) > 1:
        shown = ", ".join(near[:8]) + (" and more" if len(near) > 8 else "")
        raise OperatorError(f"'{session_id}' fits {len(near)} sessions.", remedy=f"Say which: {shown}.")
    if not near:
        raise OperatorError(
            f"There is no session {session_id} in {store.where}.", remedy="'leadsman sessions' lists them."
        )
    return near[0]


def each(store: Store) -> Iterator[Session]:
    """Every session, the newest first."""
    for name in reversed(store.ids()):
        yield parse(store.data(name), name)
