"""``grammars/spelling.toml``: letters, marks and carriers of unit numbers; words that the model lacks."""

from __future__ import annotations

import pytest

from assistant.catalog import load_vocabulary
from assistant.messages import Expectation, Expects
from assistant.understanding.recognition.grammar_phrases import grammar_words, phrase_list
from assistant.understanding.utterance import understand

VOCABULARY = load_vocabulary()
NUMBER = Expectation(Expects.IDENTIFIER)


@pytest.mark.parametrize(("word", "letter"), VOCABULARY.letters.items())
def test_letter(word: str, letter: str) -> None:
    assert understand(f"{word} zero four one nine", NUMBER, VOCABULARY).identifier == f"{letter.upper()}0419"


@pytest.mark.parametrize(("word", "mark"), VOCABULARY.identifier_marks.items())
def test_mark(word: str, mark: str) -> None:
    assert understand(f"tango {word} zero four", NUMBER, VOCABULARY).identifier == f"T{mark}04"


@pytest.mark.parametrize("carrier", VOCABULARY.identifier_carriers)
def test_carrier(carrier: tuple[str, ...]) -> None:
    assert understand(f"{' '.join(carrier)} oh three seven seven", NUMBER, VOCABULARY).identifier == "0377"


@pytest.mark.parametrize("behind", VOCABULARY.identifier_behind)
def test_where_a_unit_is_is_no_part_of_its_number(behind: tuple[str, ...]) -> None:
    told = understand(f"trailer number fifty twelve {' '.join(behind)} the north side", NUMBER, VOCABULARY)
    assert (told.identifier, told.confirm) == ("5012", False)
    told = understand(f"trailer number fifty twelve {' '.join(behind)} forty one", NUMBER, VOCABULARY)
    assert told.identifier is None or told.confirm
    assert understand(f"is it fifty twelve {' '.join(behind)} the yard?", NUMBER, VOCABULARY).identifier is None


@pytest.mark.parametrize(("missing", "instead"), VOCABULARY.unsaid.items())
def test_word_that_the_model_lacks(missing: str, instead: str) -> None:
    """A070: the tool listens for words that the model has."""
    for prompt in (Expectation(Expects.READING, unit="mV"), Expectation(Expects.READING, unit="kohm"), NUMBER):
        words = {word for phrase in phrase_list(prompt, VOCABULARY) for word in phrase.split()}
        assert missing not in words
    assert missing not in grammar_words(VOCABULARY) or missing in VOCABULARY.numbers
    assert instead
