"""Decisions are numbered through the house: each number once, and DEVELOPERS.md says in which room it stands."""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).parents[1]
ROOMS = {
    path.relative_to(ROOT).as_posix(): path.read_text(encoding="utf-8") for path in ROOT.glob("assistant/*/README.md")
}


def numbers(text: str) -> set[str]:
    """Numbers as a list names them: '7, 13 to 22, P7'; what stands in brackets is of another room."""
    found: set[str] = set()
    for part in re.sub(r"\(.*?\)", "", text).split(","):
        named = re.fullmatch(r"([A-Z]?)(\d+)(?: to \1(\d+))?", part.strip())
        if named is not None:
            letter, first, last = named.groups()
            found |= {f"{letter}{number}" for number in range(int(first), int(last or first) + 1)}
    return found


def told() -> dict[str, set[str]]:
    """The table of DEVELOPERS.md: room to its numbers."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    rows = re.findall(r"^\| `(assistant/\w+/README\.md)` \| (.*) \|$", text, re.MULTILINE)
    return {room: numbers(row) for room, row in rows}


def standing(text: str) -> list[str]:
    return re.findall(r"^\| ?([A-Z]?\d+) \|", text, re.MULTILINE)


def test_no_number_stands_twice() -> None:
    every = Counter(number for text in ROOMS.values() for number in standing(text))
    assert [number for number, times in every.items() if times > 1] == []


def test_the_table_says_where_each_stands() -> None:
    of_another_room = {"assistant/web/README.md": {"D5"}}
    for room, text in ROOMS.items():
        assert set(standing(text)) - of_another_room.get(room, set()) == told().get(room, set()), room
