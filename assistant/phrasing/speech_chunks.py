"""Lists in pieces that are short enough to hear: the first is said, the others when 'go on' asks for them."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.messages import Command, Outcome, Say, Understanding
from assistant.phrasing.breath import LONGEST, breaths, seconds_of

HINT = "Say go on for the rest."
"""What follows a piece that is not the last, as the phrase 'rest' says it."""


MORE = frozenset({"more", "the rest", "say more", "tell me more", "read on"})
"""Typed as well as 'go on' while a list waits. None is listened for: 'more' is heard as 'four'."""


def go_on(meant: Understanding, words: str, rest: Sequence[Say]) -> Understanding:
    """'More' as 'go on' while a list is not said to its end and the words are no answer; else what was meant."""
    said = " ".join(words.lower().split()).strip(" .!?")
    if not rest or meant.outcome is not Outcome.NOT_UNDERSTOOD or said not in MORE:
        return meant
    return Understanding(Outcome.COMMAND, words, command=Command.RESUME)


def pieces(first: str, more: str, items: Sequence[str], around: str, **slots: int) -> tuple[Say, ...]:
    """A list as one saying for each breath.

    Args:
        first: phrase of the first piece, with a slot 'items'.
        more: phrase of the others.
        items: texts in order.
        around: the words of the longer of the two phrases, for the time that they take.
        slots: other slots of the first phrase.
    """
    whole = breaths(items, around)
    parts = whole if len(whole) < 2 else breaths(items, around, LONGEST - seconds_of(HINT))
    return tuple(
        Say(first, {"items": part, **slots}) if number == 0 else Say(more, {"items": part})
        for number, part in enumerate(parts)
    )


def opening(parts: Sequence[Say]) -> tuple[Say, ...]:
    """What is said at once: the first piece and, where more follow, how to hear them."""
    return (*parts[:1], Say("rest")) if len(parts) > 1 else tuple(parts)
