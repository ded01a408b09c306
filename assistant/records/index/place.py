"""A place for records that has an index beside its journals."""

from __future__ import annotations

from typing import Protocol

from assistant.records.index.index import Index
from assistant.records.index.journals import Journals


class Indexed(Journals, Protocol):
    """Journals and their index."""

    def index(self) -> Index:
        """The index beside the records."""
        ...
