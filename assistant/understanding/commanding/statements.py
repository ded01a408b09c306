"""A yes or a no told as a statement: 'the chocks are down'; and one with more behind it: 'yup, wide open'."""

from __future__ import annotations

import re
from functools import lru_cache

from assistant.messages import NO_PROMPT, Command, Expectation, Expects, Outcome, Overlaid, Understanding
from assistant.numerals.vocabulary import Vocabulary
from assistant.understanding import clarifications
from assistant.understanding.choosing.choices import normal
from assistant.understanding.commanding.wishes import (
    DID,
    DONE,
    DONE_WORDS,
    THINGS,
    TURNED,
    YES,
    forms_in,
    waits_for_yes,
    wish_of,
)

_NOT = frozenset({
    "no", "nope", "nah", "not", "never", "aren't", "isn't", "haven't", "hasn't", "ain't", "don't", "didn't", "can't",
    "won't", "wasn't", "weren't", "none", "neither",
})  # fmt: skip
_ASKING = frozenset({"is", "are", "do", "does", "did", "am", "has", "have", "can"})
"""Words that ask at the beginning."""


def statement_of(text: str, expectation: Expectation, vocabulary: Vocabulary) -> Understanding | None:
    """A yes or a no told as a statement: 'the chocks are down', 'brakes aren't caged yet'; None when it is none.

    Each word must be one of those that tell what is done, or of those around them. A state that has an opposite, and
    work on something else than the prompt names, is asked about.
    """
    if expectation.expects is not Expects.COMMAND or "?" in text:
        return None
    words = tuple(normal(text).split())
    told = _told(words, vocabulary)
    if told is None or not words or words[0] in _ASKING or (TURNED in told and "still" in words):
        return None
    denied = sum(word in _NOT for word in words)
    denied -= denied > 1 and words[0] in ("no", "nope", "nah")  # 'nope, not done' is one no
    affirmed = any(word in YES for word in words)
    if denied > 1 or (denied and affirmed) or not (told or denied or affirmed):
        return None
    if denied:
        return Understanding(Outcome.COMMAND, text, unit=expectation.unit, command=Command.NO)
    command = Command.NEXT if expectation.hint.startswith("next") else Command.YES
    unsure = _unsure(words, told, expectation, vocabulary)
    ask = clarifications.which_name(vocabulary.commands[command][0]) if unsure else None
    return Understanding(
        Outcome.COMMAND, text, unit=expectation.unit, command=command, confirm=unsure, ask=ask,
        reason="leftover" if unsure else "",
    )  # fmt: skip


def _unsure(words: tuple[str, ...], told: set[str], expectation: Expectation, vocabulary: Vocabulary) -> bool:
    """Whether what was told may be about something else, or the opposite of what was asked."""
    if "\n" in expectation.told and words[0] not in YES:
        return bool(told)  # one of several cautions was told to be done
    if not told & {TURNED, DID}:
        return bool(told) and not waits_for_yes(expectation) and _only_sound(words, vocabulary)
    asked = frozenset(_stem(word) for word in normal(expectation.told).split())
    nouns = _nouns(vocabulary.questions.get("parts", ()))
    named = {_stem(word) for word in words} & nouns
    if not named <= asked and (asked or DID not in told):
        return True
    if DID in told:
        return False
    alone = (form for name, form in _parts(words, vocabulary) or () if name == TURNED and len(form) == 1)
    states = {_stem(form[0]) for form in alone}
    plain = states - _ADVERBS
    raised = asked & {"raise", "jack", "lift"}
    up = {"up"} if raised else set[str]()
    if not all(state in asked or asked & _SAME_AS.get(state, frozenset()) for state in states - up):
        return True
    return not (named or plain or DONE in told or states & up)


def _only_sound(words: tuple[str, ...], vocabulary: Vocabulary) -> bool:
    """'The sensor's good' where work is waited for: what a part is, and not that something was done to it."""
    done = {form for name, form in _parts(words, vocabulary) or () if name == DONE}
    nouns = _nouns(vocabulary.questions.get("parts", ()))
    return done <= _SOUND and bool(nouns & {_stem(word) for word in words})


_SOUND = frozenset({("good",), ("clear",), ("safe",), ("there",)})
_APART = frozenset({"unplug", "unhook", "disconnect", "pull", "remove"})
_TOGETHER = frozenset({"plug", "connect", "hook", "reconnect"})
_SAME_AS = {
    "disconnected": _APART, "unplug": _APART, "unplugged": _APART, "unhooked": _APART, "connected": _TOGETHER,
    "reconnected": _TOGETHER,
}  # fmt: skip
"""States that are what other words ask for."""
_ADVERBS = frozenset({"on", "in", "off", "up", "down", "out", "away"})
"""States that say nothing without the thing they are about."""


@lru_cache(maxsize=8)
def _nouns(parts: tuple[str, ...]) -> frozenset[str]:
    more = ("wheel", "shield", "drum", "key", "chock", "stand", "brake", "engine", "air", "hood", "tie")
    return frozenset(_stem(word) for part in (*parts, *more) for word in part.split())


def _stem(word: str) -> str:
    word = word.removesuffix("'s")
    if word.endswith("ged") and len(word) > 5:
        return word[:-3]  # unplugged, unplug
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word


def yes_with_more(text: str, expectation: Expectation, *, stopped: bool = False) -> str | None:
    """What follows a yes at 'is that right?' ('yup, wide open'); None when it begins with no yes.

    ``stopped``: a stop must stand behind it.
    """
    if not asked_alone(expectation):
        return None
    said = _BEGINS_WITH_YES.match(text.lower().replace("’", "'"))
    if said is None or (stopped and text[said.end() :].lstrip()[:1] not in (",", ".", ";", "-", "!")):
        return None
    return text[said.end() :].strip(" ,.;:!")


def yes_among(text: str, expectation: Expectation, vocabulary: Vocabulary) -> bool:
    """Whether one piece of what was said is a yes, and none takes it back: 'ándale, that's the one'."""
    pieces = [piece for piece in _PIECES.split(text) if normal(piece)]
    if "?" in text or len(pieces) < _TWO or len(normal(text).split()) > _MOST_WORDS or not only_aside(text):
        return False
    said = [wish_of(piece, expectation, vocabulary) for piece in pieces]
    known = {one.command for one in said if one is not None}
    return known == {Command.YES} and not any(denies(tuple(normal(piece).split())) for piece in pieces)


_PIECES = re.compile(r"[,.;:!…—]+")
_TWO = 2
_MOST_WORDS = 14


def asked_alone(expectation: Expectation) -> bool:
    """Whether nothing but a yes or a no is waited for: 'is that right?', and no work that is to be done."""
    alone = expectation.expects is Expects.COMMAND and not expectation.told and not expectation.hint
    return expectation.prompt.overlaid is Overlaid.CONFIRM or (alone and expectation.prompt == NO_PROMPT)


def no_with_more(text: str, *, stopped: bool = False) -> bool:
    """True for a no with its reason: 'no, I had it on the wrong pin'; not for 'no problem', 'no, it's right'.

    ``stopped``: a stop must stand behind it, so that 'no idea' and 'no not you' are none.
    """
    said = _BEGINS_WITH_NO.match(text.lower().replace("’", "'"))
    rest = normal(text[said.end() :]).split() if said is not None else []
    apart = said is not None and (not stopped or text[said.end() :].lstrip()[:1] in (",", ".", ";", "-"))
    return bool(rest) and apart and "?" not in text and not _TAKES_BACK_NO & set(rest)


_BEGINS_WITH_NO = re.compile(
    r"\W*(?:(?:oh|uh|um|hm+|well|ah|er|yeah|okay|ok|heck|hell|god|lord|man|boy)\W+)*(?:no|nope|nah|naw|negative)\b"
    r"(?:\s+(?:señor|senor|jefe|sir|ma'am|boss|man|buddy|way)(?=\s*(?:[,.;-]|$)))?"
)
_TAKES_BACK_NO = frozenset({
    "problem", "doubt", "question", "yes", "yeah", "yep", "right", "correct", "sir", "ma'am", "good", "fine", "okay",
    "change", "matter", "worries", "continuity", "reading", "power", "voltage",
})  # fmt: skip
_BEGINS_WITH_YES = re.compile(
    r"\W*(?:(?:oh|uh|well|okay|ok|heck|hell|man|boy)\W+)?(?:yes|yep|yup|yeah|yessir|sí|si|mm.?hmm|mhm|uh huh|right|"
    r"correct|affirmative|"
    r"absolutely|exactly|that's right|that is right|that's it|you got it|ten four)"
    r"\b(?!\s+(?:rear|front|side|axle|one))(?:\s+(?:señor|senor|jefe|sir|ma'am|boss|man|buddy)\b)?"
)
_CHANGES = frozenset({"no", "not", "but", "except", "should", "wait", "actually", "instead", "only", "wrong"})


def only_aside(rest: str) -> bool:
    """True for words behind a yes that take nothing of it back."""
    return not _CHANGES & set(normal(rest).split())


def _told(words: tuple[str, ...], vocabulary: Vocabulary) -> set[str] | None:
    """What is told: it is done, what was done, or a state that has an opposite; None when a word is left over."""
    parts = _parts(words, vocabulary)
    return None if parts is None else {name for name, _ in parts} & {DONE, TURNED, DID}


def _parts(words: tuple[str, ...], vocabulary: Vocabulary) -> list[tuple[str, tuple[str, ...]]] | None:
    """The forms that the words are made of, the longest first, each with its list; None when a word is left over."""
    at, found_all = 0, list[tuple[str, tuple[str, ...]]]()
    sets = [(name, forms_in(vocabulary.wishes.get(name, ()))) for name in (DONE, TURNED, THINGS, DID, DONE_WORDS)]
    while at < len(words):
        for size in range(min(6, len(words) - at), 0, -1):
            form = words[at : at + size]
            found = next((name for name, forms in sets if form in forms), None)
            if found is not None:
                found_all.append((found, form))
                at += size
                break
        else:
            return None
    return found_all


def told_parts(words: tuple[str, ...], vocabulary: Vocabulary) -> list[tuple[str, tuple[str, ...]]] | None:
    """What words tell of work, form by form, each with its list; None when one tells nothing."""
    return _parts(words, vocabulary)


def told_words(words: tuple[str, ...], vocabulary: Vocabulary) -> bool:
    """Whether all words are such as stand around work that was done."""
    return not words or (not denies(words) and _parts(words, vocabulary) is not None)


def denies(words: tuple[str, ...]) -> bool:
    """Whether something is denied."""
    return bool(_NOT & set(words))


def begins_with_yes(words: tuple[str, ...]) -> bool:
    """Whether a yes stands first."""
    return bool(words) and words[0] in YES
