"""``grammars/spelling.toml``: letters, marks and carriers of unit numbers; words that the model lacks."""

from __future__ import annotations

import pytest

from assistant.library import load_lexicon
from assistant.meaning.interpret import understand
from assistant.meaning.phrases import phrase_list, vocabulary
from assistant.messages import Expectation, Expects

LEXICON = load_lexicon()
NUMBER = Expectation(Expects.IDENTIFIER)


@pytest.mark.parametrize(("word", "letter"), LEXICON.letters.items())
def test_letter(word: str, letter: str) -> None:
    assert understand(f"{word} zero four one nine", NUMBER, LEXICON).identifier == f"{letter.upper()}0419"


@pytest.mark.parametrize(("word", "mark"), LEXICON.identifier_marks.items())
def test_mark(word: str, mark: str) -> None:
    assert understand(f"tango {word} zero four", NUMBER, LEXICON).identifier == f"T{mark}04"


@pytest.mark.parametrize("carrier", LEXICON.identifier_carriers)
def test_carrier(carrier: tuple[str, ...]) -> None:
    assert understand(f"{' '.join(carrier)} oh three seven seven", NUMBER, LEXICON).identifier == "0377"


@pytest.mark.parametrize(("missing", "instead"), LEXICON.unsaid.items())
def test_word_that_the_model_lacks(missing: str, instead: str) -> None:
    """A070: the tool listens for words that the model has."""
    for prompt in (Expectation(Expects.READING, unit="mV"), Expectation(Expects.READING, unit="kohm"), NUMBER):
        words = {word for phrase in phrase_list(prompt, LEXICON) for word in phrase.split()}
        assert missing not in words
    assert missing not in vocabulary(LEXICON) or missing in LEXICON.numbers
    assert instead
