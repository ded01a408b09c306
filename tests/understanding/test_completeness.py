"""A beginning that was cut off is joined with what comes next and asked about; two values are never glued."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.catalog import load_vocabulary
from assistant.messages import Ask, Command, Expectation, Expects, Outcome
from assistant.understanding.completeness import Sofar, joined, so_far
from assistant.understanding.interpret import understand

VOCABULARY = load_vocabulary()
OHMS = Expectation(Expects.READING, unit="ohm", low=Decimal(900), high=Decimal(1400))
VOLTS = Expectation(Expects.READING, unit="V", low=Decimal(10), high=Decimal(14))


@pytest.mark.parametrize(
    ("before", "after", "prompt", "value"),
    [
        ("twelve point", "six volts", VOLTS, "12.6"),
        ("twelve point", "four two", VOLTS, "12.42"),
        ("one point", "one eight k", OHMS, "1180"),
        ("eleven hundred and", "eighty ohms", OHMS, "1180"),
        ("minus", "point two volts", VOLTS, "-0.2"),
    ],
)
def test_a_cut_off_beginning_is_joined_and_asked_about(
    before: str, after: str, prompt: Expectation, value: str
) -> None:
    found = joined(understand(before, prompt, VOCABULARY), after, prompt, VOCABULARY)
    assert (found.outcome, found.value, found.confirm) == (Outcome.READING, Decimal(value), True)
    assert found.ask is not None
    assert found.ask.ask is Ask.IS_IT_VALUE


@pytest.mark.parametrize(
    ("before", "after", "value"),
    [
        ("twelve hundred", "fifty", "50"),
        ("twelve hundred ohms", "eleven eighty ohms", "1180"),
        ("one point", "twelve hundred and two ohms", "1202"),
    ],
)
def test_two_values_are_never_glued(before: str, after: str, value: str) -> None:
    found = joined(understand(before, OHMS, VOCABULARY), after, OHMS, VOCABULARY)
    assert found.value == Decimal(value)


def test_a_command_after_a_beginning_is_the_command() -> None:
    found = joined(understand("one point", OHMS, VOCABULARY), "scratch that", OHMS, VOCABULARY)
    assert (found.outcome, found.command) == (Outcome.COMMAND, Command.WITHDRAW)


def test_a_display_after_a_beginning_is_the_display() -> None:
    found = joined(understand("one point", OHMS, VOCABULARY), "o l", OHMS, VOCABULARY)
    assert found.outcome is Outcome.OVER_RANGE


def test_a_repeated_beginning_is_taken_as_said_the_second_time() -> None:
    """'One point' ... 'one point eight k' is 1.8 k and not a number with two points."""
    found = joined(understand("one point", OHMS, VOCABULARY), "one point eight k", OHMS, VOCABULARY)
    assert found.value == 1800


@pytest.mark.parametrize(
    ("words", "prompt", "told"),
    [
        ("no", OHMS, Sofar.MAY_GO_ON),
        ("no", Expectation(Expects.COMMAND), Sofar.WHOLE),
        ("yes", OHMS, Sofar.WHOLE),
        ("next", Expectation(Expects.COMMAND), Sofar.WHOLE),
        ("hold", OHMS, Sofar.WHOLE),
        ("what", OHMS, Sofar.MAY_GO_ON),
    ],
)
def test_a_longer_way_to_say_the_same_is_not_waited_for(words: str, prompt: Expectation, told: Sofar) -> None:
    """Behind 'no' a reading may follow where one is asked for; 'what' may become 'what is left'."""
    assert so_far(words, prompt, VOCABULARY) is told
