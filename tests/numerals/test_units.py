"""Units against Pint (pint.readthedocs.io), a general-purpose units library; every factor of ours is checked."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from functools import cache

import pint
import pytest

from assistant.catalog import load_vocabulary
from assistant.numerals.units import convert, plain, to_decimal
from tests.rows import each_row

# our name -> Pint's name; None: no such unit in Pint, the reason beside it
PINT = {
    "V": "volt", "mV": "millivolt", "ohm": "ohm", "kohm": "kiloohm", "Mohm": "megaohm", "A": "ampere",
    "mA": "milliampere", "in": "inch", "mm": "millimeter", "32nds": "inch / 32", "thou": "thou", "psi": "psi",
    "kPa": "kilopascal", "degF": "degF", "degC": "degC", "s": "second", "min": "minute", "mph": "mile / hour",
    "km/h": "kilometer / hour", "Hz": "hertz", "rev/s": "revolution / second", "rev/min": "revolution / minute",
    "count": "count", "%": "percent",
}  # fmt: skip
UNITS = load_vocabulary().units
PAIRS = [(a, b) for a in UNITS for b in UNITS if UNITS[a].dimension == UNITS[b].dimension]


def test_every_unit_has_its_reference() -> None:
    assert set(PINT) == set(UNITS)


@cache
def registry() -> pint.UnitRegistry[Fraction]:
    return pint.UnitRegistry(non_int_type=Fraction, autoconvert_offset_to_baseunit=True)


@each_row([(*pair, value) for pair in PAIRS for value in ("0", "1", "-3.57", "12.05", "1420.5")])
def test_conversion_agrees_with_pint(source: str, target: str, value: str) -> None:
    ours = convert(Decimal(value), UNITS[source], UNITS[target])
    number = Fraction(value)
    if "/ 32" in PINT[source]:
        number = number / 32
    base = PINT[source].replace(" / 32", "")
    wanted = registry().Quantity(number, base).to(PINT[target].replace(" / 32", "")).magnitude
    if "/ 32" in PINT[target]:
        wanted = wanted * 32
    assert float(ours) == pytest.approx(float(wanted), rel=1e-9, abs=1e-9)


def test_powers_of_ten_keep_the_digits_as_said() -> None:
    """1.80 kilohms is 1800 ohms, and 500 millivolts 0.500 volts."""
    assert plain(convert(Decimal("1.80"), UNITS["kohm"], UNITS["ohm"])) == "1800"
    assert plain(convert(Decimal(500), UNITS["mV"], UNITS["V"])) == "0.500"


def test_exact_where_the_decimal_ends() -> None:
    assert convert(Decimal(1), UNITS["in"], UNITS["mm"]) == Decimal("25.4")
    assert convert(Decimal(7), UNITS["32nds"], UNITS["in"]) == Decimal("0.21875")
    assert convert(Decimal(212), UNITS["degF"], UNITS["degC"]) == 100
    assert to_decimal(Fraction(1, 3)) == Decimal("0.333333333333333")


def test_kinds_do_not_mix() -> None:
    with pytest.raises(ValueError, match="V is voltage and ohm is resistance"):
        convert(Decimal(1), UNITS["V"], UNITS["ohm"])


def test_plain_never_shows_an_exponent_or_minus_zero() -> None:
    assert [plain(Decimal(text)) for text in ("1E+3", "1E-7", "-0", "-0.00", "11.50")] == [
        "1000", "0.0000001", "0", "0.00", "11.50",
    ]  # fmt: skip


@pytest.mark.parametrize("unit", UNITS.values(), ids=list(UNITS))
def test_a_unit_says_what_a_meter_could_show(unit) -> None:  # type: ignore[no-untyped-def]
    assert unit.span[0] < unit.span[1]
    assert unit.resolution is None
    assert unit.plural or unit.name == "count"
