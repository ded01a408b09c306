"""What may stand around and inside number words: carriers, commas, pauses, words the recognizer did not know."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.numerals.tokenizer import BREAK, NUMBER_KINDS, UNKNOWN, Item
from assistant.numerals.vocabulary import Kind

_AROUND = frozenset({Kind.CARRIER, Kind.FILLER})
_GOES_ON = frozenset("KPASM")
"""Kinds behind which a number goes on."""


def tidy(items: Sequence[Item]) -> list[Item]:
    """Without the words that may stand around a reading, and without an article that belongs to no number."""
    kept = [item for item in items if item.kind not in _AROUND]
    return [
        item
        for at, item in enumerate(kept)
        if item.kind != "X" or (at + 1 < len(kept) and kept[at + 1].kind in NUMBER_KINDS) or _number_before(kept, at)
    ]


def _number_before(items: Sequence[Item], at: int) -> bool:
    return at > 0 and items[at - 1].kind in NUMBER_KINDS and items[at - 1].kind not in "F"


def join_thousands(items: Sequence[Item]) -> tuple[list[Item], bool]:
    """Without the comma of 'one thousand, two hundred' and the pause of 'one point … eight'; whether there was one.

    Only where the number must go on: two that stand on their own are never made one.
    """
    kept: list[Item] = []
    for at, item in enumerate(items):
        follows = items[at + 1].kind if at + 1 < len(items) else ""
        goes_on = bool(kept) and kept[-1].kind in _GOES_ON
        if item.kind == BREAK and (goes_on or follows == "P") and follows in NUMBER_KINDS:
            continue
        kept.append(item)
    return kept, len(kept) != len(items)


def unknown_inside(items: Sequence[Item]) -> bool:
    """Whether a word that the recognizer did not know stands between number words."""
    places = [at for at, item in enumerate(items) if item.kind in NUMBER_KINDS]
    return bool(places) and any(item.kind == UNKNOWN for item in items[places[0] : places[-1]])
