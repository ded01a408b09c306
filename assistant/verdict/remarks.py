"""What is odd about a reading although it may be good."""

from __future__ import annotations

from decimal import Decimal

from assistant.messages import Grade, Limits, Remark, RemarkKind


def remarks(
    judged: Decimal, unit: str, limits: Limits, grade: Grade, *, swapped: bool, short: bool
) -> tuple[Remark, ...]:
    """The remarks of one judged reading, in the order in which they are said."""
    found = []
    if swapped:
        kind = RemarkKind.SWAPPED_OR_POWERED if unit.endswith("ohm") else RemarkKind.SWAPPED
        found.append(Remark(kind))
    if short:
        found.append(Remark(RemarkKind.BELOW_LEADS))
    if grade is Grade.GOOD and not swapped:
        low, high = limits.usual_low, limits.usual_high
        if low is not None and high is not None and not low <= judged <= high:
            found.append(Remark(RemarkKind.OUTSIDE_USUAL, low, high, unit))
        elif low is not None and judged < low:
            found.append(Remark(RemarkKind.BELOW_USUAL, low, None, unit))
        elif high is not None and judged > high:
            found.append(Remark(RemarkKind.ABOVE_USUAL, None, high, unit))
    return tuple(found)
