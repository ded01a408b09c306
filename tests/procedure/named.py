"""What the rows of a procedure's tables have in common."""

from __future__ import annotations

from typing import Protocol


class Named(Protocol):
    """A row that other tables name."""

    @property
    def name(self) -> str:
        """Its name."""
        ...
