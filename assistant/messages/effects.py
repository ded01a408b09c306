"""Effects: what the engine asks for, imperative. ``Record`` carries decisions and is defined beside them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from assistant.messages.hearing import Expectation

Slot = str | int | float | Decimal | None | tuple[str, ...] | tuple[Decimal, ...]


@dataclass(frozen=True, slots=True)
class Say:
    """Speak (and show) one thing. ``phrasing.phrase`` turns the key and its slots into sentences."""

    key: str
    """Name of a phrase in ``phrasing/sentences``."""
    slots: Mapping[str, Slot] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Listen:
    """Wait for an answer to this prompt."""

    expectation: Expectation


@dataclass(frozen=True, slots=True)
class Wait:
    """Bring back ``WentQuiet`` when nothing was said for so long."""

    seconds: float


@dataclass(frozen=True, slots=True)
class LookUp:
    """Bring back ``HistoryTold`` with what earlier records say about this unit."""

    unit: str


@dataclass(frozen=True, slots=True)
class Finish:
    """The session is over; ``ending`` names which end it came to."""

    ending: str
