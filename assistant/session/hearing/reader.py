"""One thing that words may tell beside, or instead of, the answer to what is asked."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from assistant.session.dialog_state import Mode
from assistant.session.events import Event
from assistant.session.turn import Turn

Told = tuple[Turn, Event]
"""The turn with what was told, and the event that it is."""


class Reader(NamedTuple):
    """One thing that words may tell beside, or instead of, the answer to what is asked."""

    modes: tuple[Mode, ...]
    """Where it may be told."""
    read: Callable[[Turn, Mode, str], Told | None]
    """What was told, from the turn, its mode and the likeliest words; None where it is not that."""
