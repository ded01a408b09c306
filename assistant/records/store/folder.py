"""Records as files in a folder: one journal a session."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.errors import OperatorError
from assistant.private_files import NotPlainError, read_plain
from assistant.records.index.journals import Look
from assistant.records.journal.bounds import JOURNAL_MOST
from assistant.records.journal.disk import is_locked
from assistant.records.journal.lines import Header
from assistant.records.journal.names import SUFFIX, journal_file, journal_path, no_session
from assistant.records.journal.private import (
    erase,
    erase_photo,
    photos_of,
    read_names,
    read_photo,
    sounds_of,
    write_names,
    write_photo,
)
from assistant.records.journal.writer import Journal, WallClock
from assistant.records.store.change_detection import look
from assistant.records.store.strangers import journals_in

if TYPE_CHECKING:
    from assistant.records.index.index import Index


class FolderStore:
    """The usual place."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.strangers: dict[str, str] = {}
        """Files that were passed by, and what each is."""

    @property
    def where(self) -> str:
        """The folder."""
        return str(self.folder)

    def ids(self) -> list[str]:
        """Identities by name, which is by time."""
        return sorted(entry.name[: -len(SUFFIX)] for entry in journals_in(self.folder, self.strangers))

    def more_than(self, count: int) -> bool:
        """Looks at no more names than that; strangers behind them are found when the index is compared."""
        return next(islice(journals_in(self.folder, self.strangers), count, None), None) is not None

    def has(self, session_id: str) -> bool:
        """True when its journal is there."""
        return os.path.lexists(journal_path(self.folder, session_id))

    def pass_by(self, session_id: str, why: str) -> None:
        """Keep in mind that this journal is not taken for a record."""
        self.strangers[session_id + SUFFIX] = why

    def name_technician(self, session_id: str, name: str) -> None:
        """Into the side file."""
        write_names(self.folder, session_id, {**read_names(self.folder, session_id), "technician": name})

    def data(self, session_id: str) -> bytes:
        """A journal's bytes."""
        path = journal_file(self.folder, session_id)
        try:
            return read_plain(path, JOURNAL_MOST)
        except NotPlainError as error:
            raise OperatorError(
                f"{path} is not read: {error}.", remedy="'leadsman sessions' lists what is."
            ) from None
        except FileNotFoundError:
            raise no_session(session_id, self.folder) from None
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
            try:
                data = self.data(name)
            except OperatorError as error:
                self.pass_by(name, error.problem.rstrip("."))
                continue
            yield name, data, self.technician(name)

    def look(
        self, known: Callable[[Sequence[str] | None], Mapping[str, int]], left: Mapping[str, int], mark: str
    ) -> Look:
        """Compare the folder with the index; see ``records.store.change_detection``."""
        return look(self.folder, known, left, mark, self.strangers)

    def technician(self, session_id: str) -> str:
        """From the side file."""
        return read_names(self.folder, session_id).get("technician", "")

    def sounds(self, session_id: str) -> dict[int, Path]:
        """From the private folder."""
        return sounds_of(self.folder, session_id)

    def keep_photo(self, session_id: str, name: str, content: bytes) -> None:
        """Into the private folder."""
        write_photo(self.folder, session_id, name, content)

    def photo(self, session_id: str, name: str) -> bytes | None:
        """From the private folder."""
        return read_photo(self.folder, session_id, name)

    def photos(self, session_id: str) -> list[str]:
        """Names of the photos whose pictures are there."""
        return photos_of(self.folder, session_id)

    def erase_photo(self, session_id: str, name: str) -> bool:
        """From the private folder."""
        return erase_photo(self.folder, session_id, name)

    def erase(self, session_id: str, *, sound: bool, names: bool, photos: bool) -> list[str]:
        """From the private folder, and the name from the index."""
        from assistant.records.index.index import FOLDER, plain_errors

        gone = erase(self.folder, session_id, sound=sound, names=names, photos=photos)
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

    def in_use(self, names: Collection[str]) -> frozenset[str]:
        """Those of these sessions that are being written, by this process or another one."""
        return frozenset(name for name in names if is_locked(journal_path(self.folder, name).with_suffix(".lock")))

    def index(self) -> Index:
        """The index file in the folder."""
        from assistant.records.index.index import folder_index

        return folder_index(self.folder)
