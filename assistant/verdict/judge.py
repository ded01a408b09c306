"""A reading against its limits: good, bad, or too close to call.

The rule is that of JCGM 106 and ILAC-G8 with a guard band as wide as the expanded uncertainty U (k = 2): good when
inside the limits by U or more, bad when outside by U or more, else too close to call. Without a stated accuracy U is
zero and the limits themselves are inclusive. All comparisons are exact decimals.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal, localcontext
from statistics import NormalDist

from assistant.errors import OperatorError
from assistant.messages import Basis, Grade, Limits, Remark, RemarkKind, Verdict
from assistant.verdict.remarks import remarks
from assistant.verdict.uncertainty import DIGITS, Accuracy

COPPER_ZERO = Decimal("234.5")
"""Copper's resistance falls in a line toward zero at minus this, in degrees Celsius (IEEE 112, IEEE 118)."""
REFERENCE_CELSIUS = Decimal(20)
"""Temperature at which winding limits hold, in degrees Celsius (IEC 60028)."""
_THROUGH_LEADS = {"V", "mV", "A", "mA", "ohm", "kohm", "Mohm"}
"""Units whose sign turns with the meter leads."""
_ROUGH = Decimal("0.05")


def to_reference(ohms: Decimal, celsius: Decimal) -> Decimal:
    """Resistance of a copper winding brought from ``celsius`` to 20 degrees Celsius.

    Raises:
        OperatorError: the temperature lies below copper's zero-resistance point.
    """
    if not celsius.is_finite() or celsius <= -COPPER_ZERO:
        raise OperatorError(f"A winding cannot be at {celsius} degrees Celsius.", remedy="Check the temperature.")
    with localcontext(prec=DIGITS):
        return ohms * (COPPER_ZERO + REFERENCE_CELSIUS) / (COPPER_ZERO + celsius)


def looks_swapped(value: Decimal, unit: str, limits: Limits) -> bool:
    """True for a negative reading where only positive ones make sense: the leads may be swapped."""
    if value >= 0 or unit not in _THROUGH_LEADS:
        return False
    return all(edge is None or edge >= 0 for edge in (limits.low, limits.high, limits.usual_low))


def judge(
    value: Decimal,
    unit: str,
    limits: Limits,
    accuracy: Accuracy | None = None,
    *,
    coil_celsius: Decimal | None = None,
    lead_ohms: Decimal | None = None,
    approximate: bool = False,
) -> Verdict:
    """Judge one reading.

    Args:
        value: the reading as shown, in ``unit``.
        unit: unit of the reading and of the limits, by its name in ``grammars/units.toml``.
        limits: inclusive limits; either side may be missing.
        accuracy: the meter's, None when unknown (U is then zero).
        coil_celsius: temperature of a copper winding; used where ``limits.copper``.
        lead_ohms: what the meter showed with its leads together; taken off where ``limits.small_ohms``.
        approximate: 'about 1200': the figure was rounded by the person, which widens the uncertainty.

    Raises:
        OperatorError: a value or limit is not a number, or the lower limit lies above the upper one.
    """
    _check_arguments(value, limits, lead_ohms)
    with localcontext(prec=DIGITS):
        half = accuracy.half_width(value) if accuracy else Decimal(0)
        rough = _rounding_half_width(value) if approximate else Decimal(0)
        u = ((half * half + rough * rough) / 3).sqrt() if half or rough else Decimal(0)
        judged, short = value, False
        if limits.small_ohms and lead_ohms is not None:
            judged = value - lead_ohms
            short = judged < 0 <= value
            judged = max(judged, Decimal(0)) if value >= 0 else judged
        if limits.copper and coil_celsius is not None:
            scale = to_reference(Decimal(1), coil_celsius)
            judged, u = to_reference(judged, coil_celsius), u * scale
        expanded = 2 * u
        low = None if limits.low is None else limits.low + expanded
        high = None if limits.high is None else limits.high - expanded
        swapped = looks_swapped(value, unit, limits)
        grade = _grade(judged, limits, expanded)
        if swapped and grade is Grade.GOOD and _grade(-judged, limits, expanded) is not Grade.GOOD:
            grade = Grade.TOO_CLOSE
    return Verdict(
        grade,
        expanded,
        _probability(judged, limits, u),
        low,
        high,
        judged,
        basis=Basis(
            unit,
            value,
            limit_low=limits.low,
            limit_high=limits.high,
            lead_ohms=lead_ohms if limits.small_ohms else None,
            coil_celsius=coil_celsius if limits.copper else None,
            swapped=swapped,
        ),
        remarks=remarks(judged, unit, limits, grade, swapped=swapped, short=short),
    )


def judge_display(
    display: str,
    limits: Limits,
    unit: str = "",
    *,
    low_end: Decimal | None = None,
    high_end: Decimal | None = None,
) -> Verdict:
    """Judge a display that shows no single value.

    Args:
        display: ``over_range``, ``unsteady``, ``range`` or ``nothing``.
        limits: ``over_range`` in them says whether over range is good (insulation) or bad (a coil).
        unit: unit of the limits and of the ends, by its name in ``grammars/units.toml``.
        low_end: lower end of an unsteady reading.
        high_end: upper end of an unsteady reading.

    Raises:
        OperatorError: there is no such display.
    """
    basis = Basis(unit, None, display, limits.low, limits.high, low_end=low_end, high_end=high_end)
    if display == "over_range":
        if limits.over_range == "good":
            return _special(Grade.GOOD, 1.0, replace(basis, open_circuit=True))
        if limits.over_range == "bad":
            return _special(Grade.BAD_HIGH, 0.0, replace(basis, open_circuit=True))
        if limits.low is None and limits.high is not None:
            return _special(Grade.BAD_HIGH, 0.0, basis)
        return _special(Grade.TOO_CLOSE, 0.5, basis)
    if display in ("unsteady", "range"):
        return _special(Grade.TOO_CLOSE, 0.5, basis, RemarkKind.HOLD_FIRMLY)
    if display == "nothing":
        return _special(Grade.TOO_CLOSE, 0.5, basis, RemarkKind.CHECK_METER)
    raise OperatorError(f"'{display}' is not a display.", remedy="It is over_range, unsteady, range or nothing.")


def _special(grade: Grade, chance: float, basis: Basis, kind: RemarkKind | None = None) -> Verdict:
    remark = (Remark(kind),) if kind is not None else ()
    return Verdict(grade, Decimal(0), chance, None, None, None, basis=basis, remarks=remark)


def _check_arguments(value: Decimal, limits: Limits, lead_ohms: Decimal | None) -> None:
    named = (
        ("reading", value),
        ("lower limit", limits.low),
        ("upper limit", limits.high),
        ("resistance of the leads", lead_ohms),
    )
    for what, number in named:
        if number is not None and not number.is_finite():
            raise OperatorError(f"The {what}, {number}, is not a number.", remedy="Give it in digits, such as 1180.")
    if limits.low is not None and limits.high is not None and limits.low > limits.high:
        raise OperatorError(
            f"The lower limit, {limits.low}, lies above the upper limit, {limits.high}.", remedy="Swap them."
        )
    if lead_ohms is not None and lead_ohms < 0:
        raise OperatorError(
            f"The leads cannot have {lead_ohms} ohms.", remedy="Touch the probes together and read again."
        )


def _grade(value: Decimal, limits: Limits, expanded: Decimal) -> Grade:
    """The three answers, bad told apart by side. With U = 0 the edges themselves are good."""
    low, high = limits.low, limits.high
    inside_low = low is None or value >= low + expanded
    inside_high = high is None or value <= high - expanded
    if inside_low and inside_high:
        return Grade.GOOD
    if low is not None and value <= low - expanded:
        return Grade.BAD_LOW
    if high is not None and value >= high + expanded:
        return Grade.BAD_HIGH
    return Grade.TOO_CLOSE


def _probability(value: Decimal, limits: Limits, u: Decimal) -> float:
    """Probability that the true value lies inside the limits (JCGM 106, 7.2 to 7.4), for a normal distribution."""
    if not u:
        return 1.0 if _grade(value, limits, Decimal(0)) is Grade.GOOD else 0.0
    below, above = 1.0, 0.0
    with localcontext(prec=DIGITS):
        if limits.high is not None:
            below = NormalDist().cdf(float((limits.high - value) / u))
        if limits.low is not None:
            above = NormalDist().cdf(float((limits.low - value) / u))
    return max(0.0, below - above)


def _rounding_half_width(value: Decimal) -> Decimal:
    """How far 'about' may be off: half of the last digit that was said, at most 5 % (common practice, no source)."""
    if not value:
        return Decimal(0)
    return min(last_said_digit(value) / 2, abs(value) * _ROUGH)


def last_said_digit(value: Decimal) -> Decimal:
    """Place of the last digit that is not a zero: 100 for 1200, 0.1 for 12.5."""
    exponent = value.normalize().as_tuple().exponent
    return Decimal(1).scaleb(exponent if isinstance(exponent, int) else 0)
