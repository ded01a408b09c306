"""Commands, yes and no as patterns: what is endless in them is which words stand in which place.

In ``grammars/patterns.toml`` words stand for themselves, ``<x>`` for a slot, ``(x)`` may be left out, ``[x|y]`` is
one of them. A pattern is the whole of a piece of what was said. Where each part of one can end is worked out word by
word, and remembered for slots, so that no pattern takes long, however its parts overlap.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache

from assistant.messages import Command

SLOTS, WORKING, NOT_MEANT, NOT_ALONE = "slots", "working", "not_meant", "not_alone"
ASKED = "_asked"
"""Ending of the names of patterns whose words may say something else."""
SHORT_FORMS = {
    "whats": "what's", "wheres": "where's", "hows": "how's", "whos": "who's", "whys": "why's", "thats": "that's",
    "theres": "there's", "im": "i'm", "ive": "i've", "youre": "you're", "lets": "let's", "dont": "don't",
    "didnt": "didn't", "doesnt": "doesn't", "cant": "can't", "couldnt": "couldn't", "isnt": "isn't", "aint": "ain't",
    "wont": "won't", "wasnt": "wasn't", "havent": "haven't", "wouldnt": "wouldn't", "arent": "aren't",
}  # fmt: skip
"""Short forms that are typed without an apostrophe."""
_TOKEN = re.compile(r"<(\w+)>|([()\[\]|])|([^\s<>()\[\]|]+)")
_LONGEST = 16
"""Words of the longest piece that is a command: more is a story."""
_ORDER = (
    Command.WITHDRAW, Command.CORRECTION, Command.SKIP, Command.GO_BACK, Command.SAY_AGAIN, Command.HOLD,
    Command.RESUME, Command.STOP, Command.NOTE, Command.WHERE, Command.WHATS_LEFT, Command.WHY, Command.HELP,
    Command.SAY_LESS, Command.SAY_MORE, Command.SAY_USUAL, Command.NO, Command.YES, Command.NEXT,
)  # fmt: skip
"""Where a piece fits two of them the first counts; a yes and 'next' say the same where one is waited for."""
_YES_FIRST = sorted(_ORDER, key=lambda one: one is not Command.YES)
_Known = dict[tuple[str, int], frozenset[int]]
"""Slot and word at which it begins -> words at which it may end."""


def named_by(
    words: tuple[str, ...], patterns: Mapping[str, tuple[str, ...]], *, yes_first: bool
) -> tuple[Command, bool] | None:
    """The command that these words are by a pattern, and whether a yes is wanted; None when they are none."""
    if not 0 < len(words) <= _LONGEST:
        return None
    return _named(_Tables(patterns), words, yes_first)


@lru_cache(maxsize=4096)
def _named(tables: _Tables, words: tuple[str, ...], yes_first: bool) -> tuple[Command, bool] | None:
    """Kept for what was said last: pieces of one sentence are looked at by many."""
    made, said, known = tables.compiled, _plain(words), _Known()
    for ending in ("", ASKED):
        for one in _YES_FIRST if yes_first else _ORDER:
            if made.fits(f"{one.value}{ending}", said, known):
                return one, bool(ending)
    return None


def told_by(words: tuple[str, ...], patterns: Mapping[str, tuple[str, ...]], name: str) -> bool:
    """Whether these words are one of the patterns of a part."""
    return 0 < len(words) <= _LONGEST and _told(_Tables(patterns), words, name)


@lru_cache(maxsize=4096)
def _told(tables: _Tables, words: tuple[str, ...], name: str) -> bool:
    return tables.compiled.fits(name, _plain(words), _Known())


def _plain(words: tuple[str, ...]) -> tuple[str, ...]:
    """Without accents, and short forms with their apostrophes."""
    plain = unicodedata.normalize("NFKD", " ".join(words))
    bare = "".join(mark for mark in plain if not unicodedata.combining(mark))
    return tuple(SHORT_FORMS.get(word, word) for word in bare.split())


class _Tables:
    """The patterns of the grammars, compared as themselves: comparing all they hold takes longer than using them."""

    def __init__(self, patterns: Mapping[str, tuple[str, ...]]) -> None:
        self._patterns = patterns

    @property
    def compiled(self) -> _Patterns:
        """Read once."""
        return _compiled(self)

    def items(self) -> Iterable[tuple[str, tuple[str, ...]]]:
        """Name and texts of each part."""
        return self._patterns.items()

    def __hash__(self) -> int:
        return id(self._patterns)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Tables) and self._patterns is other._patterns


@dataclass(frozen=True, slots=True, eq=False)
class _Any:
    """One of several sequences of words, slots and further choices; ``()`` among them may be left out."""

    rows: tuple[tuple[_Part, ...], ...]
    starting: dict[str, tuple[tuple[_Part, ...], ...]] = field(default_factory=dict)
    """Word -> rows that may begin with it, those that may hold no word among them; '' -> only these."""


_NOWHERE: frozenset[int] = frozenset()
_Part = str | _Any
"""A word, a slot as ``<name>``, or a choice."""


@dataclass(frozen=True, slots=True, eq=False)
class _Patterns:
    """The patterns of the grammars, ready to be looked up."""

    slots: dict[str, _Any]
    parts: dict[str, _Any]
    first: dict[str, frozenset[str]]
    """Slot -> words with which it may begin; an empty word where it may be left out."""
    begins: dict[str, tuple[tuple[tuple[_Part, ...], frozenset[str]], ...]]
    """Name of a part -> its patterns, each with the words with which it may begin."""

    def fits(self, name: str, words: tuple[str, ...], known: _Known) -> bool:
        """Whether the words are one of the patterns of a part; ``known``: what was found out about these words."""
        return any(
            words[0] in first and len(words) in self._ends_of_row(row, 0, words, known)
            for row, first in self.begins.get(name, ())
        )

    def _ends(self, part: _Part, at: int, words: tuple[str, ...], known: _Known) -> frozenset[int]:
        """Where a part that begins at a word may end."""
        if isinstance(part, _Any):
            word = words[at] if at < len(words) else ""
            rows = part.starting.get(word) or part.starting[""]
            return _NOWHERE.union(*(self._ends_of_row(row, at, words, known) for row in rows))
        if part[0] != "<":
            return frozenset({at + 1}) if at < len(words) and words[at] == part else _NOWHERE
        found = known.get((part, at))
        if found is None:
            word = words[at] if at < len(words) else ""
            name = part[1:-1]
            fits = word in self.first[name] or "" in self.first[name]
            found = known[part, at] = self._ends(self.slots[name], at, words, known) if fits else _NOWHERE
        return found

    def _ends_of_row(self, row: tuple[_Part, ...], at: int, words: tuple[str, ...], known: _Known) -> frozenset[int]:
        here = frozenset({at})
        for part in row:
            here = _NOWHERE.union(*(self._ends(part, start, words, known) for start in here))
            if not here:
                break
        return here


@lru_cache(maxsize=4)
def _compiled(tables: _Tables) -> _Patterns:
    """The patterns of the grammars, read once."""
    slots: dict[str, _Any] = {}
    parts: dict[str, _Any] = {}
    for name, texts in tables.items():
        kind, _, slot = name.partition(".")
        rows = _Any(tuple(_read(_TOKEN.findall(text))[0] for text in texts))
        if kind == SLOTS and slot:
            slots[slot] = rows
        else:
            parts[name] = rows
    first: dict[str, frozenset[str]] = {}
    begins = {name: tuple((row, _first(row, slots, first)) for row in rows.rows) for name, rows in parts.items()}
    for slot in slots:
        _first((f"<{slot}>",), slots, first)
    for one in (*slots.values(), *parts.values()):
        _sort_by_start(one, slots, first)
    return _Patterns(slots, parts, first, begins)


def _sort_by_start(choice: _Any, slots: Mapping[str, _Any], first: dict[str, frozenset[str]]) -> None:
    """Fill in which rows of a choice, and of the choices in it, may begin with which word."""
    starts = [_first(row, slots, first) for row in choice.rows]
    for word in frozenset({""}).union(*starts):
        rows = zip(choice.rows, starts, strict=True)
        choice.starting[word] = tuple(row for row, begin in rows if word in begin or "" in begin)
    for row in choice.rows:
        for part in row:
            if isinstance(part, _Any):
                _sort_by_start(part, slots, first)


def _read(tokens: list[tuple[str, str, str]]) -> tuple[tuple[_Part, ...], list[tuple[str, str, str]]]:
    """One row of a pattern, up to the mark that closes it, and what follows."""
    row: list[_Part] = []
    while tokens:
        (slot, mark, word), tokens = tokens[0], tokens[1:]
        if slot:
            row.append(f"<{slot}>")
        elif word:
            row.append(word)
        elif mark in "([":
            rows: list[tuple[_Part, ...]] = [()] if mark == "(" else []
            closing = "|"
            while closing == "|":
                one, tokens = _read(tokens)
                rows.append(one)
                closing, tokens = (tokens[0][1], tokens[1:]) if tokens else ("", [])
            row.append(_Any(tuple(rows)))
        else:
            return tuple(row), [("", mark, ""), *tokens]
    return tuple(row), []


def _first(row: tuple[_Part, ...], slots: Mapping[str, _Any], known: dict[str, frozenset[str]]) -> frozenset[str]:
    """The words with which a row may begin; an empty word where it may hold none."""
    found: set[str] = set()
    for part in row:
        if isinstance(part, _Any):
            here = frozenset(word for one in part.rows for word in _first(one, slots, known))
        elif part[0] == "<":
            name = part[1:-1]
            if name not in known:
                known[name] = _first((slots[name],), slots, known)
            here = known[name]
        else:
            here = frozenset({part})
        found |= here - {""}
        if "" not in here:
            return frozenset(found)
    return frozenset(found | {""})
