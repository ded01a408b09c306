"""Questions whether something is safe, and dangers that are told: no such words are ever an answer.

A question asks for leave ('is it okay to', 'want me to') and names what can hurt somebody. A danger is told by what
it is of: a battery, what is lifted, air and springs, a wheel, fumes. Both are forms of words, in
``grammars/hazards.toml``, of what stands in which order.
"""

from __future__ import annotations

import re

from assistant.numerals.vocabulary import Vocabulary

SAFETY = "safety"
"""Why a question is one that is answered by a caution."""
UNANSWERED = "unanswered"
"""The same of one that nothing answers."""
KINDS = ("battery", "lifted", "air", "wheel", "fumes")
"""Parts of ``grammars/hazards.toml`` with dangers, in the order in which they count."""
_NAMED, _TOLD = "named_", "told_"
"""Beginnings of the names of its parts by which a question and a caution speak of the same."""


def asks_whether_safe(text: str, vocabulary: Vocabulary) -> bool:
    """Whether it is asked for leave to do what can hurt: 'want me to shut it off before I grab these cables?'."""
    whether = _is(text, "whether", vocabulary) and not _is(text, "which", vocabulary)
    return _is(text, "hands", vocabulary) and (whether or _is(text, "leave", vocabulary))


def asks_plainly(text: str, vocabulary: Vocabulary) -> bool:
    """Whether safety itself is asked for, by its name or for hands that go somewhere, and not only what to switch."""
    return _is(text, "leave", vocabulary) or _is(text, "plainly", vocabulary)


def hazard_words(text: str, vocabulary: Vocabulary) -> frozenset[str]:
    """The longer words that tell the danger."""
    found = next((hit for hit in (_found(text, kind, vocabulary) for kind in KINDS) if hit is not None), None)
    return frozenset(re.findall(r"[a-z]{5,}", found.group())) if found is not None else frozenset()


def hazard_of(text: str, vocabulary: Vocabulary) -> str:
    """The kind of a danger that is told: one of ``KINDS``; '' for none.

    What is denied or supposed is none; a question may tell one ('it's swollen, is it safe to charge?').
    """
    for kind in KINDS:
        found = _found(text, kind, vocabulary)
        if found is None or _is(re.split(r"[,.;!?]", found.string[: found.start()])[-1], "not_so", vocabulary):
            continue
        if kind == "lifted" or not _is(found.group(), "denied", vocabulary):
            return kind
    return ""


def about(text: str, caution: str, vocabulary: Vocabulary) -> bool:
    """Whether a caution speaks of what a safety question names."""
    topics = [part.removeprefix(_NAMED) for part in vocabulary.hazards if part.startswith(_NAMED)]
    return any(
        _is(text, f"{_NAMED}{one}", vocabulary) and _is(caution, f"{_TOLD}{one}", vocabulary) for one in topics
    )


def asks(text: str, vocabulary: Vocabulary) -> bool:
    """Whether words have the form of a question, one of their clauses or all of them: such words answer nothing."""
    pieces = re.split(r"[,;:!]|\.(?!\d)", text)
    return "?" in text or any(_is(piece, "asks", vocabulary) for piece in pieces)


def asks_how(text: str, vocabulary: Vocabulary) -> bool:
    """Whether it is asked how something is done, or whether there is a way."""
    return _is(text, "asks_how", vocabulary)


def engine_named(text: str, vocabulary: Vocabulary) -> bool:
    """Whether a safety question is about an engine that runs."""
    return _is(text, "engine", vocabulary)


def told_over(text: str, vocabulary: Vocabulary) -> bool:
    """Whether a danger is told to be over: 'we're good, it was just steam'."""
    return _is(text, "over", vocabulary)


def only_of_rolling(text: str, vocabulary: Vocabulary) -> bool:
    """Whether it is told when something shows, which is no danger: 'not after rolling'."""
    return _is(text, "of_rolling", vocabulary)


def only_no_good(text: str, vocabulary: Vocabulary) -> bool:
    """Whether a part is told to be no good, which is no danger: 'I think it's a bad battery'."""
    return _is(text, "no_good", vocabulary)


def made_safe(text: str, vocabulary: Vocabulary) -> bool:
    """Whether something is told to be switched off, which sounds like a danger and is none: 'fuel's cut'."""
    return _is(text, "made_safe", vocabulary)


def lifted_named(text: str, vocabulary: Vocabulary) -> bool:
    """Whether a safety question is about something that is lifted, or about going under it."""
    return _is(text, "under", vocabulary)


def _is(text: str, part: str, vocabulary: Vocabulary) -> bool:
    return _found(text, part, vocabulary) is not None


def _found(text: str, part: str, vocabulary: Vocabulary) -> re.Match[str] | None:
    """Where a form of a part stands, None for nowhere."""
    pattern = vocabulary.hazards.get(part)
    return None if pattern is None else pattern.search(" ".join(text.lower().replace("’", "'").split()))
