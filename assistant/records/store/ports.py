"""What every place for records can do, so that commands need not know which one it is."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from pathlib import Path
from typing import Protocol

from assistant.errors import Finding, OperatorError
from assistant.records.index.listing import newest
from assistant.records.index.place import Indexed
from assistant.records.journal.lines import Header
from assistant.records.journal.names import journal_path, no_session
from assistant.records.journal.ports import OpenJournal
from assistant.records.journal.reader import Session, parse
from assistant.records.journal.writer import WallClock


class Store(Indexed, Protocol):
    """A place for records."""

    @property
    def where(self) -> str:
        """Its name for a person."""
        ...

    def has(self, session_id: str) -> bool:
        """True when there is a session of that identity."""
        ...

    def name_technician(self, session_id: str, name: str) -> None:
        """Keep a technician's name outside the chain, where it can be erased."""
        ...

    def sounds(self, session_id: str) -> dict[int, Path]:
        """Entry to its kept sound on this machine."""
        ...

    def keep_photo(self, session_id: str, name: str, content: bytes) -> None:
        """Keep a photo's picture outside the chain, where it can be erased."""
        ...

    def photo(self, session_id: str, name: str) -> bytes | None:
        """A photo's picture (JPEG), None where it was erased or lies elsewhere."""
        ...

    def erase_photo(self, session_id: str, name: str) -> bool:
        """Erase one picture; False where there was none."""
        ...

    def erase(self, session_id: str, *, sound: bool, names: bool, photos: bool) -> list[str]:
        """Erase kept sound, names and photos; returns what was there, in words."""
        ...

    def create(self, header: Header, clock: WallClock) -> OpenJournal:
        """Begin a record."""
        ...

    def open(self, session_id: str, clock: WallClock) -> OpenJournal:
        """Take up a record again."""
        ...

    def in_use(self, names: Collection[str]) -> frozenset[str]:
        """Those of these sessions that are being written, by this process or another one."""
        ...


def find(store: Store, session_id: str) -> Session:
    """A session by its identity, by the start or the end of it where that is enough, or ``last``.

    Raises:
        OperatorError: there is none, or more than one.
    """
    session = parse(store.data(name := identify(store, session_id)), name)
    other = session.other_than(name)
    if not other:
        return session
    told = Finding("header", f"This file is {other}: it is only read.", 1)
    return replace(session, header=replace(session.header, session_id=name), damage=(told, *session.damage))


def identify(store: Store, session_id: str) -> str:
    """The whole identity of a session that is named by it, by a part of it, or as ``last``.

    Raises:
        OperatorError: there is none, or more than one.
    """
    if session_id != "last":
        journal_path(Path(), session_id)
    if session_id == "last":
        last, _ = newest(store)
        if not last:
            raise OperatorError(f"There are no sessions in {store.where}.")
        return last
    if store.has(session_id):
        return session_id
    near = [name for name in store.ids() if name.startswith(session_id) or name.endswith(session_id)]
    if len(near) > 1:
        shown = ", ".join(near[:8]) + (" and more" if len(near) > 8 else "")
        raise OperatorError(f"'{session_id}' fits {len(near)} sessions.", remedy=f"Say which: {shown}.")
    if not near:
        raise no_session(session_id, store.where)
    return near[0]
