"""The recognizer's grammar: the phrases that its model knows, in the form that it takes."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from assistant.numerals.tokenizer import UNKNOWN_WORD

UNKNOWN_MARK = "[unk]"
"""How the recognizer writes speech outside its grammar; without it any speech is forced into our words."""


@dataclass(frozen=True, slots=True)
class Grammar:
    """Phrases checked against the model."""

    text: str
    """A JSON array of phrases, as the recognizer takes it."""
    missing: tuple[str, ...]
    """Words that the model does not know, in order of first use; phrases with them are left out."""


def make_grammar(phrases: Iterable[str], knows: Callable[[str], bool]) -> Grammar:
    """Check phrases word by word against the model and write them down, the unknown-word token last.

    A word that the model lacks would be dropped in silence, and its phrase would match without it. Repeated phrases
    are kept: the recognizer counts them as weights.
    """
    known: dict[str, bool] = {UNKNOWN_MARK: True}
    kept: list[str] = []
    for phrase in phrases:
        words = [UNKNOWN_MARK if word == UNKNOWN_WORD else word for word in words_of(phrase)]
        for word in words:
            if word not in known:
                known[word] = knows(word)
        if words and all(known[word] for word in words):
            kept.append(" ".join(words))
    if UNKNOWN_MARK not in kept:
        kept.append(UNKNOWN_MARK)
    missing = tuple(word for word, there in known.items() if not there)
    return Grammar(json.dumps(kept, ensure_ascii=False), missing)


def words_of(phrase: str) -> list[str]:
    """Words of a phrase as the model spells them."""
    return phrase.lower().replace("-", " ").split()


@dataclass(frozen=True, slots=True)
class WordCheck:
    """Words of the grammars, looked up in a model."""

    known: int
    instead: Mapping[str, str]
    """Words that it lacks and the words that are listened for in their place."""
    unheard: tuple[str, ...]
    """Words that it lacks and that have none: typed they are understood, spoken they are not."""

    @property
    def sentence(self) -> str:
        """All of it in one line."""
        parts = [f"{self.known} known"]
        if self.instead:
            parts.append(
                "heard as other words: " + ", ".join(f"{word} as '{said}'" for word, said in self.instead.items())
            )
        if self.unheard:
            parts.append(f"understood only when typed: {', '.join(self.unheard)}")
        return "; ".join(parts)


def check_words(words: Iterable[str], unsaid: Mapping[str, str], knows: Callable[[str], bool]) -> WordCheck:
    """Look every word up; one that the model lacks counts as heard when it knows all the words in its place."""
    listed = sorted(set(words))
    lacking = [word for word in listed if not knows(word)]
    instead = {word: unsaid[word] for word in lacking if word in unsaid and all(map(knows, unsaid[word].split()))}
    return WordCheck(len(listed) - len(lacking), instead, tuple(word for word in lacking if word not in instead))
