"""Exact values and names -> words for speaking and text for the screen.

Read-back is digit by digit after ICAO Annex 10 Volume II 5.2.1.4.1.1 and FAA AIM 4-2-8 ('one one eight zero').
"""

from __future__ import annotations

from decimal import Context, Decimal
from fractions import Fraction

from assistant.numerals.units import plain
from assistant.numerals.vocabulary import Vocabulary

DIGITS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
_PARTS = {
    2: ("half", "halves"),
    4: ("quarter", "quarters"),
    8: ("eighth", "eighths"),
    16: ("sixteenth", "sixteenths"),
    32: ("thirty-second", "thirty-seconds"),
}
_SHOWN = {"ohm": "ohms", "kohm": "kilohms", "Mohm": "megohms", "degF": "°F", "degC": "°C",
          "count": ""}  # fmt: skip
_TIGHT = {"%", "degF", "degC"}


_ENDLESS = 12
"""Figures from which a value is a fraction that never ends: no meter shows so many."""


def rounded(value: Decimal) -> Decimal:
    """A value as a meter would show it: a third is 0.333, a hundred and a third 100.3; what ends stays as it is."""
    if len(value.as_tuple().digits) < _ENDLESS:
        return value
    return Context(prec=max(3, value.adjusted() + 2)).plus(value)


def spell_digits(value: Decimal) -> str:
    """Digit by digit with 'minus' and 'point': -0.60 is 'minus zero point six zero'."""
    text = plain(rounded(value))
    words = ["minus" if mark == "-" else "point" if mark == "." else DIGITS[int(mark)] for mark in text]
    return " ".join(words)


def spell_value(value: Decimal, unit: str | None, vocabulary: Vocabulary) -> str:
    """A reading for speaking, with its unit: 'one one eight zero ohms', 'one and three eighths inches, ...'."""
    digits = spell_digits(value)
    known = vocabulary.unit(unit)
    if known is None:
        return digits
    name = known.singular if abs(value) == 1 and "." not in plain(value) else known.plural
    if not name:
        return digits
    if known.fractions:
        parts = spell_fraction(value)
        if parts:
            fraction_name = known.singular if abs(value) <= 1 else known.plural
            return (
                f"{parts} {fraction_name}, {digits}" if abs(value) > 1 else f"{parts} of an {fraction_name}, {digits}"
            )
    return f"{digits} {name}"


def spell_fraction(value: Decimal) -> str:
    """Halves to thirty-seconds in words ('one and three eighths'), '' when the value is none or is whole."""
    ratio = Fraction(abs(value))
    units, rest = divmod(ratio, 1)
    if not rest or rest.denominator not in _PARTS or units > 99:
        return ""
    one, many = _PARTS[rest.denominator]
    top = rest.numerator
    words = f"{spell_whole(top)} {one if top == 1 else many}"
    if rest.denominator in (2, 4) and top == 1:
        words = f"a {one}" if units else f"one {one}"
    sign = "minus " if value < 0 else ""
    return f"{sign}{spell_whole(int(units))} and {words}" if units else f"{sign}{words}"


_SMALL = (*DIGITS, "ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen",
          "nineteen")  # fmt: skip
_TENS = ("", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")


def spell_whole(number: int) -> str:
    """A whole number below a hundred in words."""
    if number < 20:
        return _SMALL[number]
    tens, ones = divmod(number, 10)
    return f"{_TENS[tens]} {DIGITS[ones]}" if ones else _TENS[tens]


def show_value(value: Decimal, unit: str | None = None, vocabulary: Vocabulary | None = None) -> str:
    """A reading for the screen: '1,180 ohms', '12.05 V', '68%'. Without a vocabulary a unit stands by its name."""
    fraction = show_fraction(value) if unit == "in" else ""
    if fraction:
        return f"{fraction} {show_unit(unit, vocabulary)}"
    text = plain(rounded(value))
    sign, text = ("-", text[1:]) if text.startswith("-") else ("", text)
    whole, point, rest = text.partition(".")
    number = f"{sign}{int(whole):,}{point}{rest}"
    if unit == "32nds" and not rest:
        return f"{number}/32 in"
    name = "ohm" if unit == "ohm" and number == "1" else show_unit(unit, vocabulary)
    return f"{number}{name}" if unit in _TIGHT else f"{number} {name}".strip()


def show_number(value: Decimal, unit: str | None = None) -> str:
    """A reading without its unit, where a column's head or the end of a range names it: '1,180', '1 3/8'."""
    return (show_fraction(value) if unit == "in" else "") or show_value(value)


def show_fraction(value: Decimal) -> str:
    """Inches as rule and trade write them, halves to thirty-seconds: '1 7/8'; '' where they are none, or whole."""
    ratio = Fraction(abs(value))
    whole, rest = divmod(ratio, 1)
    if not rest or rest.denominator not in _PARTS or whole > 99:
        return ""
    sign = "-" if value < 0 else ""
    return f"{sign}{whole} {rest}" if whole else f"{sign}{rest}"


def show_unit(unit: str | None, vocabulary: Vocabulary | None = None) -> str:
    """A unit behind values on the screen: 'ohms', 'V', '°F'; '' for a count, and for one that no vocabulary knows."""
    if unit is None or (vocabulary is not None and vocabulary.unit(unit) is None):
        return ""
    return _SHOWN.get(unit, unit)


def spell_identifier(identifier: str, vocabulary: Vocabulary) -> str:
    """A unit number for speaking: letters by the spelling alphabet, digits one by one."""
    words: list[str] = []
    for mark in identifier.lower():
        if mark.isdecimal() and mark.isascii():
            words.append(DIGITS[int(mark)])
        elif mark in vocabulary.letter_names:
            words.append(vocabulary.letter_names[mark])
        elif mark == "-":
            words.append("dash")
        elif mark == "/":
            words.append("slash")
        elif not mark.isspace():
            words.append(mark)
    return " ".join(words)
