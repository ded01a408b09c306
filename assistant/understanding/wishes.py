"""Commands, yes and no in free talk: 'let's skip this one', 'chocks are in', 'no not yet'.

Every word must belong: the words around a command are taken away from both ends until one of its forms is left. What
is asked ('should I skip this?') or denied ('don't stop') is no form, so it is no command.
"""

from __future__ import annotations

import re
from functools import lru_cache

from assistant.messages import Command, Expectation, Expects, Outcome, Understanding
from assistant.numerals.vocabulary import Vocabulary
from assistant.understanding import clarifications
from assistant.understanding.choices import normal

AROUND, DONE, TURNED, THINGS = "around", "done", "turned", "things"
_YES = frozenset({"yes", "yeah", "yep", "yup", "sure"})
_NOT = frozenset({
    "no", "nope", "nah", "not", "never", "aren't", "isn't", "haven't", "hasn't", "ain't", "don't", "didn't", "can't",
    "won't", "wasn't", "weren't", "none", "neither",
})  # fmt: skip
_ASKING = frozenset({"is", "are", "do", "does", "did", "am", "has", "have", "can"})
"""Words that ask at the beginning."""
_PIECES = re.compile(r"[,.;:!?…—]+")
_ANSWERS = frozenset({Command.YES, Command.NO})
_SAME = {frozenset({Command.YES, Command.NEXT}): Command.YES}
"""Two commands in one breath that are one: 'yes, done'."""


def wish_of(text: str, expectation: Expectation, vocabulary: Vocabulary) -> Understanding | None:
    """The command that an utterance is, None when it is none.

    A yes or a no in free talk counts only where one is waited for: 'it is good' at a reading is no yes.
    """
    forms, around = _forms(tuple(vocabulary.wishes.items()), tuple(vocabulary.commands.items()))
    said: list[Command] = []
    for piece in _PIECES.split(text):
        words = tuple(normal(piece).split())
        if not words:
            continue
        found = _command(words, forms, around, waits_for_yes=_waits_for_yes(expectation))
        if found is None and not _only_around(words, around):
            return None
        if found is not None:
            said.append(found)
    named = frozenset(said)
    command = said[0] if len(named) == 1 else _SAME.get(named)
    if command is None or (command in _ANSWERS and not _answers(expectation)):
        return None
    return Understanding(Outcome.COMMAND, text, unit=expectation.unit, command=command)


def statement_of(text: str, expectation: Expectation, vocabulary: Vocabulary) -> Understanding | None:
    """A yes or a no told as a statement: 'the chocks are down', 'brakes aren't caged yet'; None when it is none.

    Each word must be one of those that tell what is done, or of those around them.
    """
    if expectation.expects is not Expects.COMMAND or "?" in text:
        return None
    words = tuple(normal(text).split())
    done, turned, things = (_set(vocabulary.wishes.get(name, ())) for name in (DONE, TURNED, THINGS))
    told = _told(words, done, turned, things)
    if told is None or not words or words[0] in _ASKING:
        return None
    denied = sum(word in _NOT for word in words)
    denied -= denied > 1 and words[0] in ("no", "nope", "nah")  # 'nope, not done' is one no
    affirmed = any(word in _YES for word in words)
    if denied > 1 or (denied and affirmed) or not (told or denied or affirmed):
        return None
    if denied:
        return Understanding(Outcome.COMMAND, text, unit=expectation.unit, command=Command.NO)
    command = Command.NEXT if expectation.hint.startswith("next") else Command.YES
    unsure = TURNED in told
    ask = clarifications.which_name(vocabulary.commands[command][0]) if unsure else None
    return Understanding(
        Outcome.COMMAND, text, unit=expectation.unit, command=command, confirm=unsure, ask=ask,
        reason="leftover" if unsure else "",
    )  # fmt: skip


@lru_cache(maxsize=8)
def _set(forms: tuple[str, ...]) -> frozenset[tuple[str, ...]]:
    """The words of each form."""
    return frozenset(tuple(form.split()) for form in forms)


def _told(
    words: tuple[str, ...],
    done: frozenset[tuple[str, ...]],
    turned: frozenset[tuple[str, ...]],
    things: frozenset[tuple[str, ...]],
) -> set[str] | None:
    """What is told: that it is done, or a state that has an opposite; None when a word is left over."""
    at, told = 0, set[str]()
    while at < len(words):
        for size in range(min(4, len(words) - at), 0, -1):
            form = words[at : at + size]
            if form in done or form in turned or form in things:
                told |= {DONE} if form in done else {TURNED} if form in turned else set()
                at += size
                break
        else:
            return None
    return told


def _waits_for_yes(expectation: Expectation) -> bool:
    return expectation.hint.startswith("yes")


def _answers(expectation: Expectation) -> bool:
    """Whether a yes or a no is an answer here."""
    return expectation.expects is Expects.COMMAND or any(
        word in (choice.name, *choice.also) for choice in expectation.choices for word in ("yes", "no")
    )


@lru_cache(maxsize=8)
def _forms(
    wishes: tuple[tuple[str, tuple[str, ...]], ...], commands: tuple[tuple[str, tuple[str, ...]], ...]
) -> tuple[dict[tuple[str, ...], tuple[Command, ...]], frozenset[tuple[str, ...]]]:
    """Words of a form -> its commands, and the words that may stand around."""
    forms: dict[tuple[str, ...], tuple[Command, ...]] = {}
    around: set[tuple[str, ...]] = set()
    for name, texts in (*commands, *wishes):
        for text in texts:
            words = tuple(text.split())
            if name == AROUND:
                around.add(words)
            elif name in (DONE, TURNED, THINGS):
                continue
            elif Command(name) not in forms.get(words, ()):
                forms[words] = (*forms.get(words, ()), Command(name))
    return forms, frozenset(around)


def _command(
    words: tuple[str, ...],
    forms: dict[tuple[str, ...], tuple[Command, ...]],
    around: frozenset[tuple[str, ...]],
    *,
    waits_for_yes: bool,
) -> Command | None:
    """The command that is left when words around it are taken away, the longest form first."""
    seen = {words}
    rows = [words]
    while rows:
        for row in rows:
            if row in forms:
                named = forms[row]
                return Command.YES if waits_for_yes and Command.YES in named else named[0]
        rows = [short for row in rows for short in _shorter(row, around) if short not in seen and not seen.add(short)]  # type: ignore[func-returns-value]
    return None


def _shorter(words: tuple[str, ...], around: frozenset[tuple[str, ...]]) -> list[tuple[str, ...]]:
    found = []
    for size in range(1, min(6, len(words))):
        if words[:size] in around:
            found.append(words[size:])
        if words[-size:] in around:
            found.append(words[:-size])
    return found


def _only_around(words: tuple[str, ...], around: frozenset[tuple[str, ...]]) -> bool:
    """Whether nothing but words around a command is left."""
    return words in around or any(_only_around(short, around) for short in _shorter(words, around))
