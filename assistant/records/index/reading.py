"""Journals to the rows of the index, in batches, by one process or several."""

from __future__ import annotations

import contextlib
import gc
import hashlib
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import TYPE_CHECKING, Any

from assistant import __version__
from assistant.pool import shared_by
from assistant.records.index.rows import Rows, rows_of
from assistant.records.index.schema import VERSION
from assistant.records.journal.reader import parse

if TYPE_CHECKING:
    from assistant.records.index.journals import Journals

BATCH = 200
"""Sessions read at once, and written in one transaction."""
Progress = Callable[[int, int], None]
Known = Mapping[str, tuple[str, str]]
"""Identity of a session to the digest and the technician of its rows in the index."""
_MAKER = f"{VERSION} {__version__}\n".encode()
"""What makes rows of a journal: another version may make others."""


def digest_of(data: bytes) -> str:
    """SHA-256 of a journal and of the version that reads it: with the same one its rows would be the same."""
    made = hashlib.sha256(_MAKER)
    made.update(data)
    return made.hexdigest()


@dataclass(frozen=True, slots=True)
class Batch:
    """What was read of some journals; those that could not be read now stand in neither list."""

    rows: list[Rows] = field(default_factory=list)
    passed: list[dict[str, Any]] = field(default_factory=list)
    """Rows of the journals that are not taken for records."""
    kept: list[str] = field(default_factory=list)
    """Sessions whose rows in the index are those of their journal."""

    @property
    def count(self) -> int:
        """How many were read."""
        return len(self.rows) + len(self.passed) + len(self.kept)


@contextlib.contextmanager
def reading_batches(
    store: Journals, names: Sequence[str], jobs: int = 1, cluster: str = "", known: Known | None = None
) -> Iterator[Iterable[tuple[Sequence[str], Batch]]]:
    """Identities of each batch with their rows, in order, read by so many processes or by a cluster's workers.

    ``known``: what of them is in the index, which is kept where its journal is still the same.
    """
    batches = [names[start : start + BATCH] for start in range(0, len(names), BATCH)]
    there = [{name: known[name] for name in batch if name in known} if known else {} for batch in batches]
    if cluster or (jobs > 1 and len(batches) > 1):
        with shared_by(min(jobs, len(batches)), cluster) as executor:
            yield zip(batches, executor.map(partial(read_batch, store), batches, there), strict=True)
    else:
        yield zip(batches, map(partial(read_batch, store), batches, there), strict=True)


def read_batch(store: Journals, names: Sequence[str], known: Known) -> Batch:
    """The rows of some sessions but those that are in the index as they are; a journal that cannot be read now is
    left out."""
    batch = Batch()
    with no_collecting():
        for name, data, technician in store.read_many(names):
            digest = digest_of(data)
            if known.get(name) == (digest, technician):
                batch.kept.append(name)
                continue
            session = parse(data, name, light=True)
            if other := session.other_than(name):
                batch.passed.append({"id": name, "size": len(data), "why": other})
            else:
                batch.rows.append(rows_of(session, len(data), technician, digest))
    return batch


@contextlib.contextmanager
def no_collecting() -> Iterator[None]:
    """Records make thousands of small objects and no cycles: looking for some costs a fifth."""
    collecting = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if collecting:
            gc.enable()
