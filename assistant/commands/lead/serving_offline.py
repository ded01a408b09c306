"""Serving while the shop's database is away: sessions are kept on this machine and go to it once it is back."""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.commands.records.places import open_store
from assistant.errors import OperatorError
from assistant.records.store.folder import FolderStore
from assistant.records.store.ports import Store

if TYPE_CHECKING:  # its library is loaded only where a database is asked for
    from assistant.records.store.postgresql import DatabaseStore

RETRY = 30.0
"""Seconds between two attempts to reach the database."""


def open_store_or_wait(records: Path, store: str, tell: Callable[[str], None]) -> tuple[Store, bool]:
    """The place that the options name, and whether the page has to wait for it: then it is the folder meanwhile.

    Args:
        records: folder of this machine.
        store: ``folder`` or ``postgresql``.
        tell: takes a sentence.

    Raises:
        OperatorError: the database's address is not known, or it is no address.
    """
    if store == "folder":
        return open_store(records), False
    from assistant.records.store.postgresql import UnreachableError

    try:
        return open_store(records, store), False
    except UnreachableError as error:
        tell(f"({error.problem} Sessions are kept in {records} meanwhile. They are handed over once it is back,")
        tell(" at the latest with: leadsman handover)")
        return FolderStore(records), True


class Returning:
    """Tries to reach the database, in a thread of its own, until it is back.

    Args:
        records: folder of this machine, where sessions are kept meanwhile.
        move: called with the database once it is back.
        tell: takes a sentence.
        retry: seconds between two attempts.
    """

    def __init__(
        self, records: Path, move: Callable[[Store], None], tell: Callable[[str], None], retry: float = RETRY
    ) -> None:
        self._records, self._move, self._tell, self._retry = records, move, tell, retry
        self._over = threading.Event()
        self._back: DatabaseStore | None = None
        self._thread = threading.Thread(target=self._look, name="leadsman-database", daemon=True)

    @contextlib.contextmanager
    def waiting(self) -> Iterator[None]:
        """Keep trying while the block runs; sessions that were open meanwhile are handed over at its end."""
        self._thread.start()
        try:
            yield
        finally:
            self._over.set()
            self._thread.join()
            if self._back is not None:
                # if the database is away again, the first message already named 'leadsman handover'
                with contextlib.suppress(OperatorError):
                    self._hand_over(self._back)
                self._back.engine.dispose()

    def _look(self) -> None:
        from assistant.records.store.postgresql import open_database

        while not self._over.wait(self._retry):
            with contextlib.suppress(OperatorError):
                back = open_database(self._records)
                self._move(back)
                self._back = back
                self._tell(f"The database is back: new sessions are kept in {back.where}.")
                self._hand_over(back)
                return

    def _hand_over(self, target: DatabaseStore) -> None:
        from assistant.records.store.handover import hand_over

        done = [one for one in hand_over(FolderStore(self._records), target) if one.fresh and not one.problem]
        if done:
            self._tell(f"{len(done)} {'session' if len(done) == 1 else 'sessions'} handed over from {self._records}.")
