"""What may stand around and inside number words: carriers, commas, pauses, words the recognizer did not know."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.numerals.tokenizer import BREAK, NUMBER_KINDS, UNKNOWN, Item
from assistant.numerals.vocabulary import Kind

_AROUND = frozenset({Kind.CARRIER, Kind.FILLER})
_GOES_ON = frozenset("KPASM")
"""Kinds behind which a number goes on."""
_PARTS = frozenset({"32nds", "thou"})
"""Units that are parts of another one: no fraction of them is said."""


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


def fractions_first(items: Sequence[Item]) -> list[Item]:
    """'an inch and a half' as 'one and a half inch': the unit or the scale behind the fraction that goes with it."""
    found = list(items)
    if any(item.kind in (Kind.BETWEEN, Kind.TO) for item in items):
        return found
    for at in range(len(found)):
        item = found[at]
        whole = at == 0 or found[at - 1].kind not in "FPR"
        if not whole or not (item.kind == "k" or (item.kind == Kind.UNIT and item.value not in _PARTS)):
            continue
        behind = at + 1
        joint = found[behind] if behind < len(found) and found[behind].kind == "A" else None
        first = behind + (joint is not None)
        last = _fraction_end(found, first)
        if last is None:
            continue
        before = _article_as_one(found[:at], item)
        joined = [joint or Item("A", None, "", item.end, item.end), *found[first:last]]
        return [*before, *joined, item, *fractions_first(found[last:])]
    return found


def _fraction_end(items: Sequence[Item], first: int) -> int | None:
    """Where a fraction that begins here ends; None when there is none, or a number goes on behind it."""
    at = first
    if at < len(items) and items[at].kind in "XDTY" and at + 1 < len(items) and items[at + 1].kind == "F":
        at += 1
    if at >= len(items) or items[at].kind != "F":
        return None
    at += 1
    goes_on = at < len(items) and items[at].kind in NUMBER_KINDS and items[at].kind != "X"
    return None if goes_on or (at < len(items) and items[at].kind == Kind.UNIT) else at


def _article_as_one(before: Sequence[Item], unit: Item) -> list[Item]:
    """'an inch' and a bare 'inch' are one inch."""
    kept = list(before)
    if kept and kept[-1].kind == "X":
        return [*kept[:-1], kept[-1]._replace(kind="D", value=1)]
    if kept and kept[-1].kind in NUMBER_KINDS:
        return kept
    return [*kept, Item("D", 1, "", unit.start, unit.start)]


def unknown_inside(items: Sequence[Item]) -> bool:
    """Whether a word that the recognizer did not know stands between number words."""
    places = [at for at, item in enumerate(items) if item.kind in NUMBER_KINDS]
    return bool(places) and any(item.kind == UNKNOWN for item in items[places[0] : places[-1]])
