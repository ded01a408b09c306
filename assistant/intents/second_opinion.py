"""The classifier when somebody first asks it: fitting it takes a moment that most sessions do not need."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from assistant.intents.linear import Learned


class SecondOpinion:
    """What a sentence may have been, by what it has in common with sayings."""

    def __init__(self, load: Callable[[], Learned]) -> None:
        self._load = load
        self._learned: Learned | None = None
        self._last: tuple[str, dict[str, float]] | None = None
        """The sentence that was asked for last: several readers of one answer ask for the same one."""

    def shares(self, text: str) -> dict[str, float]:
        """How likely each intent is, the likeliest first; what they lack to 1 is the share of none of them."""
        if self._learned is None:
            self._learned = self._load()
        last = self._last  # read once: bays that are served side by side share this
        if last is None or last[0] != text:
            last = self._last = text, self._learned.shares(text)
        return dict(last[1])
