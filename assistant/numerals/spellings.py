"""Words that the grammars know, and how people cut them short: what a mistyped word is looked for among."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

_WORD = re.compile(r"[^\W\d_]+(?:['’][^\W\d_]+)*")
_VOWELS = re.compile(r"(?<=.)[aeiouy]")
FEWEST = 4
"""Letters of the shortest word in which a slip is looked for."""
_CONSONANTS = 3
_RARE = 2
"""A word that stands in the grammars less often is no likely meaning."""


@dataclass(frozen=True, slots=True)
class Spellings:
    """Known words and what stands for them."""

    counts: dict[str, int] = field(default_factory=dict)
    """Word -> how often it stands in the grammars."""
    likely: dict[str, tuple[tuple[str, int], ...]] = field(default_factory=dict)
    """First letter -> words that may be meant, each with how often it stands there."""
    consonants: dict[str, str] = field(default_factory=dict)
    """A word without its vowels -> the likeliest word."""
    short: dict[str, str] = field(default_factory=dict)
    """Short spelling -> word."""


def spellings_of(texts: Iterable[str], short: Mapping[str, tuple[str, ...]]) -> Spellings:
    """The words of these texts, ready to be looked up.

    Args:
        texts: every form of the grammars.
        short: word -> its short spellings.
    """
    counts = Counter(word for text in texts for word in split(text))
    likely: dict[str, list[tuple[str, int]]] = {}
    consonants: dict[str, str] = {}
    for word, count in counts.most_common():
        if len(word) < FEWEST or count < _RARE:
            continue
        likely.setdefault(word[0], []).append((word, count))
        bare = without_vowels(word)
        if len(bare) >= _CONSONANTS:
            consonants.setdefault(bare, word)
    return Spellings(
        dict(counts),
        {letter: tuple(words) for letter, words in likely.items()},
        consonants,
        {form: word for word, forms in short.items() for form in forms},
    )


def split(text: str) -> list[str]:
    """The words of a text, in lower case."""
    return [word.lower().replace("’", "'") for word in _WORD.findall(text)]


def without_vowels(word: str) -> str:
    """A word as it is cut short: its first letter, and the consonants behind it."""
    return _VOWELS.sub("", word.replace("'", ""))
