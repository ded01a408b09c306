"""Words that name what was logged: what is left of an utterance without its numbers and the words between.

For corrections (``grammars/mending.toml``): 'correction, left rear ohms is eleven eighty' names resistance.
"""

from __future__ import annotations

from functools import lru_cache

from assistant.numerals.tokenizer import NUMBER_KINDS, scan
from assistant.numerals.vocabulary import Kind, Vocabulary
from assistant.understanding.patterns import Words, words_of

AROUND, NAMES, SMALL = "around", "names", "small"
"""Parts of ``grammars/mending.toml``: words between, other names, and words that name nothing by themselves."""
_SHOWN = (Kind.OVER_RANGE, Kind.UNSTEADY, Kind.NOTHING)
POINTS = frozenset({"point", "and", "dot", "tenths", "half", "a"})
"""Words inside a number that are none."""


def numbers_said(words: Words, vocabulary: Vocabulary) -> int:
    """How many numbers stand apart."""
    number = [word in POINTS or is_number(word, vocabulary) for word in words]
    return sum(
        one and not before and any(map(str.isalnum, word))
        for word, one, before in zip(words, number, [False, *number], strict=False)
        if word not in ("a", "and", "half")
    )


def is_number(word: str, vocabulary: Vocabulary) -> bool:
    """Whether a word is one of a number."""
    return any(item.kind in NUMBER_KINDS for item in scan(word, vocabulary))


def strip(words: Words, around: frozenset[Words]) -> Words:
    """The words without those that change nothing, at both ends."""
    left = list(words)
    changed = True
    while changed and left:
        changed = False
        for size in range(min(4, len(left)), 0, -1):
            if tuple(left[:size]) in around:
                del left[:size]
                changed = True
                break
            if tuple(left[-size:]) in around:
                del left[-size:]
                changed = True
                break
    return tuple(left)


def tokens_of(text: str) -> list[str]:
    """Words as typed in lower case, without marks at their ends; a hyphen in a name divides it."""
    plain = text.lower().replace("’", "'").replace("—", " ").replace("–", " ")
    words = [word.strip('.,;:!"()') for word in plain.split()]
    found: list[str] = []
    for word in words:
        found += word.split("-") if word.replace("-", "").isalpha() else [word]
    return [word.removesuffix("'s") if word not in ("it's", "that's") else word for word in found if word]


def longest(tokens: list[str], at: int, forms: tuple[str, ...]) -> int:
    """Words of the longest form that stands here; 0 for none."""
    known, most = as_set(forms), min(6, len(tokens) - at)
    return next((size for size in range(most, 0, -1) if tuple(tokens[at : at + size]) in known), 0)


@lru_cache(maxsize=16)
def as_set(forms: tuple[str, ...]) -> frozenset[Words]:
    """The words of each form."""
    return frozenset(tuple(form.split()) for form in forms)


def telling(said: Words, vocabulary: Vocabulary) -> Words:
    """Stems of the words that may name something: no numbers, nothing that a meter shows, and no words between."""
    other, units = _other_words(vocabulary.mending.get(AROUND, ()), *_shown_forms(vocabulary)), _units(vocabulary)
    number = [is_number(word, vocabulary) for word in said]
    # 'twelve four volts': the unit of a value names nothing
    free = (
        word
        for at, word in enumerate(said)
        if (word,) not in other and not number[at] and not (at and number[at - 1] and stem(word) in units)
    )
    return tuple(map(stem, free))


def _shown_forms(vocabulary: Vocabulary) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What a meter shows, and what measures are called."""
    shown = tuple(form for kind in _SHOWN for form in vocabulary.forms[kind])
    return shown, vocabulary.mending.get(NAMES, ())


@lru_cache(maxsize=4)
def _other_words(around: tuple[str, ...], shown: tuple[str, ...], names: tuple[str, ...]) -> frozenset[Words]:
    """Words that name nothing: those between, and those that a meter shows but for what measures are called."""
    measured = {word for row in names for word in row.replace(":", "").split()}
    return as_set(around) | {(word,) for form in shown for word in form.split() if word not in measured}


def unit_names(vocabulary: Vocabulary) -> frozenset[str]:
    """What units are called, of one and of several."""
    return frozenset(form for unit in vocabulary.units.values() for form in (unit.singular, unit.plural))


def _units(vocabulary: Vocabulary) -> frozenset[str]:
    return _unit_stems(unit_names(vocabulary))


@lru_cache(maxsize=4)
def _unit_stems(names: frozenset[str]) -> frozenset[str]:
    return frozenset(map(stem, names))


@lru_cache(maxsize=1024)
def stems_of(text: str, small: tuple[str, ...]) -> frozenset[str]:
    """Stems of a text's words, without the small ones."""
    return frozenset(stem(word) for word in words_of(text) if word not in small)


def stems(text: str, vocabulary: Vocabulary, unit: str | None = None) -> frozenset[str]:
    """Stems of what a text and a unit name, with the other words for the same."""
    rows = (form.split(":", 1) for form in vocabulary.mending.get(NAMES, ()) if ":" in form)
    others = {head.strip().lower(): tail.split() for head, tail in rows}
    own = stems_of(text, vocabulary.mending.get(SMALL, ()))
    more = {stem(word) for one in own for word in others.get(one, ())}
    measured = {stem(word) for word in others.get((unit or "").lower(), ())}
    return frozenset(own | more | measured)


def stem(word: str) -> str:
    """A word without what makes it several or done: batteries, loaded."""
    if word.endswith("ies") and len(word) > 4:
        return f"{word[:-3]}y"
    if word == "voltage":
        return "volt"
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word
