"""Limits, values, places and times in words: one form for every screen and record."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from assistant.messages import Grade, Remark, RemarkKind
from assistant.numerals.vocabulary import Vocabulary
from assistant.phrasing.verdicts import graded, mark_of, verdict_word
from assistant.phrasing.wording import (
    at_place,
    clock,
    limits,
    miles,
    minutes,
    placed_once,
    read,
    stamp,
    wall,
    without_thousands,
)
from tests.records.samples import observed


@pytest.mark.parametrize(
    ("low", "high", "unit", "words"),
    [
        ("700", "3000", "ohm", "700 to 3,000 ohms"),
        ("100000", None, "ohm", "at least 100,000 ohms"),
        (None, "0.5", "V", "at most 0.5 V"),
        ("9.5", None, "V", "at least 9.5 V"),
        ("55", "60", "psi", "55 to 60 psi"),
        ("-40", "120", "degF", "-40 to 120°F"),
        (None, "1", "ohm", "at most 1 ohm"),
        (None, "3", "count", "at most 3"),
        ("4", "6", None, "4 to 6"),
        (None, None, "ohm", ""),
    ],
)
def test_limits_in_words(
    low: str | None, high: str | None, unit: str | None, words: str, vocabulary: Vocabulary
) -> None:
    """United States English: a comma in thousands, symbols for volts, names for ohms (common practice, no source)."""
    bottom, top = (None if end is None else Decimal(end) for end in (low, high))
    assert limits(bottom, top, unit, vocabulary) == words
    assert limits(bottom, top, unit) == words


def test_what_was_read(vocabulary: Vocabulary) -> None:
    reading = observed(value="4210", grade=Grade.BAD_HIGH)
    assert read(reading, vocabulary) == "4,210 ohms"
    assert read(reading, vocabulary, named=False) == "4,210"
    assert read(replace(reading, approximate=True), vocabulary) == "about 4,210 ohms"
    assert read(replace(reading, value=None), vocabulary) == "no value"
    wandering = replace(reading, value=None, display="unsteady", low_end=Decimal(400), high_end=Decimal(2000))
    assert read(wandering, vocabulary) == "unsteady, 400 to 2,000 ohms"
    assert read(replace(wandering, display="over_range", low_end=None), vocabulary) == "over range"


@pytest.mark.parametrize(
    ("grade", "display", "words", "mark"),
    [
        (Grade.GOOD, "", "good", "good"), (Grade.BAD_LOW, "", "too low", "bad"),
        (Grade.BAD_HIGH, "", "too high", "bad"),
        (Grade.TOO_CLOSE, "", "too close to call", "close"), (Grade.GOOD, "over_range", "good", "good"),
        (Grade.BAD_HIGH, "over_range", "out of limits", "bad"), (Grade.TOO_CLOSE, "unsteady", "no verdict", "close"),
    ],
)  # fmt: skip
def test_a_verdict_in_a_word(grade: Grade, display: str, words: str, mark: str) -> None:
    """A display without a number is neither high nor low."""
    seen = replace(observed(grade=grade, value="1200"), display=display)
    assert seen.verdict is not None
    assert verdict_word(grade, display=bool(display)) == words
    assert graded(seen) == words
    odd = replace(seen.verdict, remarks=(Remark(RemarkKind.NOT_CORRECTED),))
    assert graded(replace(seen, verdict=odd)) == words, "what is odd stands below, not behind the word"
    assert mark_of(seen) == mark
    assert (graded(replace(seen, verdict=None)), mark_of(replace(seen, verdict=None))) == ("", "")


def test_places_and_times() -> None:
    assert (at_place("open wire", "left rear"), at_place("open wire", None)) == ("open wire, left rear", "open wire")
    assert [clock(at) for at in (0, 61.9, 3723)] == ["00:00", "01:01", "62:03"]
    assert [minutes(spent) for spent in (0, 0.4, 12.4)] == ["0 minutes", "under 1 minute", "12 minutes"]
    assert [minutes(1), minutes(1.4), minutes(1.6)] == ["1 minute", "1 minute", "2 minutes"]
    assert wall("2026-01-31T14:23:05-05:00") == "January 31, 2026, 2:23 p.m. (UTC-05:00)"
    hours = ("00:05", "11:59", "12:00", "23:01")
    told = [stamp(f"2026-01-31T{hour}:00-05:00").rpartition(", ")[2] for hour in hours]
    assert told == ["12:05 a.m.", "11:59 a.m.", "12:00 p.m.", "11:01 p.m."]
    assert stamp("2026-01-31T14:23:05") == "Jan 31, 2026, 2:23 p.m."
    assert (wall("some day"), wall("")) == ("some day", "not known")


@pytest.mark.parametrize(
    ("given", "shown"),
    [
        ("312450", "312,450 miles"), ("312,450", "312,450 miles"), ("980", "980 miles"), ("1204.5", "1,204.5 miles"),
        ("about 300 thousand", "about 300 thousand"), ("", ""),
    ],
)  # fmt: skip
def test_an_odometer_has_its_comma_and_its_unit(given: str, shown: str) -> None:
    assert miles(given) == shown


def test_a_figure_is_found_with_or_without_its_comma() -> None:
    assert without_thousands("4,210 ohms, 700 to 3,000,000") == "4210 ohms, 700 to 3000000"
    assert without_thousands("pins 1,2 and 12,3456") == "pins 1,2 and 12,3456"


def test_a_place_is_said_once_for_items_in_a_row() -> None:
    items = ("left rear plug seated", "left rear drum on", "right rear plug seated", "cord in")
    said = placed_once(items, ("left rear", "right rear"))
    assert said == ("left rear plug seated", "drum on", "right rear plug seated", "cord in")
