"""A choice by words that tell what is seen, beside its own: 'something's been gnawing on it' for 'damaged'.

They are for words that nothing else explains (``grammars/looks.toml``), and what they name always waits for a yes.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache

from assistant.messages import Choice, Outcome, Understanding
from assistant.understanding import clarifications
from assistant.understanding.choosing.asserted import ENDS, asserted, done_to_a_thing

OPPOSITES = "opposites"
_DENIES = frozenset({
    "no", "not", "isn't", "ain't", "aren't", "don't", "doesn't", "didn't", "wasn't", "never", "nothing", "without",
    "none", "can't", "cannot", "won't", "hardly", "zero", "wouldn't", "couldn't", "haven't", "hasn't",
    "nobody", "nor",
})  # fmt: skip
_REACH = 4
"""Words that a denial reaches over."""
_MOST_WORDS = 26


def choice_by_looks(
    text: str, choices: Sequence[Choice], looks: Mapping[str, tuple[str, ...]]
) -> Understanding | None:
    """The one choice that the most words tell, to be asked about; None where none or several are told, or it asks."""
    if "?" in text or len(text.split()) > _MOST_WORDS:
        return None
    told = {choice.name: 0.0 for choice in choices}
    opposite = _opposites(looks.get(OPPOSITES, ()))
    pieces = asserted(text)
    for choice in choices:
        for form in looks.get(choice.name, ()):
            for words, at in _places(form, pieces):
                if done_to_a_thing(words, at, choice):
                    continue
                if not _denied(words, at):
                    told[choice.name] += 1 + form.count(" ")
                    continue
                for name in opposite.get(choice.name, ()):
                    if name in told:
                        told[name] += 1
    best = max(told.values(), default=0)
    named = [name for name, count in told.items() if count == best]
    if not best or len(named) != 1:
        return None
    ask = clarifications.which_name(named[0])
    return Understanding(Outcome.CHOICE, text, choice=named[0], confirm=True, ask=ask, reason="leftover")


def told_in_looks(said: Sequence[str], forms: Sequence[str]) -> int:
    """How many of the words tell one of these forms, none of it denied."""
    return sum(
        1 + form.count(" ") for form in forms for words, at in _places(form, (said,)) if not _denied(words, at)
    )


def _places(form: str, pieces: Sequence[Sequence[str]]) -> list[tuple[Sequence[str], int]]:
    """Where a form stands: the words of the piece, and the place of its first word among them."""
    pattern = _pattern(form)
    size = len(pattern)
    return [
        (words, at)
        for words in pieces
        for at in range(len(words) - size + 1)
        if all(
            word.startswith(one) if begins else word == one
            for (one, begins), word in zip(pattern, words[at : at + size], strict=True)
        )
    ]


def _denied(words: Sequence[str], at: int) -> bool:
    before = words[max(0, at - _REACH) : at]
    for word in reversed(before):
        if word in ENDS:
            return False
        if word in _DENIES:
            return True
    return False


@lru_cache(maxsize=4096)
def _pattern(form: str) -> tuple[tuple[str, bool], ...]:
    """The words of a form, each with whether it is only a beginning."""
    return tuple((word.removesuffix("*"), word.endswith("*")) for word in form.split())


@lru_cache(maxsize=4)
def _opposites(rows: tuple[str, ...]) -> dict[str, tuple[str, ...]]:
    """What is denied -> the names of choices that this tells; a name of two words stands there as it is."""
    found: dict[str, tuple[str, ...]] = {}
    for row in rows:
        name, _, others = row.partition(":")
        found[name.strip()] = (
            others.strip(),
            *others.replace(",", " ").split(),
            *(one.strip() for one in others.split(",")),
        )
    return found
