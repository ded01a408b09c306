"""Records as files in a folder: one journal a session."""

from __future__ import annotations

import contextlib
import os
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.errors import OperatorError
from assistant.log.entries import Header
from assistant.log.journal import SUFFIX, Journal, WallClock, journal_file, journal_path
from assistant.log.private import erase, read_private, sounds_of, write_private
from assistant.log.store.base import Look

if TYPE_CHECKING:
    from assistant.log.history.index import Index


A_DAY = 86_400_000_000_000
GRAIN = 20_000_000
COARSE = 4_000_000_000
"""Nanoseconds: how long a mark holds, and how old a folder's time must be before nothing can hide behind it, on file
systems with fine and with coarse times."""
WORTH_A_MARK = 1000
"""Sessions from which looking at each costs more than a glance."""


class FolderStore:
    """The usual place."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    @property
    def where(self) -> str:
        """The folder."""
        return str(self.folder)

    def ids(self) -> list[str]:
        """Identities by name, which is by time."""
        try:
            names = os.listdir(self.folder)  # noqa: PTH208 - a hundred thousand names without an object each
            return sorted(name.removesuffix(SUFFIX) for name in names if name.endswith(SUFFIX))
        except FileNotFoundError:
            return []
        except OSError as error:
            raise OperatorError(f"Cannot read {self.folder}: {(error.strerror or str(error)).rstrip('.')}.") from None

    def has(self, session_id: str) -> bool:
        """True when its journal is there."""
        return journal_path(self.folder, session_id).exists()

    def name_technician(self, session_id: str, name: str) -> None:
        """Into the side file."""
        write_private(self.folder, session_id, {**read_private(self.folder, session_id), "technician": name})

    def data(self, session_id: str) -> bytes:
        """A journal's bytes."""
        path = journal_file(self.folder, session_id)
        try:
            with open(path, "rb") as file:  # noqa: PTH123 - without an object for the way to each of very many
                return file.read()
        except FileNotFoundError:
            raise OperatorError(
                f"There is no session {session_id} in {self.folder}.", remedy="'leadsman sessions' lists them."
            ) from None
        except OSError as error:
            raise OperatorError(f"Cannot read {path}: {(error.strerror or str(error)).rstrip('.')}.") from None

    def sizes(self, names: Sequence[str]) -> dict[str, int]:
        """Bytes of these journals."""
        found = {}
        for name in names:
            with contextlib.suppress(OSError):
                found[name] = (self.folder / (name + SUFFIX)).stat().st_size
        return found

    def read_many(self, names: Sequence[str]) -> Iterator[tuple[str, bytes, str]]:
        """One after the other."""
        for name in names:
            with contextlib.suppress(OperatorError):
                yield name, self.data(name), self.technician(name)

    def look(self, known: Callable[[], dict[str, int]], left: Mapping[str, int], mark: str) -> Look:
        """Compare the folder with the index: closely only when it must be.

        A journal that is added, removed or put in another's place changes the folder's own time. While that is what
        it was, only unfinished sessions are looked at. A finished journal that was changed where it lies, without
        that, is found by the next close look: when the folder changes, or after a day.
        """
        now = time.time_ns()
        stamp, taken = self._stamp(), _taken(mark)
        if stamp and mark.startswith(f"{stamp}@") and 0 <= now - taken < A_DAY:
            sizes = self.sizes(list(left))
            return Look([name for name, size in left.items() if sizes.get(name, size) != size], [], mark)
        there, late = self._sizes_and_late(taken)
        index = known()
        settled = f"{stamp if len(there) >= WORTH_A_MARK and self._settled(stamp) else ''}@{now}"
        if there == index:
            return Look(late, [], settled)
        stale = sorted((name for name, size in there.items() if index.get(name) != size), reverse=True)
        known_late = set(late).difference(stale)
        return Look([*stale, *known_late], [name for name in index if name not in there], settled)

    def _stamp(self) -> str:
        """The folder's own time; '' when it cannot be told."""
        try:
            return str(self.folder.stat().st_mtime_ns)
        except OSError:
            return ""

    def _settled(self, stamp: str) -> bool:
        """True when what is added from now on will show in the folder's time.

        Times have a grain: what is added within the same one does not show. Ours is a tick of the system (at most a
        hundredth of a second); a file system that keeps whole seconds is told by their look.
        """
        if not stamp:
            return False
        if int(stamp) % 1_000_000_000 == 0:
            return time.time_ns() - int(stamp) > COARSE
        wait = int(stamp) + GRAIN - time.time_ns()
        if 0 < wait <= GRAIN:
            time.sleep(wait / 1e9)
        return wait <= GRAIN and self._stamp() == stamp

    def _sizes_and_late(self, since: int) -> tuple[dict[str, int], list[str]]:
        """Bytes of every journal, and those written to after a time (nanoseconds; 0: not asked)."""
        sizes, late = {}, []
        with contextlib.suppress(FileNotFoundError), os.scandir(self.folder) as entries:
            for entry in entries:
                if entry.name.endswith(SUFFIX):
                    with contextlib.suppress(FileNotFoundError):
                        found = entry.stat()
                        name = entry.name[: -len(SUFFIX)]
                        sizes[name] = found.st_size
                        if since and found.st_mtime_ns >= since:
                            late.append(name)
        return sizes, late

    def technician(self, session_id: str) -> str:
        """From the side file."""
        return read_private(self.folder, session_id).get("technician", "")

    def sounds(self, session_id: str) -> dict[int, Path]:
        """From the private folder."""
        return sounds_of(self.folder, session_id)

    def erase(self, session_id: str, *, sound: bool, names: bool) -> list[str]:
        """From the private folder, and the name from the index."""
        from assistant.log.history.index import FOLDER, plain_errors

        gone = erase(self.folder, session_id, sound=sound, names=names)
        if names and (self.folder / FOLDER).exists():
            with plain_errors("The name is still in the index"):
                self.index().forget_name(session_id)
        return gone

    def create(self, header: Header, clock: WallClock) -> Journal:
        """Begin a journal."""
        return Journal.create(self.folder, header, clock)

    def open(self, session_id: str, clock: WallClock) -> Journal:
        """Take up a journal again."""
        return Journal.open(self.folder, session_id, clock)

    def index(self) -> Index:
        """The index file in the folder."""
        from assistant.log.history.index import folder_index

        return folder_index(self.folder)


def _taken(mark: str) -> int:
    """When a mark was made, in nanoseconds; 0 when it says nothing."""
    digits = mark.rpartition("@")[2]
    return int(digits) if digits.isdigit() else 0
