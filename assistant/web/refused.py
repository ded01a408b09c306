"""What a request gets that cannot be met."""

from __future__ import annotations

TOO_MUCH, PAIR_FIRST, NO_JSON = "That is too much at once.", "Pair this screen first.", "That is not JSON."
"""What several refuse in the same words."""


class RefusedError(Exception):
    """A request that cannot be met.

    Args:
        status: of the answer.
        text: a sentence for the person.
    """

    def __init__(self, status: int, text: str) -> None:
        super().__init__(text)
        self.status = status
