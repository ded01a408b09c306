"""Ways to say or type one number, each with its values and whether a yes is wanted: written down by hand.

How people read figures aloud is 'common practice, no source'; what a vulgar fraction amounts to is Unicode's.
"""

from __future__ import annotations

import unicodedata
from fractions import Fraction

import pytest

from assistant.catalog import load_vocabulary
from assistant.numerals.number_parser import number_spans
from assistant.numerals.readback import spell_fraction
from assistant.numerals.tokenizer import scan
from assistant.numerals.units import to_decimal
from assistant.understanding.values.number_spans import tidy

VOCABULARY = load_vocabulary()


def shown(words: str, unit: str | None = None, *, implied: bool = False) -> list[str]:
    """Each span as its values, with why in brackets where a yes is wanted, and the unit that was said with it."""
    found = []
    for span in number_spans(tidy(scan(words, VOCABULARY)), VOCABULARY, VOCABULARY.unit(unit), implied=implied):
        values = [f"{value}{f' [{why}]' if why else ''}" for value, why in span.meanings]
        several = f"two numbers: {', '.join(map(str, span.several))}" if span.several else "no number"
        found.append(" or ".join(values) + (f" {span.unit.name}" if span.unit else "") if values else several)
    return found


POINT_LEFT_OUT = {
    "twelve six": "126 [unusual] or 12.6 [implied]",
    "twelve forty two": "1242 or 12.42 [implied]",
    "twelve oh five": "1205 or 12.05 [unusual]",
    "one two six": "126 or 1.26 [implied] or 12.6 [implied]",
    "ten six": "106 [unusual] or 10.6 [unusual]",
    "twenty six": "26",
    "eleven five": "115 [unusual] or 11.5 [implied]",
    "zero four seven": "47 [unusual] or 0.47 [implied]",
}
"""At a prompt for volts, where people leave the point out."""
NO_POINT_LEFT_OUT = {
    "twelve forty two": "1242",
    "twelve oh five": "1205",
    "one two six": "126",
    "twenty six": "26",
    # shapes that no whole number has are asked about anywhere
    "twelve six": "126 [unusual] or 12.6 [implied]",
    "zero four seven": "47 [unusual] or 0.47 [implied]",
    "zero eleven": "11 [unusual] or 0.11 [implied]",
    "zero four seven five": "475 [unusual]",
}
SPOKEN = {
    "a hundred": "100",
    "a hundred twenty": "120",
    "a hundred and five": "105",
    "a thousand two hundred": "1200",
    "hundred": "100",
    "thousand five": "1005",
    "twelve hundred": "1200",
    "thirty two hundred": "3200",
    "ten hundred": "1000",
    "twenty hundred": "2000 [unusual]",
    "one hundred oh five": "105",
    "one thousand oh five": "1005",
    "one thousand oh oh five": "1005",
    "two thousand one two": "2012 [unusual]",
    "two thousand zero eleven": "2011",
    "one thousand one two three": "1123 [unusual]",
    "two thousand and": "no number",
    "two hundred hundred": "no number",
    "five thousand six thousand": "two numbers: 5000, 6000",
    "seven a hundred": "two numbers: 7, 100",
    "two k": "2000",
    "a k": "1000",
    "k five": "no number",
    "thousand five hundred": "1500",
    "two three hundredths": "0.23",
    "two five thousandths": "0.025",
    "one point two k": "1200",
    "one k eight": "1008 or 1800 [unusual]",
    "five hundred milli": "0.500",
    "point five": "0.5",
    "twelve point": "no number",
    "two point point five": "no number",
    "one point two point five": "two numbers: 1.2, 0.5",
    "two point five": "2.5",
    "two point twenty five": "2.25",
    "two point oh five": "2.05",
    "half a": "0.5",
    "one and a half": "1.5",
    "two and three eighths": "2.375",
    "two three eighths": "2.375 [unusual]",
    "three quarters": "0.75",
    "three sixteenths": "0.1875",
    "one and a half thousand": "1500",
    "two and a half hundred": "250",
    "one third": "0.333333333333333 [unusual]",
    "seven and one": "no number",
    "one two three four five six": "123456",
    "one two three four five six seven": "1234567 [unusual]",
    "one two three four five six seven eight nine": "123456789 [unusual]",
    "one two three four five six seven eight nine one": "no number",
    "eleven eighty": "1180",
    "eleven zero five": "1105",
    "twenty five twenty six": "2526",
    "eleven eleven five": "11115 [unusual]",
    "two two eleven": "2211 [unusual]",
    "double five": "55",
    "triple nine": "999",
    "double oh seven": "7 [unusual] or 0.07 [implied]",
    "twelve forty twelve forty": "1240 [repeat]",
    "minus twelve": "-12",
    "minus": "no number",
    "plus twelve": "12",
}
TYPED = {
    "+5": "5",
    "+ 5": "5",
    "+.5": "0.5",
    "-5": "-5",
    "- 5": "-5",
    "-.5": "-0.5",
    "\N{MINUS SIGN}5": "-5",
    "12.5V": "12.5 V",
    "1.5 mA": "1.5 mA",
    "2k": "2000",
    "2 k": "2000",
    "2kΩ": "2 kohm",
    "1k8": "1800",
    "4R7": "4.7 ohm",
    "5V2": "5.2 V",
    "75 °F": "75 degF",
    "75°": "75 degF",
    "1,200": "1200",
    "12,400.5": "12400.5",
    "12,5": "12.5 [comma]",
    "1,20": "1.20 [comma]",
    "1.200,5": "1200.5 [comma]",
    "12 400": "12400 [unusual]",
    "1 200 300": "1200300 [unusual]",
    "12 40": "1240 [unusual]",
    "1 2 0 0": "1200",
    "012 400": "two numbers: 12, 400",
    "12 4000": "two numbers: 12, 4000",
    "200 and 5": "205",
    "200 and 500": "no number",
    "200 and 0": "no number",
    "20 point 5": "20.5",
    "point 5": "0.5",
    "2 hundred": "200",
    "5 milli": "0.005 [unusual]",
    "1 1/2": "1.5",
    "1½": "1.5",
    "5 and 1/2": "5.5",
    "1/2": "0.5",
    "7/32 inch": "0.21875 in",
    "1/3": "0.333333333333333 [unusual]",
    "12.": "12",
    "0012": "12",
}


@pytest.mark.parametrize(("words", "values"), POINT_LEFT_OUT.items(), ids=str)
def test_a_point_that_may_be_left_out(words: str, values: str) -> None:
    assert shown(words, "V", implied=True) == [values]


@pytest.mark.parametrize(("words", "values"), NO_POINT_LEFT_OUT.items(), ids=str)
def test_a_point_that_is_not_left_out_here(words: str, values: str) -> None:
    assert shown(words, "ohm") == [values]


@pytest.mark.parametrize(("words", "values"), [*SPOKEN.items(), *TYPED.items()], ids=str)
def test_one_number(words: str, values: str) -> None:
    assert shown(words) == [values]


def test_what_is_no_number_at_all() -> None:
    assert shown("1/0") == []
    assert shown("°") == []
    assert shown("5-7") == shown("5 - 7") == ["5", "7"]
    assert shown("5+") == ["5"]
    assert shown("12:30") == shown("12*30") == ["12", "30"]  # a sign between digits parts them


VULGAR = [sign for sign in map(chr, range(0xBC, 0x2190)) if "VULGAR FRACTION" in unicodedata.name(sign, "")]


@pytest.mark.parametrize("sign", VULGAR)
def test_a_vulgar_fraction_is_what_unicode_says(sign: str) -> None:
    """Alone and behind a whole number, which must never be left standing without it."""
    value = Fraction(unicodedata.numeric(sign)).limit_denominator(100)
    ends = value.denominator in (1, 2, 4, 5, 8, 10)
    assert shown(sign) == [f"{to_decimal(value)}{'' if ends else ' [unusual]'}"]
    if value:
        assert [one.split()[0] for one in shown(f"2{sign}")] == [str(to_decimal(2 + value))]


@pytest.mark.parametrize("bottom", [2, 4, 8, 16, 32])
def test_a_spelled_fraction_names_its_own_denominator(bottom: int) -> None:
    names = {2: "half", 4: "quarter", 8: "eighth", 16: "sixteenth", 32: "thirty-second"}
    spelled = spell_fraction(to_decimal(Fraction(1, bottom)))
    assert spelled is not None
    assert spelled.endswith(names[bottom])
