"""Sentences of a verdict: the value, the limits, the uncertainty, and what is odd about it."""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, Decimal, localcontext

from assistant.messages import Grade, Limits
from assistant.verdict.uncertainty import DIGITS, last_digit, rounded

_COUNTED = ("ohm", "count")


def plural(unit: str, value: Decimal) -> str:
    """The unit's name as written after a value: 1180 ohms, 1 ohm, 12.6 V."""
    return f"{unit}s" if unit.endswith(_COUNTED) and abs(value) != 1 else unit


def amount(value: Decimal, unit: str = "") -> str:
    """A value in plain notation with its unit."""
    return f"{value:f} {plural(unit, value)}".strip()


def against(limits: Limits, unit: str) -> str:
    """The limits in words: 'against 700 to 3000 ohms'."""
    if limits.low is not None and limits.high is not None:
        return f"against {limits.low:f} to {amount(limits.high, unit)}"
    if limits.low is not None:
        return f"against at least {amount(limits.low, unit)}"
    if limits.high is not None:
        return f"against at most {amount(limits.high, unit)}"
    return "without limits"


def corrections(
    value: Decimal, judged: Decimal, unit: str, lead_ohms: Decimal | None, coil_celsius: Decimal | None
) -> str:
    """What was judged, with the corrections that led to it."""
    if lead_ohms is None and coil_celsius is None:
        return amount(value, unit)
    made = []
    if lead_ohms is not None:
        made.append(f"less {amount(lead_ohms)} for the leads")
    if coil_celsius is not None:
        made.append(f"brought from {amount(coil_celsius)} to 20 degrees Celsius")
    return f"{amount(value, unit)}, {', '.join(made)}, is {amount(_shown(judged, value), unit)}"


def _shown(judged: Decimal, value: Decimal) -> Decimal:
    """A corrected value to the digits of the reading, except where that would hide everything."""
    with localcontext(prec=DIGITS):
        step = min(last_digit(value), Decimal(1))
        return judged.quantize(step, rounding=ROUND_HALF_EVEN)


def sentence(
    made: str,
    unit: str,
    limits: Limits,
    grade: Grade,
    expanded: Decimal,
    *,
    swapped: bool,
) -> str:
    """The reason: one sentence with value, limits and uncertainty."""
    if limits.low is None and limits.high is None:
        return f"{made}: noted, there are no limits to judge it by."
    give = f", give or take {amount(rounded(expanded))}" if expanded else ""
    head = f"{made}{give}, {against(limits, unit)}"
    if grade is Grade.GOOD:
        return f"{head}: good."
    if grade is Grade.BAD_LOW:
        return f"{head}: too low."
    if grade is Grade.BAD_HIGH:
        return f"{head}: too high."
    if swapped:
        return f"{head}: negative, so it says nothing until the leads are right."
    if limits.low is not None and limits.high is not None and 2 * expanded > limits.high - limits.low:
        return f"{head}: this meter is not fine enough for these limits."
    return f"{head}: too close to call."


def remarks(judged: Decimal, unit: str, limits: Limits, grade: Grade, *, swapped: bool, short: bool) -> str:
    """What is odd about a reading although it may be good."""
    found = []
    if swapped:
        power = " Or is there power on this circuit?" if unit.endswith("ohm") else ""
        found.append(f"Negative: are the leads swapped?{power}")
    if short:
        found.append("Less than the leads alone: touch the tips together and read the leads again.")
    if grade is Grade.GOOD and not swapped:
        low, high = limits.usual_low, limits.usual_high
        if low is not None and high is not None and not low <= judged <= high:
            found.append(f"Good, but outside the usual {low:f} to {amount(high, unit)}.")
        elif low is not None and judged < low:
            found.append(f"Good, but below the usual {amount(low, unit)}.")
        elif high is not None and judged > high:
            found.append(f"Good, but above the usual {amount(high, unit)}.")
    return " ".join(found)
