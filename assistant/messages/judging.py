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
    closer: bool = False
    """True where they follow from other readings of the session, and are tighter than the check's own."""


class RemarkKind(StrEnum):
    """What is odd about a reading, or what to do about it."""

    BY_SIZE = "by_size"
    """It read below zero where only the sign can be wrong: its size counts."""
    SWAPPED = "swapped"
    """Negative: the leads may be swapped."""
    SWAPPED_OR_POWERED = "swapped_or_powered"
    """A negative resistance: the leads may be swapped, or there is power on the circuit."""
    BELOW_LEADS = "below_leads"
    """Less than the leads alone."""
    OUTSIDE_USUAL = "outside_usual"
    """Good, but outside the usual window, which has both ends."""
    BELOW_USUAL = "below_usual"
    """Good, but below the usual."""
    ABOVE_USUAL = "above_usual"
    """Good, but above the usual."""
    HOLD_FIRMLY = "hold_firmly"
    """The reading wanders."""
    CHECK_METER = "check_meter"
    """The display shows nothing."""
    NOT_UNDER = "not_under"
    """Not judged: what it was read under was not read, or was out of these limits."""
    NOT_CORRECTED = "not_corrected"
    """The temperature of the winding is not known."""


@dataclass(frozen=True, slots=True)
class Remark:
    """One remark of a verdict; ``phrasing.verdicts`` has its sentence."""

    name: RemarkKind
    low: Decimal | None = None
    """Lower end of the usual window."""
    high: Decimal | None = None
    """Upper end of the usual window."""
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Basis:
    """What a verdict was made of, so that its reason can be worded at any time."""

    unit: str = ""
    value: Decimal | None = None
    """The reading as shown, in ``unit``; None for a display without a value."""
    display: str = ""
    """``over_range``, ``unsteady``, ``range``, ``nothing``, or '' for a value."""
    limit_low: Decimal | None = None
    limit_high: Decimal | None = None
    lead_ohms: Decimal | None = None
    """What was taken off for the meter leads, in ohms."""
    coil_celsius: Decimal | None = None
    """Temperature from which a winding was brought to 20 degrees Celsius."""
    swapped: bool = False
    """True for a negative reading where only a positive one makes sense."""
    low_end: Decimal | None = None
    """Lower end of a reading that moves."""
    high_end: Decimal | None = None
    """Upper end of a reading that moves."""
    open_circuit: bool = False
    """True for an over-range display that means an open circuit here; False where it is only off the range."""


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
    reason: str = ""
    """One sentence: the value, the limits, the uncertainty. Only in records of formats 1 and 2; '' since."""
    remark: str = ""
    """What is odd about it, in sentences. Only in records of formats 1 and 2; '' since."""
    basis: Basis | None = None
    """What the reason is worded from; None in records of formats 1 and 2."""
    remarks: tuple[Remark, ...] = ()
    """What is odd about it although it may be good."""
