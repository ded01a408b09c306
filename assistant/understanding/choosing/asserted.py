"""What of the words beside a choice's own is said to be so: nothing that is asked, supposed, or done to a thing."""

from __future__ import annotations

import re
from collections.abc import Sequence

from assistant.messages import Choice
from assistant.understanding.choosing.choices import forms_of, normal, stems_of

ENDS = frozenset({"but", "and", "just", "only", "though", "however", "except"})
"""Words behind which nothing is denied or supposed any more."""
_PIECES = re.compile(r"[,.;:!…—]+")
_ASKS = re.compile(
    r"(?:(?:and|so|but|hey|okay|well|um|uh)\s+)*"
    r"(?:what\s+(?:chang\w*|mov\w*|happen\w*|did|does|do|was|were|would|should|if|kind)\b|why\b|who\b|how\s+come\b|"
    r"(?:did|does|do|is|are|was|were|has|have|can|could|should|would|will)\s+"
    r"(?:it|they|you|he|she|we|i|any|anything|something)\b)"
)
"""How a piece begins that asks: 'what changed when you wiggled it', 'did it move'."""
_SUPPOSES = re.compile(r"\b(?:(?:would|should|could|might|ought)(?:'ve| have| of)(?! to\b)|supposed to|whether)\b")
_SOMEBODY = frozenset({
    "i", "i've", "we", "we've", "he", "she", "they", "you", "somebody", "someone", "guy", "shop", "already",
})  # fmt: skip
_THINGS = frozenset({"the", "my", "that", "this", "those", "these", "both", "his", "her", "out"})
_UNREAL = frozenset({
    "if", "should", "would", "could", "might", "supposed", "whether", "unless", "until", "maybe", "perhaps", "expect",
    "was", "were", "used", "before", "yesterday", "usually", "normally", "other", "others", "except", "probably",
    "left", "right", "front", "rear", "side", "driver", "passenger", "curb", "axle",
})  # fmt: skip
"""Words beside which something may not be so, not now, or not here."""
_LONGEST = 16
"""Words; with more of them it was a story, which is asked about."""
_DENIES = frozenset({
    "no", "not", "isn't", "ain't", "aren't", "don't", "doesn't", "didn't", "wasn't", "never", "nothing", "without",
    "none", "can't", "cannot", "won't", "hardly", "zero", "wouldn't", "couldn't", "haven't", "hasn't",
    "nobody", "nor",
})  # fmt: skip
_REACH = 4
"""Words that a denial reaches over."""
_ENOUGH = 3
"""Words of an answer that is said beside what is supposed."""


def asserted(text: str) -> list[list[str]]:
    """The words of each piece that are neither asked nor supposed; pieces without any are left out."""
    found = []
    for piece in _PIECES.split(text):
        said = normal(piece)
        if not said or _ASKS.match(said):
            continue
        supposed = _SUPPOSES.search(said)
        words = said.split() if supposed is None else said[: supposed.start()].split()
        if supposed is not None:
            behind = said[supposed.end() :].split()
            end = next((at for at, word in enumerate(behind) if word in ENDS), len(behind))
            words += behind[end:]
        if words:
            found.append(words)
    return found


def tells_nothing(text: str, choice: Choice) -> bool:
    """Whether a whole text only asks or supposes, or tells what somebody did to a thing by the choice's own word."""
    pieces = asserted(text)
    left = sum(map(len, pieces))
    if left < min(_ENOUGH, len(normal(text).split())):
        return True
    return any(done_to_a_thing(words, at, choice) for words in pieces for at in range(len(words)))


def done_to_a_thing(words: Sequence[str], at: int, choice: Choice) -> bool:
    """'Changed the bulb', 'I moved the lead': what somebody did, in another form of the choice's own word."""
    word, behind = words[at], words[at + 1 : at + 2]
    if not word.endswith("ed") or not behind or behind[0] not in _THINGS:
        return False
    if at and words[at - 1] not in _SOMEBODY:
        return False
    own = forms_of(choice)
    return word not in own and any(" " not in form and not stems_of(word).isdisjoint(stems_of(form)) for form in own)


def of_now(said: Sequence[str]) -> bool:
    """Whether words tell of here and now: not what may be, was or is elsewhere, and no story."""
    return len(said) <= _LONGEST and _UNREAL.isdisjoint(said)


def told_undenied(text: str, choice: Choice) -> bool:
    """Whether a word of a choice's own stands in a text, in any form, and is neither denied, asked nor supposed."""
    own = {stem for form in forms_of(choice) if " " not in form for stem in stems_of(form)}
    return any(
        not stems_of(word).isdisjoint(own) and not denied(words, at) and not done_to_a_thing(words, at, choice)
        for words in asserted(text)
        for at, word in enumerate(words)
    )


def only_denied(text: str, choice: Choice) -> bool:
    """'The load ain't dead' of 'load dead': what ends a name of the choice stands there, and is denied each time."""
    forms = [form.split() for form in forms_of(choice)]
    ends = {stem for form in forms if form and _DENIES.isdisjoint(form) for stem in stems_of(form[-1])}
    told = [
        denied(words, at)
        for words in asserted(text)
        for at, word in enumerate(words)
        if not stems_of(word).isdisjoint(ends)
    ]
    return bool(told) and all(told)


def denied(words: Sequence[str], at: int) -> bool:
    """Whether a denial reaches over the word at a place."""
    for word in reversed(words[max(0, at - _REACH) : at]):
        if word in ENDS:
            return False
        if word in _DENIES:
            return True
    return False
