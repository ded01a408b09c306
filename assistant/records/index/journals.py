"""What the index asks of the place whose journals it is made from."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from assistant.errors import OperatorError
from assistant.records.journal.reader import Session, parse


@dataclass(frozen=True, slots=True)
class Look:
    """What changed in a place for records since the index was made."""

    stale: list[str]
    """Sessions that are new or changed, the newest first, then those that may have changed."""
    gone: list[str]
    """Sessions that are no more."""
    mark: str = ""
    """What the place was like, to be kept until the next time; '' when nothing can be said."""


class Journals(Protocol):
    """The journals of one place."""

    def ids(self) -> list[str]:
        """Identities of all sessions, the oldest first."""
        ...

    def more_than(self, count: int) -> bool:
        """True when there are more sessions than so many; told without going through very many."""
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

    def pass_by(self, session_id: str, why: str) -> None:
        """Keep in mind, to be told, that this journal is not taken for a record."""
        ...

    def technician(self, session_id: str) -> str:
        """The technician's name, kept outside the chain; '' when there is none."""
        ...


def each(journals: Journals) -> Iterator[Session]:
    """Every session, the newest first; what is none is passed by."""
    for name in reversed(in_order(journals)):
        try:
            session = parse(journals.data(name), name)
        except OperatorError as error:
            journals.pass_by(name, error.problem.rstrip("."))
            continue
        if other := session.other_than(name):
            journals.pass_by(name, other)
            continue
        yield session


def in_order(journals: Journals) -> list[str]:
    """Identities of all sessions in the order in which they were begun, as their headers count them.

    Their names tell it where nothing counts, in records of earlier versions; a clock years off misleads a name.
    """
    order = []
    for name in journals.ids():
        try:
            head = parse(journals.data(name).partition(b"\n")[0] + b"\n", name)
        except OperatorError as error:
            journals.pass_by(name, error.problem.rstrip("."))
            continue
        if other := head.other_than(name):
            journals.pass_by(name, other)
        else:
            order.append((head.header.ordinal, name))
    return [name for _, name in sorted(order)]


AT_ONCE = 25
"""Journals that are asked for with one question."""


def these(journals: Journals, names: Sequence[str]) -> Iterator[Session]:
    """Sessions in the order in which they are named, some at once; what cannot be read is left out."""
    for start in range(0, len(names), AT_ONCE):
        wanted = names[start : start + AT_ONCE]
        read = {name: data for name, data, _ in journals.read_many(wanted)}
        for name in wanted:
            if name in read:
                yield parse(read[name], name, light=True)
