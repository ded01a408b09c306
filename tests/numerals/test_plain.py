"""The shortest way agrees with the full grammar: on every saying of every whole number, and on rows of any words."""

from __future__ import annotations

import itertools
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.catalog import load_vocabulary
from assistant.numerals.number_parser import meanings
from assistant.numerals.tokenizer import scan
from assistant.numerals.verbalizations import whole_sayings

VOCABULARY = load_vocabulary()
PLAIN = VOCABULARY.plain.reader(implied=False, otherwise=lambda _: ())
PLAIN_WITH_POINTS_LEFT_OUT = VOCABULARY.plain.reader(implied=True, otherwise=lambda _: ())
SAMPLE = [
    "zero",
    "oh",
    "one",
    "two",
    "nine",
    "niner",
    "ten",
    "eleven",
    "twenty",
    "thirty",
    "ninety",
    "hundred",
    "thousand",
    "million",
    "and",
    "point",
]


def agrees(words: str) -> bool:
    """Whether both ways say the same of these words, with and without points left out; nothing says nothing."""
    for implied, short in ((False, PLAIN(words)), (True, PLAIN_WITH_POINTS_LEFT_OUT(words))):
        if short and [str(short), [*short]] != [str(tuple(found := exact(words, implied))), found]:
            return False
    return True


def exact(words: str, implied: bool) -> list[tuple[Decimal, str]]:
    """What the grammar itself says."""
    return [(one.value, one.why) for one in meanings(scan(words, VOCABULARY), implied=implied)]


@pytest.mark.parametrize(
    ("words", "value"),
    [
        ("twelve thousand three hundred and five", 12305),
        ("eleven hundred eighty", 1180),
        ("twenty one forty five", 2145),
        ("twelve oh five", 1205),
        ("one one eight zero", 1180),
        ("one oh six two five", 10625),
        ("eleven eighty", 1180),
        ("five eighteen", 518),
        ("ninety", 90),
    ],
)
def test_plain_phrases_take_the_shortest_way(words: str, value: int) -> None:
    assert PLAIN(words) == ((value, ""),)


@pytest.mark.parametrize(
    "words",
    ["twenty one twenty one", "ten five", "hundred", "oh five", "twelve point six", "four five six four five six"],
)
def test_anything_that_may_mean_more_is_left_to_the_grammar(words: str) -> None:
    assert not PLAIN(words)


@pytest.mark.parametrize("words", ["twelve six", "eleven eighty", "one one eight"])
def test_where_points_are_left_out_only_scales_are_plain(words: str) -> None:
    assert not PLAIN_WITH_POINTS_LEFT_OUT(words)


def test_every_saying_to_two_thousand_agrees() -> None:
    assert [words for number in range(2_000) for words, _ in whole_sayings(number) if not agrees(words)] == []


@pytest.mark.sweep
def test_every_saying_to_a_hundred_thousand_agrees() -> None:
    assert [words for number in range(100_000) for words, _ in whole_sayings(number) if not agrees(words)] == []


def test_every_row_of_three_words_agrees() -> None:
    rows = (" ".join(row) for size in (1, 2, 3) for row in itertools.product(SAMPLE, repeat=size))
    assert [words for words in rows if not agrees(words)] == []


@given(st.lists(st.sampled_from(SAMPLE), min_size=1, max_size=8))
def test_rows_of_any_length_agree(words: list[str]) -> None:
    assert agrees(" ".join(words))
