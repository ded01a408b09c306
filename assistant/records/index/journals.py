"""What the index asks of the place whose journals it is made from."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

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

    def technician(self, session_id: str) -> str:
        """The technician's name, kept outside the chain; '' when there is none."""
        ...


def each(journals: Journals) -> Iterator[Session]:
    """Every session, the newest first."""
    for name in reversed(journals.ids()):
        yield parse(journals.data(name), name)
