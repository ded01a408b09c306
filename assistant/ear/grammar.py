"""The recogniser's grammar: phrases that its model can say, as the text it takes."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from assistant.words.tokens import UNKNOWN_WORD
from assistant.words.tokens import UNKNOWN_WORD as UNKNOWN

__all__ = ["UNKNOWN", "Grammar", "make_grammar"]


@dataclass(frozen=True, slots=True)
class Grammar:
    """Checked phrases."""

    text: str
    """A JSON array of phrases, as the recogniser takes it."""
    missing: tuple[str, ...]
    """Words that the model does not know, in order of first use; phrases with them are left out."""


def make_grammar(phrases: Iterable[str], knows: Callable[[str], bool]) -> Grammar:
    """Check phrases word by word against the model and write them down, the unknown-word token last.

    A word that the model lacks would be dropped in silence, and its phrase would match without it. Repeated phrases
    are kept: the recogniser counts them as weights.
    """
    known: dict[str, bool] = {}
    kept: list[str] = []
    for phrase in phrases:
        words = phrase.lower().replace("-", " ").split()
        for word in words:
            if word not in known:
                known[word] = word == UNKNOWN_WORD or knows(word)
        if words and all(known[word] for word in words):
            kept.append(" ".join(words))
    if UNKNOWN_WORD not in kept:
        kept.append(UNKNOWN_WORD)
    missing = tuple(word for word, there in known.items() if not there)
    return Grammar(json.dumps(kept, ensure_ascii=False), missing)
