"""Forms of ``grammars/questions.toml`` and ``reports.toml``: terms that must stand somewhere in what was said.

A form is terms joined by ``+``; ``|`` divides phrases of which one will do, ``!`` begins a term that must not stand
there, and ``=`` a form that is the whole of it.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache

_WORD = re.compile(r"[^\W_]+(?:['’][^\W_]+)*")
_SHORT = {
    "what'd": ("what", "did"), "where'd": ("where", "did"), "how'd": ("how", "did"), "why'd": ("why", "did"),
    "who'd": ("who", "did"), "i'm": ("i", "am"), "we're": ("we", "are"), "they're": ("they", "are"),
    "you're": ("you", "are"), "i've": ("i", "have"), "we've": ("we", "have"), "they've": ("they", "have"),
    "i'll": ("i", "will"), "we'll": ("we", "will"), "it'll": ("it", "will"), "lemme": ("let", "me"),
    "gimme": ("give", "me"), "what're": ("what", "are"), "where're": ("where", "are"), "cannot": ("can", "not"),
}  # fmt: skip
_BARE = {
    "whats": "what's", "wheres": "where's", "hows": "how's", "whos": "who's", "whys": "why's", "thats": "that's",
    "theres": "there's", "im": "i'm", "ive": "i've", "youre": "you're", "dont": "don't", "didnt": "didn't",
    "doesnt": "doesn't", "cant": "can't", "isnt": "isn't", "aint": "ain't", "wont": "won't",
}  # fmt: skip
"""Short forms that are typed without an apostrophe."""
_IS = frozenset({
    "what's", "where's", "which's", "who's", "how's", "why's", "when's", "it's", "that's", "this's", "there's",
    "here's", "he's", "she's", "everything's", "nothing's", "one's", "something's",
})  # fmt: skip

Words = tuple[str, ...]


@lru_cache(maxsize=8192)
def words_of(text: str) -> Words:
    """The words of a text: lower case, without accents, short forms taken apart, without the 's of a thing."""
    plain = unicodedata.normalize("NFKD", text.lower().replace("’", "'"))
    plain = "".join(mark for mark in plain if not unicodedata.combining(mark))
    found: list[str] = []
    for typed in _WORD.findall(plain):
        word = _BARE.get(typed, typed)
        if word in _SHORT:
            found += _SHORT[word]
        elif word in _IS:
            found += [word.removesuffix("'s"), "is"]
        else:
            found.append(word.removesuffix("'s"))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class Form:
    """One form, compiled."""

    terms: tuple[tuple[Words, ...], ...]
    """Terms of which each must stand there, as phrases of which one will do."""
    without: tuple[Words, ...] = ()
    """Phrases none of which may stand there."""
    whole: bool = False
    """True for a form that is the whole of what was said."""
    sought: tuple[tuple[Words, ...], ...] = ()
    """The same with the longest phrase first: where one phrase holds another the longer one counts."""
    begins: tuple[frozenset[str], ...] = ()
    """First words of each term's phrases: without one of them the term does not stand there."""

    def found(self, said: Words) -> list[range] | None:
        """The places of the phrases, None when the form does not fit."""
        if self.whole:
            return [range(len(said))] if said == self.terms[0][0] else None
        for first in self.begins:
            if first.isdisjoint(said):
                return None
        if any(places(said, phrase) for phrase in self.without):
            return None
        taken: list[range] = []
        for term in self.sought:
            here = [place for phrase in term for place in places(said, phrase)]
            free = [place for place in here if not any(set(place) & set(other) for other in taken)]
            if not free:
                return None
            taken.append(free[0])
        return taken


def places(said: Words, phrase: Words) -> list[range]:
    """Where a phrase stands."""
    if phrase and phrase[0] not in said:
        return []
    size = len(phrase)
    return [range(at, at + size) for at in range(len(said) - size + 1) if said[at : at + size] == phrase]


@lru_cache(maxsize=4096)
def compiled(form: str) -> Form:
    """A form as written in the grammars."""
    if form.startswith("="):
        return Form(((words_of(form[1:]),),), whole=True)
    terms = [term.strip() for term in form.split(" + ")]
    wanted = tuple(_phrases(term) for term in terms if not term.startswith("!"))
    without = tuple(phrase for term in terms if term.startswith("!") for phrase in _phrases(term[1:]))
    begins = tuple(frozenset(phrase[0] for phrase in term) for term in wanted if all(term))
    sought = tuple(tuple(sorted(term, key=len, reverse=True)) for term in wanted)
    return Form(wanted, without, sought=sought, begins=begins)


def _phrases(term: str) -> tuple[Words, ...]:
    return tuple(words_of(phrase) for phrase in term.split("|"))
