"""Spanish numbers, units and places among English words, as the English ones: 'cuatro punto eight' is 4.8.

A recognizer of English hears none of them; they are typed, or come from another one. The words of a session's record
stay as they were said.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import replace

from assistant.messages import Hypothesis
from assistant.numerals.vocabulary import Vocabulary

_TOKEN = re.compile(r"[^\W\d_]+")
_ALIKE = frozenset({"once", "mil", "y", "media", "una", "coma", "lado", "cuarto", "medio", "quince", "diez"})
"""Words that are no Spanish by themselves: names, letters and words of English, or without a number beside them."""
_TENS = frozenset({"treinta", "cuarenta", "cincuenta", "sesenta", "setenta", "ochenta", "noventa"})
_ONES = frozenset({"uno", "una", "dos", "tres", "cuatro", "cinco", "seis", "siete", "ocho", "nueve"})
_DIGITS = frozenset({"one", "two", "three", "four", "five", "six", "seven", "eight", "nine"})
_PLACES = frozenset({"left", "right", "rear", "front", "side"})
_GAP = 3
"""Characters between two words that stand beside each other."""


def in_english(text: str, vocabulary: Vocabulary) -> str:
    """The text with Spanish words of ``grammars/spanish.toml`` in English; the text itself where it has none."""
    words, phrases = vocabulary.spanish, vocabulary.spanish_phrases
    tokens = [(_plain(found.group()), found.start(), found.end()) for found in _TOKEN.finditer(text)]
    if not any(word in words and word not in _ALIKE for word, _, _ in tokens):
        return text
    made: list[str] = []
    done = at = 0
    while at < len(tokens):
        pair = " ".join(word for word, _, _ in tokens[at : at + 2])
        size = 3 if " ".join(word for word, _, _ in tokens[at : at + 3]) in phrases else 2 if pair in phrases else 1
        said = " ".join(word for word, _, _ in tokens[at : at + size])
        meant = phrases.get(said) if size > 1 else _meant(tokens, at, words)
        if meant is not None:
            start, end = tokens[at][1], tokens[at + size - 1][2]
            made += [text[done:start], meant]
            done = end if meant or text[end : end + 1] != " " else end + 1
        at += size
    return "".join((*made, text[done:]))


def hypotheses_in_english(hypotheses: Sequence[Hypothesis], vocabulary: Vocabulary) -> tuple[Hypothesis, ...]:
    """The same of what may have been heard."""
    return tuple(replace(one, words=in_english(one.words, vocabulary)) for one in hypotheses)


def _meant(tokens: Sequence[tuple[str, int, int]], at: int, words: dict[str, str]) -> str | None:
    """What a word is in English: None for a word that is none of these here, '' for one that says nothing."""
    word = tokens[at][0]
    if word not in words:
        return None
    before = tokens[at - 1][0] if at and tokens[at][1] - tokens[at - 1][2] <= _GAP else ""
    behind = tokens[at + 1][0] if at + 1 < len(tokens) and tokens[at + 1][1] - tokens[at][2] <= _GAP else ""
    number_before, number_behind = _counts(before, words), _counts(behind, words)
    if word == "y":
        if before in _TENS and (behind in _ONES or behind in _DIGITS):
            return ""
        return "and" if number_behind or behind in ("medio", "media") else None
    if word in _ALIKE and not (number_before or number_behind):
        return None
    if word == "mil":
        return "thousand" if number_before and before != "y" else "one thousand"
    if word in ("medio", "media") and before not in ("y", "and"):
        return "half a" if behind else "half"
    if word == "un":
        return "a"
    return words[word]


def _counts(word: str, words: dict[str, str]) -> bool:
    """Whether a word is a Spanish number word, or joins some."""
    return word in words and words[word] not in _PLACES


def _plain(word: str) -> str:
    bare = unicodedata.normalize("NFKD", word.lower())
    return "".join(mark for mark in bare if not unicodedata.combining(mark))
