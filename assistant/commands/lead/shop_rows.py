"""What is listed of a shop's records and stands on its board; a record is read again only when it has grown."""

from __future__ import annotations

import contextlib
from dataclasses import replace

from assistant.errors import OperatorError
from assistant.messages.decisions import Ending
from assistant.records.index import listing
from assistant.records.index.board import BoardRow, standing_of
from assistant.records.journal.reader import Session
from assistant.records.store.ports import Store, find
from assistant.records.summary.sessions import Summary, row_of
from assistant.records.summary.summary import LEFT

LISTED = 500
"""Records that are listed, the newest; older ones are found with 'leadsman search'."""


class ShopRows:
    """The newest records of one store.

    Args:
        store: where they are.
    """

    def __init__(self, store: Store) -> None:
        self._store = store
        self._known: dict[str, tuple[int, Summary, BoardRow | None]] = {}

    def read(self) -> list[tuple[Summary, BoardRow | None]]:
        """Two rows per record, newest first; only records that have grown since the last call are read again.

        Where there are many, the index is asked for what is listed, and only journals on the board are read.
        """
        if self._store.more_than(listing.FEW):
            return self._read_listed(list(listing.listed(self._store, limit=LISTED)))
        names = self._store.ids()[-LISTED:][::-1]
        sizes = self._store.sizes(names)
        known, fresh = self._known, {}
        for name in names:
            size, row, stands = known.get(name, (-1, None, None))
            if row is None or size != sizes.get(name):
                try:
                    session = find(self._store, name)
                    row = row_of(session)
                    stands = self._stands(session, row)
                except OperatorError:
                    continue  # deleted since the names were listed, or unreadable: the rest are still listed
            fresh[name] = (sizes.get(name, -1), row, stands)
        self._known = fresh
        return [(row, stands) for _, row, stands in fresh.values()]

    def _read_listed(self, rows: list[Summary]) -> list[tuple[Summary, BoardRow | None]]:
        """The same of what the index listed."""
        waiting = [row.id for row in rows if row.ending in (LEFT, Ending.WAITING)]
        sizes, fresh = self._store.sizes(waiting), {}
        for row in rows:
            size = sizes.get(row.id, -1)
            known = self._known.get(row.id)
            stands = known[2] if known is not None and known[0] == size else None
            if size >= 0 and (known is None or known[0] != size):
                with contextlib.suppress(OperatorError):  # deleted since, or unreadable: it is listed all the same
                    stands = self._stands(find(self._store, row.id), row)
            fresh[row.id] = (size, row, stands)
        self._known = fresh
        return [(row, stands) for _, row, stands in fresh.values()]

    def _stands(self, session: Session, row: Summary) -> BoardRow | None:
        """How a session stands on the board, with who leads it."""
        stands = standing_of(session, row)
        return None if stands is None else replace(stands, technician=self._store.technician(row.id))
