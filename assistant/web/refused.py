"""What a request gets that cannot be met."""

from __future__ import annotations


class RefusedError(Exception):
    """A request that cannot be met.

    Args:
        status: of the answer.
        text: a sentence for the person.
    """

    def __init__(self, status: int, text: str) -> None:
        super().__init__(text)
        self.status = status
