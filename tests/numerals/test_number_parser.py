"""Number words -> values: radiotelephony forms, num2words in both directions, rows that must have no value."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from num2words import num2words

from assistant.catalog import load_vocabulary
from assistant.messages import Expectation, Expects, Outcome, Understanding
from assistant.numerals.number_parser import NumberSpan, number_pairs, number_spans
from assistant.numerals.tokenizer import scan
from assistant.numerals.verbalizations import cardinal, sayings
from assistant.understanding.utterance import understand
from assistant.understanding.values.number_spans import tidy

VOCABULARY = load_vocabulary()
WIDE = Expectation(Expects.READING, unit="ohm", span=(Decimal(0), Decimal(10_000_000)))
BARE = Expectation(Expects.READING)
VOLTS = Expectation(Expects.READING, unit="V")
WIDE_VOLTS = Expectation(Expects.READING, unit="V", span=(Decimal(0), Decimal(10_000_000)))
"""A prompt where a left-out point is usual."""


def spans(words: str, *, unit: str | None = None, implied: bool = False) -> list[NumberSpan]:
    return number_spans(tidy(scan(words, VOCABULARY)), VOCABULARY, VOCABULARY.unit(unit), implied=implied)


def plain_value(words: str, prompt: Expectation = BARE) -> str | None:
    """The value that counts without a question, at a prompt for a reading."""
    found = understand(words, prompt, VOCABULARY)
    return str(found.value) if found.outcome is Outcome.READING and not found.confirm else None


def values_of(found: Understanding) -> set[str]:
    return {str(value) for value in found.values}


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


# The same facts as printed there, typed
PRINTED = [
    ("6.1", "10", "10"),
    ("6.1", "238", "238"),
    ("6.2", "3 400", "3400"),
    ("6.2", "12 000", "12000"),
    ("6.3", "4,500", "4500"),
    ("6.4", "13,500", "13500"),
    ("6.5", "122.1", "122.1"),
    ("6.6", "0.64", "0.64"),
    ("6.7", "11,495", "11495"),
    ("6.7", "20,069", "20069"),
    ("6.8", "126.55", "126.55"),
]


@pytest.mark.parametrize(("fact", "words", "value"), RADIO, ids=str)
@pytest.mark.parametrize("prompt", [WIDE, BARE], ids=["ohm", "bare"])
def test_radiotelephony(fact: str, words: str, value: str, prompt: Expectation) -> None:
    del fact
    assert plain_value(words, prompt) == value


@pytest.mark.parametrize(("fact", "words", "value"), RADIO, ids=str)
def test_radiotelephony_where_points_are_left_out(fact: str, words: str, value: str) -> None:
    """There 'twenty nine ninety two' may be 29.92 too: then it is asked, and the value is one of the two."""
    del fact
    found = understand(words, WIDE_VOLTS, VOCABULARY)
    assert value in values_of(found)
    assert found.outcome is (Outcome.READING if len(found.values) == 1 else Outcome.CHOOSE)


@pytest.mark.parametrize(("fact", "text", "value"), PRINTED, ids=str)
def test_figures_as_printed(fact: str, text: str, value: str) -> None:
    """A space between thousands is read and asked about: two readings in a row look the same."""
    del fact
    found = understand(text, WIDE, VOCABULARY)
    assert (str(found.value), found.confirm) == (value, " " in text)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("12 point 05", "12.05"),
        ("point 05", "0.05"),
        ("1 050", "1050"),
        ("12 000", "12000"),
        ("1 05", "105"),
        ("2 hundred", "200"),
        ("200 and 5", "205"),
    ],
)
def test_zeros_in_front_of_a_typed_figure_count(text: str, value: str) -> None:
    assert str(understand(text, BARE, VOCABULARY).value) == value


@pytest.mark.parametrize("first", RADIO[::3], ids=str)
@pytest.mark.parametrize("second", RADIO[1::4], ids=str)
def test_two_phrases_are_two_spans_and_two_ends(first: tuple[str, str, str], second: tuple[str, str, str]) -> None:
    """Radiotelephony phrases with 'to' between them: two spans, each with its value, and the ends of one range."""
    text = f"{first[1]} to {second[1]}"
    found = spans(text)
    assert [[str(meaning.value) for meaning in span.meanings] for span in found] == [[first[2]], [second[2]]]
    assert [" ".join(item.text for item in span.items) for span in found] == [first[1], second[1]]
    ((lows, high),) = number_pairs(scan(text, VOCABULARY), VOCABULARY, None, None, implied=False)
    assert str(lows[-1].meanings[0].value) == first[2]
    assert str(high.meanings[0].value) == second[2]


@pytest.mark.parametrize("word", [word for word, (kind, _) in VOCABULARY.numbers.items() if kind == "D"])
def test_every_digit_word_alone_and_in_a_row(word: str) -> None:
    """A011: each digit word and each of its other names; ITU code words are from memory (FACTS 6.10)."""
    digit = VOCABULARY.numbers[word][1]
    assert plain_value(word) == str(digit)
    assert plain_value(f"one {word} seven") == f"1{digit}7"
    assert plain_value(f"twelve point {word}") == f"12.{digit}"


# reason -> phrases that must have no plain value
MUST_FAIL = {
    "open end": ["twelve point", "one hundred and", "point", "minus", "and", "double"],
    "two points": ["one point two point three", "point point five"],
    "two numbers": ["fourteen six twenty one", "eleven hundred twelve hundred", "one hundred two hundred"],
    "scale too often": ["one thousand two thousand", "two hundred hundred"],
    "sign inside": ["twelve minus three", "minus minus three"],
    "words left over": ["twelve bananas", "twelve volts", "hello", ""],
    "fraction of nothing": ["five halves", "nine eighths of", "and a half"],
    "fraction said as whole": ["point five hundred", "twelve point six hundred and two"],
    "sums": ["ten five", "twelve and five"],
}


@pytest.mark.parametrize(
    ("reason", "words"), [(reason, words) for reason, rows in MUST_FAIL.items() for words in rows]
)
@pytest.mark.parametrize("prompt", [WIDE, WIDE_VOLTS, BARE], ids=["ohm", "V", "bare"])
def test_must_have_no_plain_value(reason: str, words: str, prompt: Expectation) -> None:
    if words == "twelve volts" and prompt is not WIDE:
        return  # there it is an answer
    assert plain_value(words, prompt) is None, reason


def test_two_numbers_are_named_and_never_glued() -> None:
    def several(words: str) -> list[str]:
        (span,) = spans(words)
        assert not span.meanings
        return [str(value) for value in span.several]

    assert several("eleven hundred twelve hundred") == ["1100", "1200"]
    assert several("twelve forty twelve fifty") == ["1240", "1250"]
    assert several("fourteen six twenty one") == []
    assert several("one hundred two hundred three hundred four hundred five hundred six hundred " * 2) == []


@pytest.mark.parametrize(
    ("words", "unit", "values"),
    [
        ("eleven hundred twelve hundred millivolts", "V", ["1.100", "1.200"]),
        ("jumping nine hundred millivolts to one point two volts", "V", ["0.900", "1.2"]),
        ("between nine and eleven hundred millivolts", "V", ["0.900", "1.100"]),
        ("above nine hundred millivolts and below one point two volts", "V", ["0.900", "1.2"]),
        ("jumping half three inches", "32nds", ["16", "96"]),
    ],
)
def test_both_values_are_in_the_unit_of_the_prompt(words: str, unit: str, values: list[str]) -> None:
    found = understand(words, Expectation(Expects.READING, unit=unit), VOCABULARY)
    ends = found.values or (found.low_end, found.high_end)
    assert [str(end) for end in ends] == values


def test_words_between_numbers_part_them() -> None:
    """'Eighty jumping six' is no 86."""
    found = understand("eighty jumping six", WIDE, VOCABULARY)
    assert Decimal(86) not in (*found.values, found.value, found.low_end, found.high_end)


def test_every_span_has_its_position() -> None:
    items = tidy(scan("it says twelve point five volts, and eleven hundred ohms", VOCABULARY))
    found = number_spans(items, VOCABULARY, VOCABULARY.unit("V"), implied=True)
    assert [(str(span.meanings[0].value), span.unit.name) for span in found if span.unit and span.meanings] == [
        ("12.5", "V")
    ]
    for span in found:
        assert tuple(items[span.at : span.at + len(span.items)]) == span.items


def check_integers(stride: int) -> None:
    """num2words, the package of that name, says an integer; we read it, and say it in the same words."""
    wrong = []
    for number in range(0, 100_000, stride):
        words = num2words(number)
        found = understand(words, BARE, VOCABULARY)
        # a typed comma may part two readings, so a value that goes over one is asked about
        if found.value != number or (found.confirm and "," not in words):
            wrong.append(words)
        if plain_value(said_plainly(words)) != str(number):
            wrong.append(said_plainly(words))
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


@given(st.lists(st.sampled_from([*VOCABULARY.numbers, *VOCABULARY.homophones]), max_size=9), st.booleans())
def test_no_number_words_ever_raise(words: list[str], implied: bool) -> None:
    for span in spans(" ".join(words), implied=implied):
        assert span.items
        assert not any("E" in str(value) for value, _ in span.meanings)
        assert not (span.meanings and span.several)


@given(st.integers(min_value=0, max_value=9_999_999))
def test_every_cardinal_returns(number: int) -> None:
    """Property: a cardinal, with or without 'and', has exactly one plain value, the number itself."""
    for joint in ("", "and"):
        assert plain_value(cardinal(number, joint)) == str(number)
