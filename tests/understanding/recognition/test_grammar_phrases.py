"""What the recognizer listens for: sayable values far beyond the limits, displays, commands, the unknown word."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.catalog import load_vocabulary
from assistant.messages import Choice, Expectation, Expects, Outcome
from assistant.understanding.recognition.grammar_phrases import grammar_words, phrase_list
from assistant.understanding.utterance import understand

VOCABULARY = load_vocabulary()
OHMS = Expectation(Expects.READING, unit="ohm", low=Decimal(900), high=Decimal(1400))


@pytest.mark.parametrize("unit", list(VOCABULARY.units))
def test_every_phrase_of_a_prompt_means_something_there(unit: str) -> None:
    """Nothing is listened for that would not be understood, and every word is in the vocabulary."""
    prompt = Expectation(Expects.READING, unit=unit)
    known = grammar_words(VOCABULARY)
    for phrase in sorted(set(phrase_list(prompt, VOCABULARY)))[::23]:
        if phrase == "[unclear]":
            continue
        assert understand(phrase, prompt, VOCABULARY).outcome is not Outcome.NOT_UNDERSTOOD, phrase
        assert set(phrase.split()) <= known | {"d", "c"}, phrase


def test_a_bad_part_is_as_sayable_as_a_good_one() -> None:
    phrases = set(phrase_list(OHMS, VOCABULARY))
    readings = [understand(phrase, OHMS, VOCABULARY).value for phrase in list(phrases)[::7]]
    values = [value for value in readings if value is not None]
    assert sum(value < 900 or value > 1400 for value in values) > len(values) / 3
    assert {"open", "o l", "nothing on the display", "say again", "[unclear]"} <= phrases


def test_the_list_is_the_same_each_time() -> None:
    assert phrase_list(OHMS, VOCABULARY) == phrase_list(OHMS, VOCABULARY)
    assert len(phrase_list(OHMS, VOCABULARY)) < 60_000


def test_choices_and_unit_numbers() -> None:
    choices = phrase_list(Expectation(Expects.CHOICE, choices=(Choice("left rear", ("lr",)),)), VOCABULARY)
    assert {"left rear", "lr", "go back", "[unclear]"} <= set(choices)
    numbers = phrase_list(Expectation(Expects.IDENTIFIER), VOCABULARY)
    assert {word for phrase in numbers for word in phrase.split()} >= {"unit", "oh", "zero", "nine", "juliet"}


@pytest.mark.parametrize("unit", list(VOCABULARY.units))
def test_number_words_are_listened_for_at_every_prompt_for_a_reading(unit: str) -> None:
    """Case A079: 'nineteen' without a list to choose from became two other words."""
    words = {
        word for phrase in phrase_list(Expectation(Expects.READING, unit=unit), VOCABULARY) for word in phrase.split()
    }
    numbers = {"one", "two", "eight", "eleven", "fourteen", "nineteen", "twenty", "zero", "oh"}
    assert numbers <= words | ({"oh"} if VOCABULARY.units[unit].whole else set())
