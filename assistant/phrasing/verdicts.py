"""A verdict in sentences: the value, the limits, the uncertainty, and what is odd about it."""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, Decimal, localcontext

from assistant.messages import Basis, Grade, Remark, RemarkKind, Verdict
from assistant.phrasing.sentences import REMARKS
from assistant.verdict.uncertainty import DIGITS, last_digit, rounded

_COUNTED = ("ohm", "count")


def reason_of(verdict: Verdict) -> str:
    """One sentence: the value, the limits, the uncertainty. A record of format 1 or 2 keeps its own."""
    basis = verdict.basis
    if basis is None:
        return verdict.reason
    return _display(basis, verdict.grade) if basis.display else _value(basis, verdict)


def remark_of(verdict: Verdict) -> str:
    """What is odd about a reading, in sentences; '' when nothing is. A record of format 1 or 2 keeps its own."""
    if not verdict.remarks:
        return verdict.remark
    return " ".join(_remark(one) for one in verdict.remarks)


def remarked(verdict: Verdict, kind: RemarkKind) -> bool:
    """Whether a verdict has this remark, also as the text of a record of format 1 or 2."""
    return any(one.name is kind for one in verdict.remarks) or REMARKS[kind] in verdict.remark


def _remark(one: Remark) -> str:
    low = "" if one.low is None else f"{one.low:f}" if one.high is not None else amount(one.low, one.unit)
    high = "" if one.high is None else amount(one.high, one.unit)
    return REMARKS[one.name].format(low=low, high=high)


def plural(unit: str, value: Decimal) -> str:
    """The unit's name as written after a value: 1180 ohms, 1 ohm, 12.6 V."""
    return f"{unit}s" if unit.endswith(_COUNTED) and abs(value) != 1 else unit


def amount(value: Decimal, unit: str = "") -> str:
    """A value in plain notation with its unit."""
    return f"{value:f} {plural(unit, value)}".strip()


def against(low: Decimal | None, high: Decimal | None, unit: str) -> str:
    """The limits in words: 'against 700 to 3000 ohms'."""
    if low is not None and high is not None:
        return f"against {low:f} to {amount(high, unit)}"
    if low is not None:
        return f"against at least {amount(low, unit)}"
    if high is not None:
        return f"against at most {amount(high, unit)}"
    return "without limits"


def _corrections(value: Decimal, judged: Decimal, basis: Basis) -> str:
    """What was judged, with the corrections that led to it."""
    if basis.lead_ohms is None and basis.coil_celsius is None:
        return amount(value, basis.unit)
    made = []
    if basis.lead_ohms is not None:
        made.append(f"less {amount(basis.lead_ohms)} for the leads")
    if basis.coil_celsius is not None:
        made.append(f"brought from {amount(basis.coil_celsius)} to 20 degrees Celsius")
    return f"{amount(value, basis.unit)}, {', '.join(made)}, is {amount(_shown(judged, value), basis.unit)}"


def _shown(judged: Decimal, value: Decimal) -> Decimal:
    """A corrected value to the digits of the reading, except where that would hide everything."""
    with localcontext(prec=DIGITS):
        step = min(last_digit(value), Decimal(1))
        return judged.quantize(step, rounding=ROUND_HALF_EVEN)


def _value(basis: Basis, verdict: Verdict) -> str:
    """The reason of a reading with a value."""
    value = basis.value if basis.value is not None else Decimal(0)
    low, high, expanded = basis.limit_low, basis.limit_high, verdict.uncertainty
    made = _corrections(value, verdict.corrected if verdict.corrected is not None else value, basis)
    if low is None and high is None:
        return f"{made}: noted, there are no limits to judge it by."
    give = f", give or take {amount(rounded(expanded))}" if expanded else ""
    head = f"{made}{give}, {against(low, high, basis.unit)}"
    if verdict.grade is Grade.GOOD:
        return f"{head}: good."
    if verdict.grade is Grade.BAD_LOW:
        return f"{head}: too low."
    if verdict.grade is Grade.BAD_HIGH:
        return f"{head}: too high."
    if basis.swapped:
        return f"{head}: negative, so it says nothing until the leads are right."
    if low is not None and high is not None and 2 * expanded > high - low:
        return f"{head}: this meter is not fine enough for these limits."
    return f"{head}: too close to call."


def _display(basis: Basis, grade: Grade) -> str:
    """The reason of a display that shows no single value."""
    wanted = against(basis.limit_low, basis.limit_high, basis.unit)
    if basis.display == "over_range":
        if grade is Grade.GOOD:
            return "The meter shows over range, an open circuit: good here."
        if grade is Grade.BAD_HIGH:
            return f"The meter shows over range, {'an open circuit, ' if basis.open_circuit else ''}{wanted}: bad."
        return f"The meter shows over range, {wanted}: turn to a higher range and read again."
    if basis.display == "nothing":
        return "The display shows nothing, so there is nothing to judge."
    between = ""
    if basis.low_end is not None and basis.high_end is not None:
        between = f" between {amount(basis.low_end)} and {amount(basis.high_end, basis.unit)}"
    return f"The reading wanders{between}, {wanted}: no single value to judge."
