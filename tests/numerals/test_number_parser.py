"""Number words -> values: radiotelephony forms, num2words in both directions, rows that must have no value."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from num2words import num2words

from assistant.catalog import load_vocabulary
from assistant.messages import Expectation, Expects
from assistant.numerals.number_parser import meanings, parser, split_values
from assistant.numerals.tokenizer import scan
from assistant.numerals.verbalizations import cardinal, sayings
from assistant.understanding.interpret import understand

VOCABULARY = load_vocabulary()
WIDE = Expectation(Expects.READING, unit="ohm", span=(Decimal(0), Decimal(100_000)))
VOLTS = Expectation(Expects.READING, unit="V")
parse, parse_with_points_left_out = parser(VOCABULARY), parser(VOCABULARY, implied=True)


def plain_values(words: str) -> list[str]:
    return [str(value) for value, why in parse(words) if not why]


# FACTS 6.1 to 6.8: ICAO Annex 10 Volume II 5.2.1.4, FAA AIM 4-2-8 and 4-2-11, FAA JO 7110.65 2-4-17 and 2-4-18
RADIO = [
    ("6.1", "one zero", "10"),
    ("6.1", "two three eight", "238"),
    ("6.2", "eight hundred", "800"),
    ("6.2", "three thousand four hundred", "3400"),
    ("6.2", "one two thousand", "12000"),
    ("6.3", "five hundred", "500"),
    ("6.3", "four thousand five hundred", "4500"),
    ("6.4", "one zero thousand", "10000"),
    ("6.4", "one three thousand five hundred", "13500"),
    ("6.5", "one two two point one", "122.1"),
    ("6.5", "one two two decimal one", "122.1"),
    ("6.6", "point six four", "0.64"),
    ("6.6", "one point five", "1.5"),
    ("6.7", "one one four niner five", "11495"),
    ("6.7", "two zero zero six niner", "20069"),
    ("6.8", "seventeen thousand niner hundred", "17900"),
    ("6.8", "one two six point five five", "126.55"),
    ("6.8", "one twenty six point fifty five", "126.55"),
    ("6.8", "two niner niner two", "2992"),
    ("6.8", "twenty nine ninety two", "2992"),
]


@pytest.mark.parametrize(("fact", "words", "value"), RADIO, ids=str)
def test_radiotelephony(fact: str, words: str, value: str) -> None:
    del fact
    found = parse(words)
    assert str(found[0][0]) == value
    assert len({one for one, _ in found}) == 1


@pytest.mark.parametrize("word", [word for word, (kind, _) in VOCABULARY.numbers.items() if kind == "D"])
def test_every_digit_word_alone_and_in_a_row(word: str) -> None:
    """A011: each digit word and each of its other names; ITU code words are from memory (FACTS 6.10)."""
    digit = VOCABULARY.numbers[word][1]
    assert plain_values(word) == [str(digit)]
    assert plain_values(f"one {word} seven") == [f"1{digit}7"]
    assert plain_values(f"twelve point {word}") == [f"12.{digit}"]


# reason -> phrases that must have no plain value
MUST_FAIL = {
    "open end": ["twelve point", "one hundred and", "point", "minus", "and", "double"],
    "two points": ["one point two point three", "point point five"],
    "two numbers": ["fourteen six twenty one", "eleven hundred twelve hundred", "one hundred two hundred"],
    "scale too often": ["one thousand two thousand", "two hundred hundred"],
    "sign inside": ["twelve minus three", "minus minus three"],
    "words left over": ["twelve bananas", "twelve ohms", "hello", ""],
    "fraction of nothing": ["five halves", "nine eighths of", "and a half"],
    "fraction said as whole": ["point five hundred", "twelve point six hundred and two"],
    "sums": ["ten five", "twelve and five"],
}


@pytest.mark.parametrize(
    ("reason", "words"), [(reason, words) for reason, rows in MUST_FAIL.items() for words in rows]
)
def test_must_have_no_plain_value(reason: str, words: str) -> None:
    assert plain_values(words) == [], reason


def test_two_numbers_are_named_and_never_glued() -> None:
    def split(words: str) -> list[str]:
        return [str(value) for value in split_values(scan(words, VOCABULARY), implied=False)]

    assert split("eleven hundred twelve hundred") == ["1100", "1200"]
    assert split("twelve forty twelve fifty") == ["1240", "1250"]
    assert split("fourteen six twenty one") == []


def check_integers(stride: int) -> None:
    """num2words, the package of that name, says an integer; we read it, and say it in the same words."""
    wrong = []
    for number in range(0, 100_000, stride):
        words = num2words(number)
        found = understand(words, WIDE, VOCABULARY)
        if found.value != number and found.values != (Decimal(1),):
            wrong.append(words)
        if cardinal(number, "and") != said_plainly(words):
            wrong.append(f"{cardinal(number, 'and')} is said {words}")
    assert not wrong, wrong[:20]


def said_plainly(words: str) -> str:
    """num2words writes commas and hyphens, which nobody says, and an 'and' after thousands for tens."""
    return words.replace(",", "").replace("-", " ")


def test_integers_of_num2words_sampled() -> None:
    check_integers(37)


@pytest.mark.sweep
def test_integers_of_num2words_all() -> None:
    check_integers(1)


def check_decimals(stride: int) -> None:
    """Every value of two decimals to 20, said by num2words, is read at a volts prompt and is one of our sayings."""
    wrong = []
    for hundredths in range(0, 2001, stride):
        value = Decimal(hundredths) / 100
        words = num2words(value)
        found = understand(words, VOLTS, VOCABULARY)
        if found.value != value or found.confirm:
            wrong.append(words)
        ours = {saying.words for saying in sayings(value, "V", VOCABULARY)}
        if said_plainly(words) not in ours and value != int(value):
            wrong.append(f"{words} is no saying of {value}")
    assert not wrong, wrong[:20]


def test_decimals_of_num2words_sampled() -> None:
    check_decimals(11)


@pytest.mark.sweep
def test_decimals_of_num2words_all() -> None:
    check_decimals(1)


@given(st.lists(st.sampled_from([*VOCABULARY.numbers, *VOCABULARY.homophones]), max_size=9))
def test_no_number_words_ever_raise(words: list[str]) -> None:
    for value, _ in parse_with_points_left_out(" ".join(words)):
        assert "E" not in str(value)


@given(st.integers(min_value=0, max_value=9_999_999))
def test_every_cardinal_returns(number: int) -> None:
    """Property: a cardinal, with or without 'and', has exactly one plain value, the number itself."""
    for joint in ("", "and"):
        assert plain_values(cardinal(number, joint)) == [str(number)]


@given(st.lists(st.sampled_from(list(VOCABULARY.quick)), min_size=1, max_size=7), st.booleans())
def test_the_short_way_agrees_with_the_full_grammar(words: list[str], implied: bool) -> None:
    """Property: a shape that was learned once gives what the grammar itself gives, digit for digit."""
    text = " ".join(words)
    short = [(str(value), why) for value, why in (parse_with_points_left_out if implied else parse)(text)]
    full = [(str(one.value), one.why) for one in meanings(scan(text, VOCABULARY), implied=implied)]
    assert short == full
