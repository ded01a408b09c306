"""What a request gets that cannot be met, and what its fields may hold."""

from __future__ import annotations

from typing import Any

FIELD = 120
"""Characters of the longest field that a request may hold."""


class RefusedError(Exception):
    """A request that cannot be met.

    Args:
        status: of the answer.
        text: a sentence for the person.
    """

    def __init__(self, status: int, text: str) -> None:
        super().__init__(text)
        self.status = status


def short(name: str, value: Any) -> str:
    """A field that is a short text.

    Raises:
        RefusedError: it is none.
    """
    if not isinstance(value, str) or len(value) > FIELD or not value.isprintable():
        raise RefusedError(400, f"'{str(name)[:40]}' must be a short text.")
    return value
