"""Words that were cut short or mistyped, as they were meant: 'skp this 1', 'wich whl', '1180 omhs'.

A word that nothing in the grammars knows is looked for among the short spellings of ``grammars/respelling.toml``,
then by its consonants ('evry'), then by one slip of the finger ('agian'). What counts by such a word is asked about.
"""

from __future__ import annotations

import re

from rapidfuzz.distance import OSA

from assistant.messages import Expectation, Expects
from assistant.numerals.spellings import FEWEST, Spellings, split, without_vowels
from assistant.numerals.vocabulary import Vocabulary

_TOKEN = re.compile(r"[A-Za-z0-9&/'’]+")
_CONSONANTS = 3
_LONG = 8
"""Letters of a word in which two slips may stand."""
_LETTERS = frozenset({"u", "r", "n", "w"})
"""Letters that are known as such, and mean a word where no figure stands beside them."""


def respelled(text: str, expectation: Expectation, vocabulary: Vocabulary) -> str | None:
    """The text with unknown words as they were probably meant, None where none is found."""
    letters = expectation.expects is Expects.COMMAND or not any(mark.isdigit() for mark in text)
    letters = letters and expectation.expects is not Expects.IDENTIFIER
    named = {word for choice in expectation.choices for form in (choice.name, *choice.also) for word in split(form)}
    made: list[str] = []
    done = 0
    for found in _TOKEN.finditer(text):
        word = found.group().lower().replace("’", "'")
        held = word in named or (word in _LETTERS and not letters)
        meant = None if held else _meant(word, vocabulary.spellings, named, expectation)
        if meant is not None and meant != word:
            made += [text[done : found.start()], meant]
            done = found.end()
    return "".join((*made, text[done:])) if made else None


def _meant(word: str, known: Spellings, named: set[str], expectation: Expectation) -> str | None:
    """What an unknown word was meant for, None for a known one and where nothing is near."""
    if word in known.short and (word not in known.counts or word in _LETTERS) and not word.isdigit():
        return known.short[word] if expectation.expects is not Expects.IDENTIFIER else None
    if word == "1" and expectation.expects is Expects.COMMAND:
        return "one"  # 'skip this 1'
    if (
        word in known.counts
        or any(stem in known.counts for stem in _stems(word))
        or not word.replace("'", "").isalpha()
        or len(word) < FEWEST - 1
    ):
        return None
    bare = without_vowels(word)
    if len(bare) >= max(_CONSONANTS, len(word) - 1) and bare in known.consonants:
        return known.consonants[bare]
    return _slip(word, known, named) if len(word) >= FEWEST else None


def _stems(word: str) -> list[str]:
    """What a word may be a form of: 'charged' of 'charge', 'cable's' of 'cable'."""
    found = []
    for ending in ("'s", "s", "es", "ed", "d", "ing", "er", "est", "ly", "y", "n"):
        stem = word.removesuffix(ending)
        if stem != word and len(stem) >= FEWEST - 1:
            found += [stem, f"{stem}e", stem[:-1] if stem[-1:] == stem[-2:-1] else stem]
    return found


def _slip(word: str, known: Spellings, named: set[str]) -> str | None:
    """The known word that is one letter away, of a long word two; the one that is used most goes first."""
    slips = 2 if len(word) >= _LONG else 1
    rows = (*known.likely.get(word[0], ()), *((one, 1) for one in named if one[:1] == word[0]))
    near = [
        (distance, -count, other)
        for other, count in rows
        if abs(len(other) - len(word)) <= slips
        and (distance := OSA.distance(word, other, score_cutoff=slips)) <= slips
    ]
    return min(near)[2] if near else None
