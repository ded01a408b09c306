"""``grammars/spanish.toml``: numbers, units and places of another language are what they are in English."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.catalog import load_vocabulary
from assistant.messages import Expectation, Expects, Hypothesis
from assistant.understanding.interpret import interpret
from assistant.understanding.spanish import in_english
from tests.rows import each_row

VOCABULARY = load_vocabulary()
OHMS = Expectation(Expects.READING, unit="ohm")
VOLTS = Expectation(Expects.READING, unit="V", low=Decimal(4))
INCHES = Expectation(Expects.READING, unit="in")


@each_row(list(VOCABULARY.spanish.items()))
def test_word(word: str, english: str) -> None:
    said = in_english(f"tres {word} dos", VOCABULARY)
    assert said.split()[0] == "three"
    assert said.split()[-1] == "two"
    assert word not in said.split() or word == english
    if word not in ("y", "mil", "medio", "media"):
        assert said == f"three {english} two"


@each_row(list(VOCABULARY.spanish_phrases.items()))
def test_phrase(phrase: str, english: str) -> None:
    assert in_english(f"dos {phrase} izquierda", VOCABULARY) == f"two {english} left"


@pytest.mark.parametrize(
    ("said", "prompt", "value"),
    [("mil doscientos", OHMS, "1200"), ("dos mil cien", OHMS, "2100"), ("novecientos cuarenta y cinco", OHMS, "945"),
     ("cuatro punto ocho", VOLTS, "4.8"), ("five punto cero two", VOLTS, "5.02"), ("cinco y medio", VOLTS, "5.5"),
     ("ciento veinte ohmios", OHMS, "120"), ("una pulgada tres cuartos", INCHES, "1.75"),
     ("one inch siete octavos", INCHES, "1.875"), ("cuatro y tres décimas", VOLTS, "4.3")],
)  # fmt: skip
def test_numbers_are_read_and_wait_for_a_yes(said: str, prompt: Expectation, value: str) -> None:
    found = interpret([Hypothesis(said)], prompt, VOCABULARY)
    assert (found.value, found.confirm, found.heard) == (Decimal(value), True, said), found


@pytest.mark.parametrize(
    "said", ["once more", "it was once eleven hundred", "put it on mute, media is loud", "4 mil"]
)
def test_words_of_english_stay(said: str) -> None:
    assert in_english(said, VOCABULARY) == said
