"""Words -> parts with a role: number, unit, display, and what every other word does beside an answer.

The longest form wins; between roles of one form the order of ``_ORDER`` decides. A number or a unit keeps its part
unless a longer form holds it ('this one', 'a second ago').
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

from assistant.numerals.tokenizer import BREAK, NUMBER_KINDS, UNKNOWN, WORD, Item
from assistant.numerals.vocabulary import Kind, Vocabulary

AS = "as_"
"""Beginning of the roles of other spellings; what they are told as follows."""
NUMBER, UNIT, LEFT_OVER, PAUSE, LEAD, NAMED = "number", "unit", "left over", "pause", "lead", "named"
MASK = "zzname"
"""Beginning of the words that stand for names of choices; nobody says it."""
MARKERS = frozenset({
    "question", "talk", "elsewhere", "unreal", "negation", "expectation", "rated", "now", "earlier", "place",
    "other_place", "moving", "vague", "numbered", "taken_back",
})  # fmt: skip
"""Roles that change what a value beside them counts for."""
STATES = frozenset({
    "open", "zero_resistance", "zero_voltage", "zero_current", "zero_pressure", "zero_any", "blank", "unsteady",
    "spread",
})  # fmt: skip
"""Roles of words that stand for what the meter shows."""
SHOWN = STATES | {NAMED, Kind.OVER_RANGE.value, Kind.NOTHING.value, Kind.UNSTEADY.value}
_ORDER = (
    "question", "other_place", "talk", "elsewhere", "unreal", "negation", "rated", "expectation", "now", "earlier",
    "place", "open", "zero_resistance", "zero_voltage", "zero_current", "zero_pressure", "zero_any", "blank",
    "spread", "unsteady", "moving", "taken_back", "correction", "exact", "hedge", "vague", "numbered", "tail",
    "asking_tail", "circumstance", "but", AS, "filler", "lead",
)  # fmt: skip
_RANK = {role: rank for rank, role in enumerate(_ORDER)}
_LEADING = frozenset({"question", "talk"})
"""Roles that a form has only at the beginning of a clause."""
_TOKEN = re.compile(r"[^\W_]+(?:['’.][^\W_]+)*")
_STOP = re.compile(r"[,;:?!…—]|\.(?!\d)")
_FREE = frozenset({WORD, Kind.CARRIER.value, Kind.FILLER.value})


def rank(role: str) -> int:
    """Place of a role in the order in which they go before each other; -1 for one that stands in no clause."""
    return _RANK.get(AS if role.startswith(AS) else role, -1)


class Part(NamedTuple):
    """Some words of an utterance and what they do."""

    role: str
    text: str
    start: int
    """Offset of the first character."""
    end: int
    """Offset behind the last character."""
    kind: str = ""
    """Kind of the item for a number, a unit or a word that the reader knows; '' else."""
    roles: tuple[str, ...] = ()
    """All roles of the form."""


def parts_of(text: str, items: Sequence[Item], vocabulary: Vocabulary) -> list[Part]:
    """The parts of one utterance, in order; ``items`` are those of the tokenizer."""
    tokens = [
        (found.group().lower().replace("’", "'"), found.start(), found.end()) for found in _TOKEN.finditer(text)
    ]
    owner = _owners(tokens, items)
    used: set[int] = set()
    parts: list[Part] = []
    begins, valued, at = True, False, 0
    owned = set(owner.values())
    loose = [item for number, item in enumerate(items) if number not in owned]
    while at < len(tokens):
        start = tokens[at][1]
        while loose and loose[0].start < start:
            parts.append(_known(loose.pop(0), text))
            begins = begins or parts[-1].role == PAUSE
        begins = begins or _stops(text, parts[-1].end if parts else 0, start)
        found, size = _match(text, tokens, at, items, owner, begins, valued, vocabulary)
        if found is None:
            number = owner.get(at)
            item = items[number] if number is not None else None
            if item is not None and item.kind == UNKNOWN and number not in used:
                found, size = _known(item, text), 1
            elif item is None or number in used or item.start != start:
                role = LEFT_OVER if item is None or item.kind == WORD else LEAD
                found, size = Part(role, tokens[at][0], start, tokens[at][2]), 1
            else:
                found = _known(item, text)
                size = max(1, sum(1 for place in range(at, len(tokens)) if owner.get(place) == number))
        number = owner.get(at)
        if number is not None:
            used.add(number)
        valued = valued or found.role == NUMBER or found.role in SHOWN
        parts.append(found)
        begins = (begins and found.role in ("filler", "but")) or found.role in (PAUSE, "but")
        at += size
    parts += [_known(item, text) for item in loose]
    return sorted(parts, key=lambda part: part.start)


def _owners(tokens: Sequence[tuple[str, int, int]], items: Sequence[Item]) -> dict[int, int]:
    """Place of a token -> place of the item that holds it."""
    found: dict[int, int] = {}
    number = 0
    for at, (_, start, _) in enumerate(tokens):
        while number < len(items) and items[number].end <= start:
            number += 1
        if number < len(items) and items[number].start <= start < max(items[number].end, items[number].start + 1):
            found[at] = number
    return found


def _match(
    text: str,
    tokens: Sequence[tuple[str, int, int]],
    at: int,
    items: Sequence[Item],
    owner: dict[int, int],
    begins: bool,
    valued: bool,
    vocabulary: Vocabulary,
) -> tuple[Part | None, int]:
    """The longest form of a role that begins at a token and may stand there."""
    word = tokens[at][0]
    rows = vocabulary.roles.get(word)
    if not rows and word.endswith("'s"):  # "the cable's": the cable is
        rows = tuple(row for row in vocabulary.roles.get(word.removesuffix("'s"), ()) if len(row[0]) == 1)
    if not rows:
        return None, 0
    core, core_size = _core(tokens, at, items, owner)
    for words, roles in rows:
        size = len(words)
        if size < core_size or at + size > len(tokens):
            continue
        if any(tokens[at + k][0] != words[k] for k in range(1, size)):
            continue
        if any(_STOP.search(text, tokens[at + k][2], tokens[at + k + 1][1]) for k in range(size - 1)):
            continue
        fitting = sorted((role for role in roles if rank(role) >= 0 and (begins or role not in _LEADING)), key=rank)
        role = fitting[0] if fitting else ""
        if not role or not _beats(role, size, core, core_size, valued=valued) or _splits(at + size - 1, items, owner):
            continue
        start, end = tokens[at][1], tokens[at + size - 1][2]
        return Part(role, " ".join(words), start, end, roles=roles), size
    return None, 0


def _core(
    tokens: Sequence[tuple[str, int, int]], at: int, items: Sequence[Item], owner: dict[int, int]
) -> tuple[str, int]:
    """Kind and size in tokens of the item that begins at a token; '' for words that are free to have a role."""
    number = owner.get(at)
    if number is None or items[number].start != tokens[at][1] or items[number].kind in _FREE:
        return "", 0
    if items[number].kind == "h" and not _number_follows(items, number):
        return "", 0  # 'one eighty on the hub': what may be heard for a digit is a word of its own here
    if items[number].kind == Kind.TO and not _between_numbers(items, number):
        return "", 0  # 'reading through the harness'
    size = 0
    while owner.get(at + size) == number:
        size += 1
    return str(items[number].kind), size


def _between_numbers(items: Sequence[Item], number: int) -> bool:
    near = (*items[max(0, number - 2) : number], *items[number + 1 : number + 3])
    return sum(item.kind in NUMBER_KINDS for item in near) >= 2


def _number_follows(items: Sequence[Item], number: int) -> bool:
    return number + 1 < len(items) and items[number + 1].kind in NUMBER_KINDS


def _beats(role: str, size: int, core: str, core_size: int, *, valued: bool) -> bool:
    """Whether a form of this role and size stands before what the tokenizer made of the word."""
    if not core or size > core_size:
        return True
    if core == Kind.COMMAND and role == "correction":
        return valued
    if core in NUMBER_KINDS or core == Kind.UNIT:
        return False
    return role in MARKERS and core not in (Kind.OVER_RANGE, Kind.NOTHING, Kind.UNSTEADY)


def _splits(last: int, items: Sequence[Item], owner: dict[int, int]) -> bool:
    """Whether a form would end inside a phrase that the tokenizer knows."""
    number = owner.get(last)
    return number is not None and items[number].kind not in _FREE and owner.get(last + 1) == number


def _known(item: Item, text: str) -> Part:
    """The part that the tokenizer's item is."""
    if item.kind in NUMBER_KINDS:
        role = NUMBER
    elif item.kind == BREAK:
        role = PAUSE
    elif item.kind in (WORD, UNKNOWN):
        role = NAMED if item.text.startswith(MASK) else LEFT_OVER
    else:
        role = {Kind.CARRIER: LEAD, Kind.FILLER: "filler"}.get(item.kind, str(item.kind))  # type: ignore[call-overload]
    return Part(role, text[item.start : item.end].lower(), item.start, item.end, str(item.kind))


def _stops(text: str, start: int, end: int) -> bool:
    return _STOP.search(text, start, end) is not None
