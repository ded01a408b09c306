"""What one run of a command left, and what runs it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol


@dataclass(frozen=True)
class Ran:
    """What one run of a command left."""

    code: int
    out: str
    err: str


class Run(Protocol):
    """Runs a command in this process."""

    def __call__(self, *arguments: str) -> Ran:
        """Run it with these arguments."""
        ...
