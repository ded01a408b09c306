"""Units of readings: exact factors, default spans, and the names by which they are said and written.

The table itself is data (``grammars/units.toml``); a value is brought to the first unit of its dimension by
``(value - offset) * factor``. Factors are fractions, so no float is involved.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Context, Decimal
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit of readings."""

    name: str
    """Its name in procedures and records, such as ``ohm``."""
    dimension: str
    """Units of one dimension convert into each other."""
    factor: Fraction
    """Size in the first unit of the dimension."""
    offset: Fraction
    """Reading at the zero of the first unit: 32 for degrees Fahrenheit."""
    singular: str
    """How one is said."""
    plural: str
    """How any other number is said."""
    heard: tuple[str, ...]
    """Further forms that a person may say, lower case."""
    typed: tuple[str, ...]
    """Exact written forms; capitals count."""
    span: tuple[Decimal, Decimal]
    """What a meter could show at a prompt that states no span."""
    signed: bool
    """True where a reading below zero is ordinary (swapped leads)."""
    implied_point: bool
    """True where people leave the point out, so that 'twelve six' is 12.6."""
    fractions: bool
    """True where readings are said in halves, quarters, eighths and so on."""
    whole: bool
    """True where only whole numbers make sense."""
    resolution: Decimal | None = None
    """Value of the last digit where the meter is not known."""


def convert(value: Decimal, source: Unit, target: Unit) -> Decimal:
    """Bring a value from one unit to another: exact where the result has an end, else to 15 digits.

    Powers of ten move the point and keep the digits as they were said ('1.80 k' is 1800).

    Raises:
        ValueError: the units are of different dimensions.
    """
    if source.dimension != target.dimension:
        raise ValueError(f"{source.name} is {source.dimension} and {target.name} is {target.dimension}.")
    if source.name == target.name:
        return value
    if not source.offset and not target.offset:
        shift = power_of_ten(source.factor / target.factor)
        if shift is not None:
            return shift_point(value, shift)
    return to_decimal((Fraction(value) - source.offset) * source.factor / target.factor + target.offset)


def power_of_ten(ratio: Fraction) -> int | None:
    """The exponent when a ratio is a power of ten, else None."""
    top, bottom = str(ratio.numerator), str(ratio.denominator)
    if top.strip("0") == "1" and bottom.strip("0") == "1" and top[0] == bottom[0] == "1":
        return len(top) - len(bottom)
    return None


def shift_point(value: Decimal, places: int) -> Decimal:
    """Multiply by a power of ten and keep plain notation: 1.80 by three places is 1800."""
    return Decimal(format(value.scaleb(places), "f"))


def to_decimal(ratio: Fraction) -> Decimal:
    """A fraction as a plain decimal: exact when it ends, else rounded to 15 digits."""
    top, bottom = ratio.numerator, ratio.denominator
    # a decimal that ends has at most as many places as its denominator has bits
    digits = len(str(top)) + bottom.bit_length() if ends(ratio) else 15
    return Decimal(format(Context(prec=digits).divide(Decimal(top), Decimal(bottom)), "f"))


def ends(ratio: Fraction) -> bool:
    """Whether a fraction has an exact decimal: its denominator holds no prime but two and five."""
    return pow(10, ratio.denominator.bit_length(), ratio.denominator) == 0


def plain(value: Decimal) -> str:
    """A value in plain notation, never with an exponent; minus zero is zero."""
    text = format(value, "f")
    if text.startswith("-") and not text.strip("-0."):
        return text[1:]
    return text


def names_of(unit: Unit) -> tuple[str, ...]:
    """Every spoken form of a unit, lower case."""
    spoken = [unit.singular.lower(), unit.plural.lower(), *unit.heard]
    return tuple(dict.fromkeys(name for name in spoken if name))
