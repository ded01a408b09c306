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
    """Looks after what is kept on this machine while the page runs: it goes to the database, session by session.

    Where the database was away at the start, it is looked for until it is back. Sessions that are open are let alone:
    they are handed over at the first look after their end.

    Args:
        records: folder of this machine, where sessions are kept meanwhile.
        move: called with the database once it is back.
        tell: takes a sentence.
        retry: seconds between two looks.
        there: the database, where it answered at the start; None where it was away.
    """

    def __init__(
        self,
        records: Path,
        move: Callable[[Store], None],
        tell: Callable[[str], None],
        retry: float = RETRY,
        there: DatabaseStore | None = None,
    ) -> None:
        self._kept = FolderStore(records)
        self._records, self._move, self._tell, self._retry = records, move, tell, retry
        self._over = threading.Event()
        self._target, self._opened = there, False
        self._old = frozenset() if there is None else frozenset(self._kept.ids())
        """What lay here before and is none of this page's: nobody said that it should go to the database."""
        self._handed: dict[str, int] = {}
        """Bytes of each session when it was handed over, or found not to be."""
        self._thread = threading.Thread(target=self._run, name="leadsman-database", daemon=True)

    @contextlib.contextmanager
    def waiting(self) -> Iterator[None]:
        """Keep looking while the block runs, and once more at its end."""
        self._thread.start()
        try:
            yield
        finally:
            self._over.set()
            self._thread.join()
            if self._target is not None:
                # if the database is away again, the first message already named 'leadsman handover'
                self._hand_over(self._target)
                if self._opened:
                    self._target.engine.dispose()

    def look(self) -> None:
        """Look once: is the database there, and does it lack a session that nobody has open?"""
        if self._target is None:
            from assistant.records.store.postgresql import open_database

            try:
                self._target = open_database(self._records)
            except OperatorError:
                return
            self._opened = True
            self._move(self._target)
            self._tell(f"The database is back: new sessions are kept in {self._target.where}.")
        self._hand_over(self._target)

    def _run(self) -> None:
        while not self._over.wait(self._retry):
            self.look()

    def _hand_over(self, target: DatabaseStore) -> None:
        from assistant.records.store.handover import hand_over

        with contextlib.suppress(OperatorError):  # away again: the next look is as good
            sizes = self._kept.sizes(self._kept.ids())
            grown = [name for name, size in sizes.items() if self._handed.get(name) != size]
            due = [name for name in grown if name not in self._old or target.has(name)]
            done = 0
            try:
                for one in hand_over(self._kept, target, names=due):
                    done += bool(one.fresh) and not one.problem
                    if not one.later:
                        self._handed[one.session_id] = sizes[one.session_id]
            finally:
                if done:
                    self._tell(f"{done} {'session' if done == 1 else 'sessions'} handed over from {self._records}.")
