"""Items of one utterance -> runs of number words, each with its unit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from assistant.numerals.tokenizer import BREAK, NUMBER_KINDS, UNKNOWN, Item
from assistant.numerals.units import Unit
from assistant.numerals.vocabulary import Kind, Vocabulary

_AROUND = frozenset({Kind.CARRIER, Kind.FILLER})
_GOES_ON = frozenset("KPASM")
"""Kinds behind which a number goes on."""


@dataclass(frozen=True, slots=True)
class Run:
    """Number items in a row, and the unit said with them."""

    items: tuple[Item, ...]
    unit: Unit | None


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


def runs_of(items: Sequence[Item], vocabulary: Vocabulary, prompt: Unit | None) -> list[Run]:
    """Runs of number items, each with the unit behind it, or the one in front when there is none behind."""
    runs: list[Run] = []
    current: list[Item] = []
    leading: Unit | None = None

    def close(unit: Unit | None) -> None:
        nonlocal leading
        if current:
            runs.append(_whole_run(tuple(current), unit or leading, vocabulary, prompt))
            leading = None
            current.clear()
        elif unit:
            leading = unit

    for item in items:
        if item.kind in NUMBER_KINDS:
            current.append(item)
        elif item.kind == Kind.UNIT:
            close(vocabulary.units[item.value])
        else:
            close(None)
    close(None)
    if leading and len(runs) == 1 and runs[0].unit is None:
        runs = [Run(runs[0].items, leading)]
    return runs


def _whole_run(items: tuple[Item, ...], unit: Unit | None, vocabulary: Vocabulary, prompt: Unit | None) -> Run:
    """'seven thirty seconds' is a fraction of an inch: the unit becomes a denominator; thousandths become a unit."""
    length = prompt is not None and prompt.dimension == "length"
    if length and unit is None and len(items) > 1 and items[-1].kind == "F" and items[-1].value == 1000:
        return Run(items[:-1], vocabulary.unit("thou"))
    counted = prompt is unit and all(item.kind != "A" for item in items)
    if unit and unit.name == "32nds" and not counted and items[-1].kind not in "FG":
        last = items[-1]
        return Run((*items, Item("F", 32, "", last.end, last.end)), vocabulary.unit("in"))
    return Run(items, unit)


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
