"""Journals to the rows of the index, in batches, by one process or several."""

from __future__ import annotations

import contextlib
import gc
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import TYPE_CHECKING, Any

from assistant.pool import shared_by
from assistant.records.index.rows import Rows, rows_of
from assistant.records.journal.reader import parse

if TYPE_CHECKING:
    from assistant.records.index.journals import Journals

BATCH = 200
"""Sessions read at once, and written in one transaction."""
Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True)
class Batch:
    """What was read of some journals; those that could not be read now stand in neither list."""

    rows: list[Rows] = field(default_factory=list)
    passed: list[dict[str, Any]] = field(default_factory=list)
    """Rows of the journals that are not taken for records."""

    @property
    def count(self) -> int:
        """How many were read."""
        return len(self.rows) + len(self.passed)


@contextlib.contextmanager
def reading_batches(
    store: Journals, names: Sequence[str], jobs: int = 1, cluster: str = ""
) -> Iterator[Iterable[tuple[Sequence[str], Batch]]]:
    """Identities of each batch with their rows, in order, read by so many processes or by a cluster's workers."""
    batches = [names[start : start + BATCH] for start in range(0, len(names), BATCH)]
    if cluster or (jobs > 1 and len(batches) > 1):
        with shared_by(min(jobs, len(batches)), cluster) as executor:
            yield zip(batches, executor.map(partial(read_batch, store), batches), strict=True)
    else:
        yield zip(batches, map(partial(read_batch, store), batches), strict=True)


def read_batch(store: Journals, names: Sequence[str]) -> Batch:
    """The rows of some sessions; a journal that cannot be read now is left out."""
    batch = Batch()
    with no_collecting():
        for name, data, technician in store.read_many(names):
            session = parse(data, name, light=True)
            if other := session.other_than(name):
                batch.passed.append({"id": name, "size": len(data), "why": other})
            else:
                batch.rows.append(rows_of(session, len(data), technician))
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
