"""Effects: what the engine asks for, imperative. ``Record`` carries decisions and is defined beside them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum

from assistant.messages.hearing import Expectation

Slot = str | int | float | Decimal | None | tuple[str, ...] | tuple[Decimal, ...]


class Talk(StrEnum):
    """How much is said."""

    FIRST = "first time"
    """Everything, with what to answer each time: for somebody new to it."""
    USUAL = "usual"
    """In full what is new, and only what changed when it is not."""
    SHORT = "short"
    """The least that can be acted on. Cautions and readings are said all the same."""


@dataclass(frozen=True, slots=True)
class Say:
    """Speak (and show) one thing. ``phrasing.phrase`` turns the key and its slots into sentences."""

    key: str
    """Name of a phrase in ``phrasing/sentences``."""
    slots: Mapping[str, Slot] = field(default_factory=dict)
    talk: Talk = Talk.USUAL
    """How much of it is said; the step sets it for everything that it says."""


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
