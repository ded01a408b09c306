"""Where things stand in a TOML text: from a path of keys and counts to a line number, for messages.

The TOML reader gives values without their lines. This scanner reads only what it needs: table headers, keys at the
start of a line, and where strings of several lines and arrays end. A path it does not know falls back to the nearest
table or key around it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cached_property

Path = tuple[str | int, ...]

_KEY = r"(?:[A-Za-z0-9_-]+|\"(?:[^\"\\]|\\.)*\"|'[^']*')"
_DOTTED = rf"{_KEY}(?:\s*\.\s*{_KEY})*"
_HEADER = re.compile(rf"^\s*(\[\[?)\s*({_DOTTED})\s*\]\]?\s*(?:#.*)?$")
_ENTRY = re.compile(rf"^\s*({_DOTTED})\s*=(.*)$", re.DOTALL)
_PIECE = re.compile(_KEY)
_STRING = re.compile(r'"""|\'\'\'|"(?:[^"\\\n]|\\.)*"|\'[^\'\n]*\'|#[^\n]*|[\[\]{}]')


class Lines:
    """Line numbers, counted from 1, of every table and key in one TOML text."""

    def __init__(self, text: str) -> None:
        self._text = text

    @cached_property
    def _at(self) -> dict[Path, int]:
        """Looked through when the first line is asked for: of a sound file none is."""
        at: dict[Path, int] = {}
        for path, line in _scan(self._text):
            at.setdefault(path, line)
        return at

    def of(self, *path: str | int) -> int | None:
        """Line of the key or table at ``path``, else of the nearest thing around it; None when nothing is known."""
        for length in range(len(path), 0, -1):
            line = self._at.get(tuple(path[:length]))
            if line is not None:
                return line
        return None


def _scan(text: str) -> Iterator[tuple[Path, int]]:
    counts: dict[Path, int] = {}
    table: Path = ()
    closing = ""
    depth = 0
    items: Path = ()
    for number, line in enumerate(text.replace("\r\n", "\n").split("\n"), start=1):
        if closing or depth:
            if depth == 1 and not closing and items and line.lstrip()[:1] in ("{", '"', "'"):
                yield items, number
                items = (*items[:-1], int(items[-1]) + 1)
            closing, depth = _carry(line, closing, depth)
            continue
        header = _HEADER.match(line)
        if header:
            table = _open(header.group(2), header.group(1) == "[[", counts)
            yield table, number
            continue
        entry = _ENTRY.match(line)
        if entry:
            keys = _pieces(entry.group(1))
            for length in range(1, len(keys) + 1):
                yield (*table, *keys[:length]), number
            yield from _inline((*table, *keys), entry.group(2), number)
            closing, depth = _carry(entry.group(2), "", 0)
            # items of an array that begin on lines of their own have those lines
            items = (*table, *keys, 0) if entry.group(2).split("#")[0].strip() == "[" else ()


def _inline(path: Path, value: str, number: int) -> Iterator[tuple[Path, int]]:
    """Keys of a one-line inline table, so that a message names the line it stands on."""
    if value.lstrip().startswith("{"):
        for key in re.findall(rf"[{{,]\s*({_KEY})\s*=", value):
            yield (*path, _plain(key)), number


def _open(dotted: str, counted: bool, counts: dict[Path, int]) -> Path:
    """The path of a table header; ``[[checks]]`` counts, ``[checks.limits]`` belongs to the latest check."""
    path: Path = ()
    keys = _pieces(dotted)
    for key in keys[:-1]:
        path = (*path, key)
        if path in counts:
            path = (*path, counts[path] - 1)
    path = (*path, keys[-1])
    if counted:
        counts[path] = counts.get(path, 0) + 1
        return (*path, counts[path] - 1)
    return path


def _carry(line: str, closing: str, depth: int) -> tuple[str, int]:
    """Is a string of several lines or a bracket still open at the end of this line?"""
    rest = line
    if closing:
        end = rest.find(closing)
        if end < 0:
            return closing, depth
        rest = rest[end + 3 :]
    position = 0
    while match := _STRING.search(rest, position):
        mark = match.group()
        position = match.end()
        if mark in ('"""', "'''"):
            end = rest.find(mark, position)
            if end < 0:
                return mark, depth
            position = end + 3
        elif mark in "[{":
            depth += 1
        elif mark in "]}":
            depth = max(0, depth - 1)
    return "", depth


def _pieces(dotted: str) -> tuple[str, ...]:
    return tuple(_plain(piece) for piece in _PIECE.findall(dotted))


def _plain(key: str) -> str:
    return key[1:-1] if key[:1] in "\"'" else key
