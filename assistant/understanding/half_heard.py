"""What may come of words of which some were not heard: 'give me a more [unclear]' was said to somebody else.

Likeness is told by the words that were heard; the others may have said the opposite. So of what was half heard
nothing goes into the record by its likeness: it is asked about, or left, unless it only asks or warns.
"""

from __future__ import annotations

from dataclasses import replace

from assistant.messages import Outcome, Report, Understanding
from assistant.numerals.tokenizer import UNKNOWN_WORD
from assistant.understanding import clarifications

_TAKES = 0.15
"""What each word that was not heard takes from how far an intent stands before the others."""


def less_sure(text: str) -> float:
    """What the words that were not heard take from how far an intent stands before all others."""
    return _TAKES * text.split().count(UNKNOWN_WORD)


def heard_enough(text: str, like: Understanding | None) -> Understanding | None:
    """What words are like, as far as it may stand: a choice is asked about, what changes something else is left.

    Args:
        text: what was heard.
        like: what it is like; None for nothing.
    """
    if like is None or UNKNOWN_WORD not in text or like.confirm:
        return like
    if like.outcome is Outcome.CHOICE and like.choice is not None:
        return replace(like, confirm=True, reason="leftover", ask=clarifications.which_name(like.choice))
    return like if like.outcome in (Outcome.QUESTION, Outcome.CHOOSE) or like.report is Report.DANGER else None
