"""How long a sentence takes to say, and lists cut into pieces that are short enough to hear."""

from __future__ import annotations

import re
from collections.abc import Sequence

LONGEST = 12.0
"""Seconds that may be said in one breath."""
LETTER, DIGIT, STOP, COMMA = 0.07, 0.32, 0.36, 0.29
"""Seconds that each takes in a sentence spoken at 170 words a minute: fitted on every sentence of the procedures that
come with the program, spoken by espeak-ng; 0.3 s off on average, below 1.2 s each, too long rather than too short."""


def seconds_of(text: str) -> float:
    """About how long a sentence takes to say, in seconds; figures are said digit by digit."""
    letters, digits = sum(mark.isalpha() for mark in text), sum(mark.isdigit() for mark in text)
    stops = len(re.findall(r"[.!?:;](?=\s|$)", text))
    return LETTER * letters + DIGIT * digits + STOP * stops + COMMA * text.count(",")


def breaths(items: Sequence[str], around: str = "", seconds: float = LONGEST) -> tuple[tuple[str, ...], ...]:
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
