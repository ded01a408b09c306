"""Verdicts: published rules and worked examples, edges, corrections, odd readings."""

from __future__ import annotations

from decimal import Decimal
from statistics import NormalDist

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.errors import OperatorError
from assistant.messages import Grade, Limits, Remark, RemarkKind
from assistant.phrasing.verdicts import reason_of, remark_of
from assistant.verdict import Accuracy, judge, judge_display, looks_swapped, parse_accuracy, to_reference

D = Decimal
GOOD, LOW, HIGH, CLOSE = Grade.GOOD, Grade.BAD_LOW, Grade.BAD_HIGH, Grade.TOO_CLOSE


def between(low: str | None, high: str | None, **more: object) -> Limits:
    return Limits(D(low) if low else None, D(high) if high else None, **more)  # type: ignore[arg-type]


def fixed(u: str) -> Accuracy:
    """An accuracy whose standard uncertainty is ``u`` whatever the reading: a = u sqrt(3), in counts."""
    return Accuracy(D(0), D(3).sqrt(), D(u))


# --- probability of conformity -------------------------------------------------------------------------------------

PROBABILITIES = [
    # JCGM 106:2012 7.3, breakdown voltage of a Zener diode, at most -5.40 V (values from memory, recomputed)
    ("-5.47", "0.05", None, "-5.40", 0.919),
    # JCGM 106:2012 7.4, kinematic viscosity of oil, 12.5 to 16.3 (values from memory, recomputed)
    ("13.6", "1.8", "12.5", "16.3", 0.663),
    # ILAC-G8:09/2019: without a guard band a reading on the limit is wrong half the time
    ("10", "1", None, "10", 0.5),
    # ILAC-G8:09/2019: a guard band of U = 2u leaves 2.275 %
    ("8", "1", None, "10", 1 - 0.02275),
    # JCGM 106 Table 1, one-sided (from memory, recomputed): z for 0.80, 0.90, 0.95, 0.99, 0.999
    ("9.1584", "1", None, "10", 0.80),
    ("8.7184", "1", None, "10", 0.90),
    ("8.3551", "1", None, "10", 0.95),
    ("7.6737", "1", None, "10", 0.99),
    ("6.9098", "1", None, "10", 0.999),
    # ILAC-G8 Table 1 (from memory, recomputed): guard bands of 0.83 U, 1.5 U, 3 U
    ("8.34", "1", None, "10", 1 - 0.0485),
    ("7", "1", None, "10", 1 - 0.00135),
    ("4", "1", None, "10", 1 - 9.9e-10),
    # JCGM 106 8, a speed of 106.6 km/h with u = 2 %, limit 100: over it with 99.9 % (from memory, recomputed)
    ("106.6", "2.132", "100", None, 0.999),
]


@pytest.mark.parametrize(("value", "u", "low", "high", "chance"), PROBABILITIES)
def test_probability_of_conformity(value: str, u: str, low: str | None, high: str | None, chance: float) -> None:
    found = judge(D(value), "", between(low, high), fixed(u))
    assert found.probability_good == pytest.approx(chance, abs=6e-4 if chance < 0.999 else 2e-5)


def test_precision_resistors() -> None:
    """JCGM 106 9.5: 1499.8 to 1500.2 ohms, u 0.04, acceptance 1499.82 to 1500.18 (inputs from a public copy).

    The share of conforming resistors, and the consumer's and producer's risks, follow by integrating our own
    probability of conformity over the process N(1500, 0.12).
    """
    process, limits, accuracy = NormalDist(1500, 0.12), between("1499.8", "1500.2"), fixed("0.04")
    step, consumer, producer = D("0.002"), 0.0, 0.0
    prior = process.variance
    noise = 0.04**2
    seen = NormalDist(1500, (prior + noise) ** 0.5)
    for number in range(-500, 500):
        reading = D(1500) + step * number + step / 2  # midpoints: no reading on an acceptance limit
        # what is known after the reading: process and measurement together (JCGM 106 6.4, normal prior)
        shrink = prior / (prior + noise)
        centre = D(str(1500 + shrink * (float(reading) - 1500)))
        spread = D(str((shrink * noise) ** 0.5))
        good = judge(centre, "ohm", limits, fixed(str(spread))).probability_good
        weight = seen.pdf(float(reading)) * float(step)
        if D("1499.82") <= reading <= D("1500.18"):
            consumer += weight * (1 - good)
        else:
            producer += weight * good
    assert process.cdf(1500.2) - process.cdf(1499.8) == pytest.approx(0.90442, abs=1e-5)
    assert consumer == pytest.approx(0.009878, abs=2e-5)
    assert producer == pytest.approx(0.069027, abs=2e-5)
    assert judge(D(1500), "ohm", limits, accuracy).uncertainty == pytest.approx(D("0.08"))


# --- three answers -------------------------------------------------------------------------------------------------


def test_a_sensor_near_its_upper_limit_is_too_close() -> None:
    """Constructed: 2980 ohms on 700 to 3000 (FHWA-MC-98-008 p. 29) with ± (0.8 % + 2)."""
    found = judge(D(2980), "ohm", between("700", "3000"), parse_accuracy("0.8%+2", D(1)))
    assert found.grade is CLOSE
    assert found.uncertainty == pytest.approx(D("29.837"), abs=D("0.001"))
    assert found.guarded_high == pytest.approx(D("2970.16"), abs=D("0.01"))
    assert found.guarded_low == pytest.approx(D("729.84"), abs=D("0.01"))
    assert found.probability_good == pytest.approx(0.90997, abs=1e-5)
    assert reason_of(found) == "2,980 ohms, give or take 30, against 700 to 3,000 ohms: too close to call."


def test_a_module_supply_above_its_guarded_limit_is_good() -> None:
    """Constructed: 9.62 V against at least 9.5 V (TMC RP 141 as cited in FHWA-MC-98-008 p. 32), ± (0.5 % + 2)."""
    found = judge(D("9.62"), "V", between("9.5", None), parse_accuracy("0.5%+2", D("0.01")))
    assert found.grade is GOOD
    assert found.guarded_low == pytest.approx(D("9.5786"), abs=D("0.0001"))
    assert found.guarded_high is None
    assert found.probability_good == pytest.approx(0.99886, abs=1e-5)
    assert reason_of(found) == "9.62 V, give or take 0.079, against at least 9.5 V: good."


EDGES = [
    # 1.20 ± 0.10, inclusive in exact decimals
    ("1.10", "1.30", "1.30", GOOD),
    ("1.10", "1.30", "1.10", GOOD),
    ("1.10", "1.30", "1.20", GOOD),
    ("1.10", "1.30", "1.300000000000000000001", HIGH),
    ("1.10", "1.30", "1.299999999999999999999", GOOD),
    ("1.10", "1.30", "1.099999999999999999999", LOW),
    ("1.10", "1.30", "1.100000000000000000001", GOOD),
    # one-sided
    ("12.5", None, "12.5", GOOD),
    ("12.5", None, "12.49", LOW),
    ("12.5", None, "1000", GOOD),
    (None, "0.5", "0.5", GOOD),
    (None, "0.5", "0.51", HIGH),
    (None, "0.5", "0", GOOD),
    # a single allowed value, and zero as a limit and as a value
    ("5", "5", "5", GOOD),
    ("0", "0.5", "0", GOOD),
    ("0", None, "-0.1", LOW),
    (None, None, "7", GOOD),
    # 49 CFR 393.47(e): pushrod stroke not greater than the limit, so equal passes (type 30 standard, 2 in)
    (None, "2", "2.000", GOOD),
    (None, "2", "2.001", HIGH),
]


@pytest.mark.parametrize(("low", "high", "value", "grade"), EDGES)
def test_limits_are_inclusive_without_an_accuracy(
    low: str | None, high: str | None, value: str, grade: Grade
) -> None:
    found = judge(D(value), "in", between(low, high))
    assert found.grade is grade
    assert found.uncertainty == 0
    assert found.probability_good == (1.0 if grade is GOOD else 0.0)


@pytest.mark.parametrize(
    ("value", "grade"),
    [
        # limits 100 to 200, U = 10 whatever the reading (the half-width 5 sqrt(3) is irrational: a hair's room)
        ("89.999999", LOW), ("90.000001", CLOSE), ("100", CLOSE), ("109.999999", CLOSE), ("110.000001", GOOD),
        ("150", GOOD), ("189.999999", GOOD), ("190.000001", CLOSE), ("200", CLOSE), ("209.999999", CLOSE),
        ("210.000001", HIGH),
    ],
)  # fmt: skip
def test_each_edge_of_the_guard_band(value: str, grade: Grade) -> None:
    assert judge(D(value), "ohm", between("100", "200"), fixed("5")).grade is grade


def test_a_meter_too_coarse_for_the_limits_says_so() -> None:
    found = judge(D("0.3"), "ohm", between("0.2", "0.4"), parse_accuracy("1%+5", D("0.1")))
    assert found.grade is CLOSE
    assert "not fine enough" in reason_of(found)


READINGS = st.decimals("-5000", "5000", places=2)


@given(READINGS, READINGS, READINGS, st.decimals("0", "5", places=2), st.integers(0, 9))
def test_the_three_answers_split_the_line(
    value: Decimal, one: Decimal, two: Decimal, percent: Decimal, counts: int
) -> None:
    """Good needs the guarded zone, bad the limits widened by U, and the chance agrees with the grade."""
    low, high = min(one, two), max(one, two)
    accuracy = Accuracy(percent, D(counts), D("0.01"))
    found = judge(value, "psi", Limits(low, high), accuracy)
    assert found.guarded_low is not None
    assert found.guarded_high is not None
    assert (found.grade is GOOD) == (found.guarded_low <= value <= found.guarded_high)
    if found.grade is LOW:
        assert value <= low - found.uncertainty
        assert found.probability_good <= 0.0228
    if found.grade is HIGH:
        assert value >= high + found.uncertainty
        assert found.probability_good <= 0.0228
    if found.grade is GOOD:
        assert found.probability_good >= 1 - 2 * 0.0228
    assert 0.0 <= found.probability_good <= 1.0
    assert found.corrected == value


@given(READINGS, READINGS, READINGS)
def test_no_float_in_the_comparison(value: Decimal, one: Decimal, two: Decimal) -> None:
    low, high = min(one, two), max(one, two)
    inside = int(low * 100) <= int(value * 100) <= int(high * 100)
    assert (judge(value, "psi", Limits(low, high)).grade is GOOD) == inside


@given(st.decimals("0.5", "2000", places=1), st.decimals("100", "1000", places=1))
def test_approximate_only_widens(value: Decimal, low: Decimal) -> None:
    limits = Limits(low, low * 2)
    exact, about = judge(value, "ohm", limits), judge(value, "ohm", limits, approximate=True)
    assert about.uncertainty > exact.uncertainty
    assert about.grade in (exact.grade, CLOSE)


def test_about_near_a_limit_is_too_close_and_far_from_it_good() -> None:
    """Half of the last digit said, at most 5 % (common practice, no source)."""
    assert judge(D(1200), "ohm", between("700", "3000"), approximate=True).grade is GOOD
    assert judge(D(700), "ohm", between("700", "3000"), approximate=True).grade is CLOSE
    assert judge(D(0), "ohm", between("700", "3000"), approximate=True).grade is LOW


@pytest.mark.parametrize(
    ("value", "half"),
    [
        # half of the last digit that was said, where that is less than 5 % (common practice, no source)
        ("1234", "0.5"), ("1200", "50"), ("12.5", "0.05"), ("-1200", "50"),
        # 5 % where it is not: 'about 30' is 28.5 to 31.5
        ("30", "1.5"), ("1000", "50"), ("5", "0.25"),
    ],
)  # fmt: skip
def test_how_far_about_may_be_off(value: str, half: str) -> None:
    """U = 2 a / sqrt(3) for a half-width a: JCGM 100 4.3.7."""
    found = judge(D(value), "ohm", between("700", "3000"), approximate=True)
    assert float(found.uncertainty) == pytest.approx(2 * float(half) / 3**0.5)


def test_about_and_the_meters_accuracy_add_in_squares() -> None:
    """JCGM 100 5.1.2: 30 counts of 1 ohm and 5 % of 800 ohms are 30 and 40, together 50."""
    found = judge(D(800), "ohm", between("700", "3000"), Accuracy(D(0), D(30), D(1)), approximate=True)
    assert float(found.uncertainty) == pytest.approx(2 * 50 / 3**0.5)


# --- corrections ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("ohms", "celsius", "at_twenty"),
    [
        # R2 = R1 (234.5 + t2)/(234.5 + t1), copper, IEEE 112 and 118; worked rows recomputed
        ("1500", "35", "1416.51"),
        ("5.00", "60", "4.3209"),
        ("1500", "-10", "1700.45"),
        ("1500", "20", "1500"),
        # NEC Chapter 9 Table 8 is at 75 C; the factor to 20 C is 0.8223
        ("1", "75", "0.8223"),
    ],
)
def test_copper_windings_are_brought_to_20_celsius(ohms: str, celsius: str, at_twenty: str) -> None:
    found = to_reference(D(ohms), D(celsius))
    places = abs(int(D(at_twenty).as_tuple().exponent))
    assert round(found, places) == D(at_twenty)


@pytest.mark.parametrize(("celsius", "factor"), [("40", "1.058"), ("75", "1.193"), ("100", "1.289")])
def test_factors_from_25_celsius(celsius: str, factor: str) -> None:
    """A handbook table of copper's resistance relative to 25 C: the ratio of two corrections."""
    assert round(to_reference(D(1), D(25)) / to_reference(D(1), D(celsius)), 3) == D(factor)


@given(st.decimals("-40", "120", places=1))
def test_the_correction_agrees_with_the_coefficient(celsius: Decimal) -> None:
    """R(t) = R20 [1 + 0.00393 (t - 20)], IEC 60028, to the rounding of the coefficient."""
    again = 1 / to_reference(D(1), celsius)
    assert float(again) == pytest.approx(1 + 0.00393 * (float(celsius) - 20), abs=1e-4)


@pytest.mark.parametrize(
    ("awg", "at_75", "at_20"),
    [(18, "7.77", "6.385"), (16, "4.89", "4.016"), (14, "3.07", "2.525"), (12, "1.93", "1.588"),
     (10, "1.21", "0.9989"), (8, "0.764", "0.6282")],
)  # fmt: skip
def test_wire_table(awg: int, at_75: str, at_20: str) -> None:
    """NEC Chapter 9 Table 8 (solid, 75 C) against copper of 1/58 ohm mm2/m at 20 C (IEC 60028): within 0.4 %."""
    assert float(to_reference(D(at_75), D(75))) == pytest.approx(float(at_20), rel=0.005), awg


def test_temperature_can_turn_a_verdict() -> None:
    limits = between("900", "1420", copper=True)
    cold, warm = judge(D(1500), "ohm", limits), judge(D(1500), "ohm", limits, coil_celsius=D(35))
    assert (cold.grade, warm.grade) == (HIGH, GOOD)
    assert warm.corrected is not None
    assert round(warm.corrected, 2) == D("1416.51")
    assert "brought from 35 to 20 degrees Celsius, is 1,417 ohms" in reason_of(warm)


def test_the_uncertainty_is_brought_to_20_celsius_too() -> None:
    limits, accuracy = between("900", "1420", copper=True), parse_accuracy("0.8%+2", D(1))
    warm = judge(D(1500), "ohm", limits, accuracy, coil_celsius=D(35))
    assert warm.uncertainty == pytest.approx(to_reference(judge(D(1500), "ohm", limits, accuracy).uncertainty, D(35)))


def test_temperature_is_left_alone_where_no_coil_is_measured() -> None:
    assert judge(D(1500), "ohm", between("900", "1420"), coil_celsius=D(35)).corrected == 1500


@pytest.mark.parametrize(
    ("value", "lead", "corrected", "remark"),
    [("0.7", "0.3", "0.4", ""), ("0.3", "0.3", "0.0", ""), ("0.2", "0.3", "0", "Less than the leads alone")],
)
def test_lead_resistance_is_taken_off_low_ohms(value: str, lead: str, corrected: str, remark: str) -> None:
    found = judge(D(value), "ohm", between(None, "0.5", small_ohms=True), lead_ohms=D(lead))
    assert found.corrected == D(corrected)
    assert remark in remark_of(found)
    assert bool(found.remarks) == bool(remark)


def test_leads_are_left_alone_where_ohms_are_large() -> None:
    assert judge(D(1180), "ohm", between("900", "1400"), lead_ohms=D("0.3")).corrected == 1180


@pytest.mark.parametrize("celsius", ["-234.5", "-300", "NaN"])
def test_impossible_temperatures_are_refused(celsius: str) -> None:
    with pytest.raises(OperatorError, match="cannot be at"):
        judge(D(1), "ohm", between("0", "1", copper=True), coil_celsius=D(celsius))


# --- remarks -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "remark"),
    [
        # everyday window 900 to 1,400 ohms inside 700 to 3000: common practice, no source
        ("1180", ""), ("900", ""), ("1400", ""),
        ("1401", "Outside the usual 900 to 1,400 ohms."),
        ("899", "Outside the usual 900 to 1,400 ohms."),
        ("650", ""),
    ],
)  # fmt: skip
def test_outside_the_usual_window_is_good_with_a_remark(value: str, remark: str) -> None:
    limits = between("700", "3000", usual_low=D(900), usual_high=D(1400))
    assert remark_of(judge(D(value), "ohm", limits)) == remark


@pytest.mark.parametrize(
    ("low", "high", "value", "kind"),
    [
        # a window with one end; the figures are chosen for the test
        ("12", None, "12", None), ("12", None, "11.9", RemarkKind.BELOW_USUAL),
        (None, "12", "12", None), (None, "12", "12.1", RemarkKind.ABOVE_USUAL),
        ("11", "12", "11", None), ("11", "12", "12", None), ("11", "12", "12.1", RemarkKind.OUTSIDE_USUAL),
        ("11", "12", "10.9", RemarkKind.OUTSIDE_USUAL), ("11", "12", "5", None), ("11", "12", "20", None),
    ],
)  # fmt: skip
def test_a_usual_window_with_one_end_or_two(
    low: str | None, high: str | None, value: str, kind: RemarkKind | None
) -> None:
    """Told of a good reading alone, with the end or ends that it names."""
    ends = {"usual_low": D(low) if low else None, "usual_high": D(high) if high else None}
    found = judge(D(value), "V", between("9.5", "15", **ends)).remarks
    expected = [] if kind is None else [Remark(kind, ends["usual_low"], ends["usual_high"], "V")]
    assert list(found) == expected


@pytest.mark.parametrize(
    ("low", "high", "value", "unit", "grade", "swapped"),
    [
        ("12.5", None, "-12.6", "V", LOW, True),
        (None, "0.5", "-0.8", "V", CLOSE, True),  # a drop of 0.8 the wrong way round must not pass
        (None, "0.5", "-0.2", "V", GOOD, True),
        ("-1", "1", "-0.5", "V", GOOD, False),
        ("700", "3000", "-3", "ohm", LOW, True),
        (None, "100", "-5", "degF", GOOD, False),
        ("0.1", None, "-1", "in", LOW, False),
        ("12.5", None, "0", "V", LOW, False),
    ],
)
def test_negative_readings_ask_about_the_leads(
    low: str | None, high: str | None, value: str, unit: str, grade: Grade, swapped: bool
) -> None:
    limits = between(low, high)
    found = judge(D(value), unit, limits)
    assert found.grade is grade
    assert ("leads swapped" in remark_of(found)) is swapped
    # an ohmmeter's own current never makes it negative: another source is in the circuit (common practice, no source)
    assert ("power on this circuit" in remark_of(found)) is (swapped and unit == "ohm")
    assert looks_swapped(D(value), unit, limits) is swapped


# --- displays without a value --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("display", "limits", "grade", "chance"),
    [
        ("over_range", between("100000", None, over_range="good"), GOOD, 1.0),
        ("over_range", between("700", "3000", over_range="bad"), HIGH, 0.0),
        ("over_range", between("700", "3000"), CLOSE, 0.5),
        ("over_range", between(None, "0.5"), HIGH, 0.0),
        ("unsteady", between("700", "3000", over_range="bad"), CLOSE, 0.5),
        ("range", between("700", "3000"), CLOSE, 0.5),
        ("nothing", between("700", "3000", over_range="good"), CLOSE, 0.5),
    ],
)
def test_special_displays(display: str, limits: Limits, grade: Grade, chance: float) -> None:
    found = judge_display(display, limits)
    assert (found.grade, found.probability_good, found.corrected) == (grade, chance, None)
    again = {"unsteady": RemarkKind.HOLD_FIRMLY, "range": RemarkKind.HOLD_FIRMLY, "nothing": RemarkKind.CHECK_METER}
    assert found.remarks == tuple(Remark(again[one]) for one in (display,) if one in again)
    assert reason_of(found).endswith((".", ": bad."))


def test_an_unsteady_reading_names_its_ends() -> None:
    found = judge_display("unsteady", between("700", "3000"), "ohm", low_end=D(400), high_end=D(2000))
    assert "between 400 and 2,000 ohms" in reason_of(found)


def test_other_displays_are_refused() -> None:
    with pytest.raises(OperatorError, match="not a display"):
        judge_display("blinking", between("1", "2"))


# --- bad input -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("value", ["NaN", "Infinity", "-Infinity", "sNaN"])
def test_what_is_no_number_is_refused(value: str) -> None:
    with pytest.raises(OperatorError, match="is not a number"):
        judge(D(value), "ohm", between("1", "2"))
    with pytest.raises(OperatorError, match="is not a number"):
        judge(D(1), "ohm", between("1", value))


def test_crossed_limits_and_negative_leads_are_refused() -> None:
    with pytest.raises(OperatorError, match=r"lower limit, 3, lies above the upper limit, 2"):
        judge(D(1), "ohm", between("3", "2"))
    with pytest.raises(OperatorError, match="leads cannot have"):
        judge(D(1), "ohm", between("1", "2"), lead_ohms=D("-0.1"))
