"""Limits and verdicts."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from typing import Literal


class Grade(StrEnum):
    """The answer of judging one reading against limits."""

    GOOD = "good"
    BAD_LOW = "bad_low"
    BAD_HIGH = "bad_high"
    TOO_CLOSE = "too_close"


@dataclass(frozen=True, slots=True)
class Limits:
    """Inclusive limits of one reading, in the prompt's unit, with their source."""

    low: Decimal | None = None
    high: Decimal | None = None
    source: str = ""
    """Regulation, standard, or 'common practice, no source'."""
    usual_low: Decimal | None = None
    """Second, narrower window: outside it the reading is good with a remark."""
    usual_high: Decimal | None = None
    over_range: Literal["good", "bad", ""] = ""
    copper: bool = False
    """True for a copper winding: the reading is brought to 20 degrees Celsius before judging."""
    small_ohms: bool = False
    """True when the meter leads' own resistance is taken off first."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """A judged reading. Uncertainty is twice the standard uncertainty (k = 2)."""

    grade: Grade
    uncertainty: Decimal
    probability_good: float
    guarded_low: Decimal | None
    guarded_high: Decimal | None
    corrected: Decimal | None
    """The value that was judged, after temperature and lead corrections; None for an over-range display."""
    reason: str
    """One sentence: the value, the limits, the uncertainty."""
    remark: str = ""
    """Good but unusual, or negative (swapped leads?)."""
