"""A reading in a story is asked about and never counts without a yes; what is no reading is not offered."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.catalog import load_vocabulary
from assistant.messages import Expectation, Expects, Hypothesis, Outcome, Understanding
from assistant.understanding.interpret import interpret

VOCABULARY = load_vocabulary()
OHMS = Expectation(Expects.READING, unit="ohm", low=Decimal(900), high=Decimal(1400), over_range="bad")
VOLTS = Expectation(Expects.READING, unit="V", low=Decimal("4.5"), high=Decimal("5.5"))
DROP = Expectation(Expects.READING, unit="V", high=Decimal("0.5"))
INCHES = Expectation(Expects.READING, unit="in", high=Decimal(2))
TREAD = Expectation(Expects.READING, unit="32nds", low=Decimal(4))


def typed(text: str, prompt: Expectation) -> Understanding:
    return interpret((Hypothesis(text),), prompt, VOCABULARY)


@pytest.mark.parametrize(
    ("text", "prompt", "value"),
    [
        ("twelve ten, is that what you were after", OHMS, "1210"),
        ("zonked cable I figured but it's only point oh six", DROP, "0.06"),
        ("I'd have guessed nine hundred, hang on, the clip slipped, so eleven twenty", OHMS, "1120"),
        ("three point, how do you say, four point seven", VOLTS, "4.7"),
        ("one point two and there's a little k next to it", OHMS, "1200"),
        ("two hundred sixty with a little m and a big V after it", DROP, "0.26"),
        ("the worst groove there is six over thirty two", TREAD, "6"),
        ("whatever it is, one inch plus three eighths maybe", INCHES, "1.375"),
    ],
)
def test_the_value_is_asked_about(text: str, prompt: Expectation, value: str) -> None:
    found = typed(text, prompt)
    assert (found.value, found.confirm) == (Decimal(value), True), found


def test_two_ends_of_a_display_that_wavers() -> None:
    found = typed("the last number keeps flipping, four point eight, four point nine, back and forth", VOLTS)
    assert found.outcome in (Outcome.UNSTEADY, Outcome.RANGE)
    assert (found.low_end, found.high_end) == (Decimal("4.8"), Decimal("4.9"))


@pytest.mark.parametrize(
    "text",
    [
        "twelve hundred, no no no", "the book, it should be twelve hundred", "how much must it be, twelve hundred?",
        "nine hundred, eleven hundred, who knows",
        "five would be nice", "hand me the twelve hundred thing, would you",
    ],
)  # fmt: skip
def test_what_is_no_reading_is_not_offered(text: str) -> None:
    assert typed(text, OHMS).outcome is not Outcome.READING


def test_of_two_scales_the_one_that_is_bad() -> None:
    bare = typed("one point nine", DROP)
    judged = typed("one point nine. too much.", DROP)
    assert judged.confirm
    assert judged.value == Decimal("1.9") or bare.outcome is not Outcome.CHOOSE


def test_nothing_is_offered_of_what_was_heard() -> None:
    """By voice free talk that is not understood is never forced into a number."""
    heard = (Hypothesis("it should be twelve hundred but who said eleven", 0.0), Hypothesis("[unclear]", -9.0))
    assert interpret(heard, OHMS, VOCABULARY, snr_db=25.0).outcome is not Outcome.READING
