"""Work that is told as done, in which of several ways: 'cleaned all the pins', 'couldn't clean it so replaced it'.

What is to be done, or was not, is no way in which it was done: 'needs a new one' puts no part in.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from assistant.messages import Choice, Expectation
from assistant.numerals.vocabulary import Vocabulary
from assistant.understanding.choosing.choices import forms_of, normal
from assistant.understanding.commanding.statements import told_words
from assistant.understanding.patterns import Words, places, words_of

UNDONE = "undone"
"""Words of what is to be done or was not: a part of ``grammars/wishes.toml``."""
_CLAUSES = re.compile(r"[,.;:!…—]+|\b(?:so|but|then|because|'?cause|and then)\b", re.IGNORECASE)
_ENDINGS = ("ing", "ed", "es", "e", "s")


def way_named(text: str, ways: Sequence[Choice], vocabulary: Vocabulary) -> str | None:
    """The one way in which work is told to be done; None where none is, or several are.

    This is the one rule: what is heard as done (``told_in_a_way``) and what the record says of it come from here. A
    form of one way said by itself is that way, whatever words it has.
    """
    alone = {way.name for way in ways if normal(text) in forms_of(way)}
    if len(alone) == 1:
        return alone.pop()
    named: set[str] = set()
    for clause in _done(text, vocabulary):
        exact = {way.name for way in ways for form in _forms(way) if places(clause, form)}
        near = {way.name for way in ways for form in _forms(way) if places(_stems(clause), _stems(form))}
        if near - exact:
            return None  # 'cleaned it, but ended up replacing it'
        named |= exact
    return named.pop() if len(named) == 1 else None


def told_in_a_way(text: str, expectation: Expectation, vocabulary: Vocabulary) -> bool:
    """Whether work is told as done in one of the ways that are asked for, and nothing else is said.

    Args:
        text: what was said.
        expectation: the prompt of the work; its choices are the ways.
        vocabulary: the compiled grammars.
    """
    ways = expectation.choices
    if way_named(text, ways, vocabulary) is None:
        return False
    if any(normal(text) in forms_of(way) for way in ways):
        return True
    if "?" in text or not expectation.told:
        return False
    asked = frozenset(_stems(words_of(expectation.told)))
    forms = {word for way in ways for form in _forms(way) for word in form}
    for clause in _done(text, vocabulary):
        left = tuple(word for word in clause if word not in forms and _stem(word) not in asked)
        if left and not told_words(left, vocabulary):
            return False
    return True


def _done(text: str, vocabulary: Vocabulary) -> list[Words]:
    """The clauses that tell what was done."""
    clauses = [tuple(normal(clause).split()) for clause in _CLAUSES.split(text.replace("’", "'"))]
    forms = [tuple(form.split()) for form in vocabulary.wishes.get(UNDONE, ())]
    return [clause for clause in clauses if clause and not any(places(clause, form) for form in forms)]


def _forms(way: Choice) -> list[Words]:
    return [tuple(normal(form).split()) for form in (way.name, *way.also)]


def _stems(words: Words) -> Words:
    return tuple(_stem(word) for word in words)


def _stem(word: str) -> str:
    for ending in _ENDINGS:
        if len(word) > len(ending) + 3 and word.endswith(ending):
            return word.removesuffix(ending)
    return word
