"""The list of sessions: from the journals where they are few, from the index where they are many."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice

from sqlalchemy import select
from sqlalchemy.exc import SQLAlchemyError

from assistant.errors import OperatorError
from assistant.records.index.journals import each, in_order
from assistant.records.index.place import Indexed
from assistant.records.index.reading import Progress
from assistant.records.index.schema import plain_unit, sessions
from assistant.records.journal.reader import parse
from assistant.records.summary.sessions import LEFT, Summary, row_of

FEW = 200
"""Sessions that are read one by one: their journals are the record, and reading them costs a tenth of a second."""


def newest(store: Indexed) -> tuple[str, int]:
    """Identity and number of the session that was begun last; '' and 0 where there is none.

    Its number says so, since a clock years off would put another before it.
    """
    if store.more_than(FEW):
        try:
            index = store.index()
            index.refresh(store)
            chosen = select(sessions.c.id, sessions.c.ordinal)
            chosen = chosen.order_by(sessions.c.ordinal.desc(), sessions.c.id.desc()).limit(1)
            with index.connect() as connection:
                for row in connection.execute(chosen):
                    return row.id, row.ordinal
        except (OperatorError, SQLAlchemyError, OSError):
            pass  # an index that is out of order: the journals are the record
    names = in_order(store)
    if not names:
        return "", 0
    return names[-1], parse(store.data(names[-1]).partition(b"\n")[0] + b"\n", names[-1]).header.ordinal


def listed(
    store: Indexed,
    *,
    left: bool = False,
    unit: str = "",
    since: str = "",
    limit: int | None = None,
    progress: Progress | None = None,
) -> Iterator[Summary]:
    """Sessions, the newest first.

    Where there are many the index is asked, which names damage as it was when it last read the journal.

    Args:
        store: where the records are.
        left: only sessions that were left before their end.
        unit: only sessions on this unit; marks, spaces and case do not matter.
        since: only sessions begun on this day or later, such as 2026-03-01; '' for any.
        limit: the most; None for all.
        progress: told how many journals are in the index, of how many that are read for it.
    """
    wanted = plain_unit(unit)
    if store.more_than(FEW):
        try:
            yield from _from_index(store, wanted, since, limit, progress, left=left)
        except (OperatorError, SQLAlchemyError, OSError):
            pass  # an index that is out of order: the journals are the record
        else:
            return
    rows = (
        row
        for row in map(row_of, each(store))
        if (not left or row.ending == LEFT)
        and (not wanted or plain_unit(row.unit) == wanted)
        and row.started >= since
    )
    yield from islice(rows, limit)


def _from_index(
    store: Indexed, wanted: str, since: str, limit: int | None, progress: Progress | None, *, left: bool
) -> list[Summary]:
    index = store.index()
    index.refresh(store, progress)
    chosen = select(
        sessions.c.id, sessions.c.started, sessions.c.unit, sessions.c.procedure, sessions.c.ending,
        sessions.c.causes, sessions.c.minutes, sessions.c.damaged, sessions.c.invented,
    ).order_by(sessions.c.ordinal.desc(), sessions.c.id.desc())  # fmt: skip
    if left:
        chosen = chosen.where(sessions.c.ending == LEFT)
    if wanted:
        chosen = chosen.where(sessions.c.unit_plain == wanted)
    if since:
        chosen = chosen.where(sessions.c.started >= since)
    with index.connect() as connection:
        return [Summary(*row) for row in connection.execute(chosen.limit(limit))]
