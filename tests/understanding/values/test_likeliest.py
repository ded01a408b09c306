"""The likeliest reading of a story is asked about, never taken; what is expected, compared or denied is none."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.catalog import load_vocabulary
from assistant.messages import Expectation, Expects, Hypothesis, Outcome
from assistant.understanding.interpret import interpret
from tests.rows import each_row

OHMS = Expectation(Expects.READING, unit="ohm", low=Decimal(700), high=Decimal(3000), over_range="bad")
VOLTS = Expectation(Expects.READING, unit="V", low=Decimal("9.6"))


@each_row([
    ("wiggled the daylights out of that plug, didn't budge, stayed at eleven sixty the whole time", OHMS, "1160"),
    ("had my lunch, let it cool like you said and now she's sitting at nine eighty", OHMS, "980"),
    ("twenty seconds on the watch and right at the end it was at ten point two", VOLTS, "10.2"),
    ("you won't like it but I'm pulling ten point one out of this one", VOLTS, "10.1"),
])  # fmt: skip
def test_one_number_of_a_story_is_offered(said: str, prompt: Expectation, value: str) -> None:
    found = interpret([Hypothesis(said)], prompt, load_vocabulary())
    assert (found.value, found.confirm) == (Decimal(value), True), found


@pytest.mark.parametrize("said", [
    "I figured it would be around eleven sixty", "tell the boss it's gonna be twelve hundred bucks",
    "the book says it should be over twelve hundred", "better than nine hundred I hope",
    "it was eleven sixty yesterday", "eleven sixty, no no no",
    "somebody wrote pin twelve on here", "I need ten minutes",
])  # fmt: skip
def test_what_is_no_reading_is_not_offered(said: str) -> None:
    found = interpret([Hypothesis(said)], OHMS, load_vocabulary())
    assert found.outcome is not Outcome.READING, found


def test_what_was_heard_is_never_made_a_number_of() -> None:
    said = "had my lunch, let it cool like you said and now she's sitting at nine eighty"
    found = interpret([Hypothesis(said)], OHMS, load_vocabulary(), snr_db=15.0)
    assert found.outcome is not Outcome.READING, found
