"""Lists in chunks that are short enough to hear, and how long a sentence takes to say.

The first chunk is said, the others when 'go on' asks for them.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from assistant.messages import Command, Outcome, Say, Understanding
from assistant.phrasing.sentences import PHRASES

LONGEST = 12.0
"""Seconds that may be said in one breath."""
LETTER, DIGIT, STOP, COMMA = 0.07, 0.32, 0.36, 0.29
"""Seconds that each takes in a sentence spoken at 170 words a minute: fitted on every sentence of the procedures that
come with the program, spoken by espeak-ng; 0.3 s off on average, below 1.2 s each, too long rather than too short."""
MORE = frozenset({"more", "the rest", "say more", "tell me more", "read on"})
"""Typed as well as 'go on' while a list waits. None is listened for: 'more' is heard as 'four'."""
_LIST = re.compile(r":? ?\{(?:items|text)\}")
_COUNT = re.compile(r"\{[^}]*\}")


def seconds_of(text: str) -> float:
    """About how long a sentence takes to say, in seconds; figures are said digit by digit."""
    letters, digits = sum(mark.isalpha() for mark in text), sum(mark.isdigit() for mark in text)
    stops = len(re.findall(r"[.!?:;](?=\s|$)", text))
    return LETTER * letters + DIGIT * digits + STOP * stops + COMMA * text.count(",")


def words_around(*keys: str) -> str:
    """The words that phrases say around a list, with room for a count of two digits."""
    return " ".join(_COUNT.sub("99", _LIST.sub("", PHRASES[key])) for key in keys)


def chunks_of(items: Sequence[str], around: str = "", seconds: float = LONGEST) -> tuple[tuple[str, ...], ...]:
    """Items in order, in groups that take at most so long to say.

    Args:
        items: texts of a list; one that is too long by itself is a group of its own.
        around: the words that are said with every group.
        seconds: how long one group may take, with the words around it.
    """
    groups: list[tuple[str, ...]] = []
    for item in items:
        longer = (*groups[-1], item) if groups else (item,)
        if groups and seconds_of(f"{around} {'; '.join(longer)}.") <= seconds:
            groups[-1] = longer
        else:
            groups.append((item,))
    return tuple(groups)


def say_list(first: str, more: str, items: Sequence[str], **slots: int) -> tuple[Say, ...]:
    """A list as one saying for each breath.

    Args:
        first: phrase of the first chunk, with a slot 'items'.
        more: phrase of the others.
        items: texts in order.
        slots: other slots of the first phrase.
    """
    around = max(words_around(first), words_around(more), key=seconds_of)
    chunks = chunks_of(items, around)
    if len(chunks) > 1:
        chunks = chunks_of(items, around, LONGEST - seconds_of(PHRASES["rest"]))
    return tuple(
        Say(first, {"items": chunk, **slots}) if number == 0 else Say(more, {"items": chunk})
        for number, chunk in enumerate(chunks)
    )


def opening(chunks: Sequence[Say]) -> tuple[Say, ...]:
    """What is said at once: the first chunk and, where more follow, how to hear them."""
    return (*chunks[:1], Say("rest")) if len(chunks) > 1 else tuple(chunks)


def go_on(meant: Understanding, words: str, rest: Sequence[Say]) -> Understanding:
    """'More' as 'go on' while a list is not said to its end and the words are no answer; else what was meant."""
    said = " ".join(words.lower().split()).strip(" .!?")
    free = meant.outcome is Outcome.NOT_UNDERSTOOD or meant.command is Command.SAY_MORE
    if not rest or not free or said not in MORE:
        return meant
    return Understanding(Outcome.COMMAND, words, command=Command.RESUME)
