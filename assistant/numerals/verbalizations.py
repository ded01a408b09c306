"""(value, unit) -> every way a technician says it, with weights: the mirror of ``number_parser``.

Weights are shares of how people read a meter aloud ('common practice, no source'); only their order and rough size
matter, since they shape the recognizer and never decide a value.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple

from assistant.numerals.readback import DIGITS, spell_fraction, spell_whole
from assistant.numerals.units import Unit, convert, plain
from assistant.numerals.vocabulary import Vocabulary


class Saying(NamedTuple):
    """One way to say a value."""

    words: str
    """Lower-case words as the recognizer writes them."""
    weight: float
    """How usual this way is beside the others of the same value."""


def sayings(
    value: Decimal, unit: str | None, vocabulary: Vocabulary, resolution: Decimal | None = None
) -> list[Saying]:
    """Every way to say a reading at a prompt in ``unit``, with and without the unit; each form once.

    Args:
        value: the reading in ``unit``.
        unit: name of the prompt's unit, None for a bare number.
        vocabulary: the compiled grammars.
        resolution: value of the meter's last digit; adds the forms with the zeros that the display shows.
    """
    known = vocabulary.unit(unit)
    found: dict[str, float] = {}
    for words, weight in _signed(value, known, resolution):
        for text, share in _with_unit(words, known, value, vocabulary):
            found[text] = max(found.get(text, 0.0), weight * share)
    for words, weight in _other_units(value, known, vocabulary):
        found.setdefault(words, weight)
    return [Saying(words, weight) for words, weight in found.items()]


def _with_unit(words: str, unit: Unit | None, value: Decimal, vocabulary: Vocabulary) -> Iterator[tuple[str, float]]:
    yield words, 0.5
    if unit is None or not unit.plural:
        return
    if words.endswith((" k", " meg", " kilo")) and unit.name != "ohm":
        return
    name = (
        unit.singular if abs(value) == 1 or words in ("half a", "a quarter", "three quarters of a") else unit.plural
    )
    name = name.lower().replace("-", " ")
    words = "half an" if words == "half a" and name[0] in "aeio" else words
    yield f"{words} {vocabulary.unsaid.get(name, name)}", 0.5


def _signed(value: Decimal, unit: Unit | None, resolution: Decimal | None) -> Iterator[tuple[str, float]]:
    if value >= 0:
        yield from _positive(value, unit, resolution)
        return
    for words, weight in _positive(-value, unit, resolution):
        if not words.startswith(("a ", "half", "three quarters")):
            yield f"minus {words}", weight * 0.6
            yield f"negative {words}", weight * 0.4


def _positive(value: Decimal, unit: Unit | None, resolution: Decimal | None) -> Iterator[tuple[str, float]]:
    text = plain(value)
    whole, _, rest = text.partition(".")
    if not rest:
        yield from whole_sayings(int(whole))
        if unit and unit.name == "ohm":
            yield from _thousands(int(whole))
    else:
        yield from decimal_sayings(whole, rest, implied=bool(unit and unit.implied_point))
    if resolution is not None:
        yield from _padded(whole, rest, unit, resolution)
    yield from _parts(value, unit)


def _padded(whole: str, rest: str, unit: Unit | None, resolution: Decimal) -> Iterator[tuple[str, float]]:
    """With the zeros that the display shows: 12.5 on a meter of two places is also 'twelve point five zero'."""
    exponent = resolution.as_tuple().exponent
    places = -exponent if isinstance(exponent, int) else 0
    if places > len(rest):
        padded = rest.ljust(places, "0")
        yield from decimal_sayings(whole, padded, implied=bool(unit and unit.implied_point and rest))


def cardinal(number: int, joint: str = "") -> str:
    """A whole number below ten million as a cardinal; ``joint`` stands before the last two digits ('and')."""
    if number < 100:
        return spell_whole(number)
    parts: list[str] = []
    millions, number = divmod(number, 1_000_000)
    if millions:
        parts.append(f"{cardinal(millions, joint)} million")
    thousands, number = divmod(number, 1000)
    if thousands:
        parts.append(f"{cardinal(thousands, joint)} thousand")
    hundreds, number = divmod(number, 100)
    if hundreds:
        parts.append(f"{spell_whole(hundreds)} hundred")
    if number:
        parts += [joint, spell_whole(number)] if joint else [spell_whole(number)]
    return " ".join(parts)


def whole_sayings(number: int) -> Iterator[tuple[str, float]]:
    """A whole number: cardinal, hundreds over nine, pairs, digit by digit."""
    yield cardinal(number), 1.0
    if number > 100:
        yield cardinal(number, "and"), 0.5
    if number < 10:
        if number == 0:
            yield "oh", 0.05
            yield "nought", 0.02
        if number == 9:
            yield "niner", 0.05
        return
    if 100 <= number < 200 and number != 100:
        yield f"a hundred and {spell_whole(number - 100)}", 0.1
    if number in (100, 1000):
        yield f"a {'hundred' if number == 100 else 'thousand'}", 0.2
    yield from _hundreds(number)
    yield from _pairs(number)
    digits = str(number)
    yield " ".join(DIGITS[int(mark)] for mark in digits), 0.6 if number > 99 else 0.1
    if "0" in digits:
        yield " ".join("oh" if mark == "0" else DIGITS[int(mark)] for mark in digits), 0.4
        if digits.endswith("0"):
            mixed = ["oh" if mark == "0" else DIGITS[int(mark)] for mark in digits[:-1]]
            yield " ".join([*mixed, "zero"]), 0.1
    if "9" in digits:
        yield " ".join("niner" if mark == "9" else DIGITS[int(mark)] for mark in digits), 0.03


def _hundreds(number: int) -> Iterator[tuple[str, float]]:
    hundreds, rest = divmod(number, 100)
    if 10 <= hundreds < 100 and (hundreds % 10 or hundreds == 10):
        yield " ".join(filter(None, [spell_whole(hundreds), "hundred", spell_whole(rest) if rest else ""])), 1.0
        if rest:
            yield f"{spell_whole(hundreds)} hundred and {spell_whole(rest)}", 0.6


def _pairs(number: int) -> Iterator[tuple[str, float]]:
    first, last = divmod(number, 100)
    if not 1 <= first < 100:
        return
    if last >= 10:
        yield f"{spell_whole(first)} {spell_whole(last)}", 1.0
    elif last:
        yield f"{spell_whole(first)} oh {DIGITS[last]}", 0.7
        if first >= 10:
            yield f"{spell_whole(first)} zero {DIGITS[last]}", 0.2


def _thousands(number: int) -> Iterator[tuple[str, float]]:
    """k forms of ohms: 1180 is 'one point one eight k', 2000 'two k', 1500 'one and a half thousand'."""
    if number < 100:
        return
    text = plain((Decimal(number) / 1000).normalize())
    whole, _, rest = text.partition(".")
    if not rest:
        yield f"{cardinal(int(whole))} k", 0.4
        return
    for words, weight in decimal_sayings(whole, rest, implied=False):
        yield f"{words} k", weight * 0.4
    if rest == "5" and whole != "0":
        yield f"{spell_whole(int(whole)) if int(whole) < 100 else cardinal(int(whole))} and a half thousand", 0.05


def decimal_sayings(whole: str, rest: str, *, implied: bool) -> Iterator[tuple[str, float]]:
    """A decimal from its digits: 'twelve point oh five', 'twelve point forty two', 'point six', 'twelve six'."""
    heads = [(cardinal(int(whole)), 1.0)]
    if whole == "0":
        heads = [("zero", 1.0), ("", 0.8), ("oh", 0.1), ("nought", 0.02)]
    elif len(whole) > 1:
        heads.append((" ".join(DIGITS[int(mark)] for mark in whole), 0.2))
    tails = list(_tails(rest))
    for head, share in heads:
        for tail, weight in tails:
            yield f"{head} point {tail}".strip(), share * weight
    if "9" not in rest:
        yield f"{heads[0][0]} decimal {tails[0][0]}", 0.02
    if not implied or whole == "0":
        return
    head = heads[0][0]
    if len(rest) == 1 and not (int(whole) % 10 == 0 and int(whole) > 10) and int(whole) > 9:
        yield f"{head} {DIGITS[int(rest)]}", 0.5
    elif len(rest) == 2 and rest[0] != "0":
        yield f"{head} {spell_whole(int(rest))}", 0.3
    elif len(rest) == 2 and rest[1] != "0" and int(whole) < 100:
        yield f"{head} oh {DIGITS[int(rest[1])]}", 0.2


def _tails(rest: str) -> Iterator[tuple[str, float]]:
    digits = [DIGITS[int(mark)] for mark in rest]
    yield " ".join(digits), 1.0
    if "0" in rest:
        yield " ".join("oh" if mark == "0" else DIGITS[int(mark)] for mark in rest), 0.8
        if len(rest) == 2 and rest == "00":
            yield "oh zero", 0.05
            yield "zero oh", 0.05
    if len(rest) == 2 and rest[0] != "0":
        yield spell_whole(int(rest)), 0.5
    if "9" in rest:
        yield " ".join("niner" if mark == "9" else DIGITS[int(mark)] for mark in rest), 0.03
    if len(rest) == 3 and rest[0] != "0" and rest[1] != "0":
        yield f"{digits[0]} {spell_whole(int(rest[1:]))}", 0.2


def _parts(value: Decimal, unit: Unit | None) -> Iterator[tuple[str, float]]:
    """Halves and quarters anywhere, down to thirty-seconds for lengths."""
    ratio = Fraction(value)
    if ratio == Fraction(1, 2):
        yield "half a", 0.1
        yield "one half", 0.05
    if ratio.denominator == 1 or ratio >= 100:
        return
    lengths = bool(unit and unit.fractions)
    if not lengths and ratio.denominator > 2:
        return
    words = spell_fraction(value).replace("-", " ")
    if words:
        yield words, 2.0 if lengths else 0.1
    if lengths and ratio.denominator == 4 and ratio < 1 and ratio.numerator == 1:
        yield "a quarter", 0.5


def _other_units(value: Decimal, unit: Unit | None, vocabulary: Vocabulary) -> Iterator[tuple[str, float]]:
    """The same reading in the smaller unit: half a volt is 'five hundred milli volts'."""
    if unit is None:
        return
    small = {"V": "mV", "A": "mA", "in": "thou", "kohm": "ohm", "Mohm": "kohm"}.get(unit.name)
    other = vocabulary.unit(small)
    if other is None or not 0 < abs(value) < 1:
        return
    scaled = convert(value, unit, other)
    if scaled != int(scaled):
        return
    name = "thou" if other.name == "thou" else vocabulary.unsaid.get(other.plural, other.plural)
    sign = "minus " if scaled < 0 else ""
    yield f"{sign}{cardinal(abs(int(scaled)))} {name}", 0.1
