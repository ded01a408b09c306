"""How a value is said: every form of some values, written down by hand, the usual ones before the rare ones.

The tables are how people read figures aloud in American shops ('common practice, no source'); 'niner', 'decimal' and
digits one by one are radiotelephony's (ICAO Annex 10 Volume II 5.2.1.4). A row is a list of tiers: each form of a
tier is likelier than each of the next, and no form but these is expected from the recognizer.
"""

from __future__ import annotations

from decimal import Decimal
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.catalog import load_vocabulary
from assistant.numerals.verbalizations import cardinal, sayings

VOCABULARY = load_vocabulary()

BARE: dict[str, list[str]] = {
    "0": ["zero", "oh", "nought"],
    "5": ["five"],
    "9": ["nine", "niner"],
    "10": ["ten", "one oh", "one zero"],
    "19": ["nineteen", "one nine", "one niner"],
    "20": ["twenty", "two oh", "two zero"],
    "42": ["forty two", "four two"],
    "100": ["one hundred", "one zero zero", "one oh oh", "a hundred", "one oh zero"],
    "101": [
        "one hundred one",
        "one oh one",  # as a pair, and digit by digit
        "one zero one",
        "one hundred and one",
        "a hundred and one",
    ],
    "110": [
        "one hundred ten | one ten",
        "one one zero",
        "one hundred and ten",
        "one one oh",
        "a hundred and ten",
    ],
    "199": [
        "one hundred ninety nine | one ninety nine",
        "one nine nine",
        "one hundred and ninety nine",
        "a hundred and ninety nine",
        "one niner niner",
    ],
    "200": ["two hundred", "two zero zero", "two oh oh", "two oh zero"],
    "1000": ["one thousand | ten hundred", "one zero zero zero", "one oh oh oh", "a thousand", "one oh oh zero"],
    "1001": [
        "one thousand one | ten hundred one",
        "ten oh one",
        "ten hundred and one | one zero zero one",
        "one thousand and one",
        "one oh oh one",
        "ten zero one",
    ],
    "2000": ["two thousand", "two zero zero zero", "two oh oh oh", "two oh oh zero"],
    "2100": [
        "two thousand one hundred | twenty one hundred",
        "two one zero zero",
        "two one oh oh",
        "two one oh zero",
    ],
    "1180": [
        "one thousand one hundred eighty | eleven hundred eighty | eleven eighty",
        "eleven hundred and eighty | one one eight zero",
        "one thousand one hundred and eighty",
        "one one eight oh",
    ],
    "12.6": ["twelve point six", "one two point six", "twelve decimal six"],
    "2.9": ["two point nine", "two point niner"],
    "0.6": ["zero point six", "point six", "oh point six", "nought point six | zero decimal six"],
    "4.05": ["four point zero five", "four point oh five", "four decimal zero five"],
    "4.25": ["four point two five", "four point twenty five", "four decimal two five"],
    "1.234": ["one point two three four", "one point two thirty four", "one decimal two three four"],
    "1.5": ["one point five", "one and a half", "one decimal five"],
}  # fmt: skip
"""Of a bare number; forms of one tier are divided by bars."""

OHMS = {
    "99": ["ninety nine", "nine nine", "niner niner"],
    "2000": ["two thousand", "two zero zero zero", "two oh oh oh | two k", "two oh oh zero"],
    "1500": [
        "one thousand five hundred | fifteen hundred",
        "one five zero zero",
        "one five oh oh | one point five k",
        "one five oh zero",
        "one and a half thousand",
        "one decimal five k",
    ],
    "100": [
        "one hundred",
        "one zero zero",
        "one oh oh | zero point one k",
        "point one k",
        "a hundred",
        "one oh zero",
        "oh point one k",
        "nought point one k | zero decimal one k",
    ],
}
VOLTS = {
    "12.6": ["twelve point six", "twelve six", "one two point six", "twelve decimal six"],
    "20.6": ["twenty point six", "two zero point six", "twenty decimal six"],  # 'twenty six' is 26
    "10.6": ["ten point six", "ten six", "one zero point six", "ten decimal six"],
    "9.6": ["nine point six", "nine decimal six"],  # 'nine six' is 96
    "12.05": [
        "twelve point zero five",
        "twelve point oh five",
        "twelve oh five | one two point zero five",
        "one two point oh five",
        "twelve decimal zero five",
    ],
    "12.45": [
        "twelve point four five",
        "twelve point forty five",
        "twelve forty five",
        "one two point four five",
        "one two point forty five",
        "twelve decimal four five",
    ],
}
"""Where the point is often left out."""


def forms(value: str, unit: str | None, resolution: str | None = None) -> dict[str, float]:
    """Each way to say a value without its unit."""
    found = sayings(Decimal(value), unit, VOCABULARY, Decimal(resolution) if resolution else None)
    known = VOCABULARY.unit(unit)
    name = VOCABULARY.unsaid.get(known.plural, known.plural) if known else ""
    return {one.words: one.weight for one in found if not name or not one.words.endswith(f" {name}")}


ROWS = [
    (unit, value, tiers)
    for unit, table in ((None, BARE), ("ohm", OHMS), ("V", VOLTS))
    for value, tiers in table.items()
]


@pytest.mark.parametrize(("unit", "value", "tiers"), ROWS, ids=str)
def test_the_forms_of_a_value_are_these_in_this_order(unit: str | None, value: str, tiers: list[str]) -> None:
    found = forms(value, unit)
    wanted = [tier.split(" | ") for tier in tiers]
    assert set(found) == {form for tier in wanted for form in tier}
    for usual, rarer in pairwise(wanted):
        assert min(found[form] for form in usual) > max(found[form] for form in rarer), (usual, rarer)


def test_with_the_unit_or_without_is_as_usual_and_two_digits_one_by_one_are_rare() -> None:
    found = {one.words: one.weight for one in sayings(Decimal(12), "V", VOCABULARY)}
    assert found["twelve volts"] == found["twelve"]
    assert forms("99", None)["nine nine"] < forms("100", None)["one zero zero"] / 2


@pytest.mark.parametrize(
    ("value", "unit", "said", "not_said"),
    [
        ("1", "V", "one volt", "one volts"),
        ("-1", "V", "minus one volt", "minus one volts"),
        ("2", "V", "two volts", "two volt"),
        ("0.5", "V", "half a volt", "half a volts"),
        ("0.5", "in", "half an inch", "half a inch"),
        ("0.25", "in", "a quarter inch", "a quarter inches"),
        ("0.5", "V", "five hundred milli volts", "zero point five milli volts"),
        ("-0.2", "V", "minus two hundred milli volts", "two hundred milli volts"),
        ("0.5", "in", "five hundred thou", "five hundred thous"),
        ("0.47", "kohm", "four hundred seventy ohms", "four hundred seventy k"),
        ("3", "psi", "three p s i", "three psi"),
    ],
)
def test_units_are_said_as_people_say_them(value: str, unit: str, said: str, not_said: str) -> None:
    found = {one.words for one in sayings(Decimal(value), unit, VOCABULARY)}
    assert said in found
    assert not_said not in found


@pytest.mark.parametrize(
    ("value", "unit"),
    [("1", "V"), ("1.5", "V"), ("0", "V"), ("0.0005", "V"), ("-1", "V"), ("12", "in"), ("0.5", "psi"), ("0.5", None)],
)
def test_the_smaller_unit_is_said_of_whole_ones_below_one_alone(value: str, unit: str | None) -> None:
    """Nobody reads 1.5 V as fifteen hundred millivolts, or half a millivolt at all."""
    found = {one.words for one in sayings(Decimal(value), unit, VOCABULARY)}
    assert not [words for words in found if "milli" in words or words.endswith(" thou")]


@pytest.mark.parametrize(("value", "unit"), [("0.5", "V"), ("-0.2", "V"), ("0.5", "in"), ("0.47", "kohm")])
def test_the_smaller_unit_is_rarer_than_the_units_own_words(value: str, unit: str) -> None:
    found = {one.words: one.weight for one in sayings(Decimal(value), unit, VOCABULARY)}
    smaller = [words for words in found if words.endswith((" milli volts", " thou", " ohms")) and " k" not in words]
    assert smaller
    assert max(found.values()) > max(found[words] for words in smaller)


@pytest.mark.parametrize(("value", "said"), [("99.05", True), ("100.05", False), ("101.05", False), ("9.05", True)])
def test_a_zero_behind_a_point_that_is_left_out_is_said_of_one_or_two_digits(value: str, said: bool) -> None:
    """'One hundred oh five' is 105."""
    assert any(words.endswith(" oh five") and "point" not in words for words in forms(value, "V")) is said


def test_a_length_is_said_in_fractions_down_to_thirty_seconds() -> None:
    inches = forms("1.375", "in")
    assert inches["one and three eighths"] > inches["one point three seven five"]
    assert "one and three eighths" not in forms("1.375", "V")
    assert "one and a half" in forms("1.5", "psi")
    assert "one half" in forms("0.5", "in")
    assert "a quarter" in forms("0.25", "in")
    assert "a quarter" not in forms("0.75", "in")
    assert "a quarter" not in forms("1.25", "in")
    assert "ninety nine and a half" in forms("99.5", "psi")
    assert "one hundred and a half" not in forms("100.5", "psi")


def test_half_a_thousand_more_is_said_of_any_number_of_thousands() -> None:
    """In whole words also above a hundred: 'one fifty and a half thousand' says nobody."""
    assert [one for one in forms("12500", "ohm") if "half" in one] == ["twelve and a half thousand"]
    assert [one for one in forms("150500", "ohm") if "half" in one] == ["one hundred fifty and a half thousand"]


def test_the_zeros_that_the_display_shows_may_be_said() -> None:
    """And none that it does not show."""
    assert {"twelve point five zero", "twelve point fifty", "twelve fifty"} <= set(forms("12.5", "V", "0.01"))
    assert "twelve fifty" not in forms("12.5", "ohm", "0.01")
    assert forms("12.5", "V", "0.1") == forms("12.5", "V")
    assert {"twelve point zero", "twelve point oh"} <= set(forms("12", "V", "0.1"))
    assert {"twelve point oh oh", "twelve point oh zero", "twelve point zero oh"} <= set(forms("12", "V", "0.01"))
    assert "twelve oh oh" not in forms("12", "V", "0.01")
    assert forms("12", "V", "1") == forms("12", "V")


def test_below_zero_is_minus_more_often_than_negative_and_never_a_half_a() -> None:
    found = forms("-0.5", "V")
    assert found["minus point five"] > found["negative point five"]
    assert not [words for words in found if words.split()[1] in ("half", "a", "three")]
    plain = forms("0.5", "V")
    assert {words.partition(" ")[2] for words in found} <= set(plain)


@given(st.integers(0, 99_999), st.sampled_from([None, "ohm", "V", "psi", "in", "kohm"]))
def test_nobody_who_says_another_number_is_taken_for_this_one(number: int, unit: str | None) -> None:
    """Property: a plain cardinal among a value's forms is that value's own, whatever point may be left out."""
    value = Decimal(number) / 100
    found = forms(str(value), unit)
    assert all(0 < weight <= 2 for weight in found.values())
    for other in {int(str(number).rstrip("0") or "0"), number // 10, number, int(value), int(value) + 1}:
        if value != other and other > 99:
            assert cardinal(other) not in found
        if value != other and other % 10 and 20 < other < 100:
            assert cardinal(other) not in found
