"""Commands, yes and no as patterns: what is endless in them is which words stand in which place.

The patterns of ``grammars/patterns.toml`` become one regular expression a command. Words stand for themselves,
``<x>`` for a slot, ``(x)`` may be left out, ``[x|y]`` is one of them. A pattern is the whole of a piece.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
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
_MARKS = {"(": "(?:", ")": ")?", "[": "(?:", "]": ")", "|": "|"}
_ORDER = (
    Command.WITHDRAW, Command.CORRECTION, Command.SKIP, Command.GO_BACK, Command.SAY_AGAIN, Command.HOLD,
    Command.RESUME, Command.STOP, Command.NOTE, Command.WHERE, Command.WHATS_LEFT, Command.WHY, Command.HELP,
    Command.SAY_LESS, Command.SAY_MORE, Command.SAY_USUAL, Command.NO, Command.YES, Command.NEXT,
)  # fmt: skip
"""Where a piece fits two of them the first counts; a yes and 'next' say the same where one is waited for."""


def named_by(
    words: tuple[str, ...], patterns: Mapping[str, tuple[str, ...]], *, yes_first: bool
) -> tuple[Command, bool] | None:
    """The command that these words are by a pattern, and whether a yes is wanted; None when they are none."""
    if not 0 < len(words) <= _LONGEST:
        return None
    made = _compiled(tuple(patterns.items()))
    text = _plain(" ".join(words)) + " "
    order = sorted(_ORDER, key=lambda one: one is not Command.YES) if yes_first else _ORDER
    for ending in ("", ASKED):
        for one in order:
            found = made.get(f"{one.value}{ending}")
            if found is not None and found.fullmatch(text):
                return one, bool(ending)
    return None


def told_by(words: tuple[str, ...], patterns: Mapping[str, tuple[str, ...]], name: str) -> bool:
    """Whether these words are one of the patterns of a part."""
    found = _compiled(tuple(patterns.items())).get(name)
    return found is not None and 0 < len(words) <= _LONGEST and bool(found.fullmatch(_plain(" ".join(words)) + " "))


def _plain(text: str) -> str:
    """Without accents, and short forms with their apostrophes."""
    plain = "".join(mark for mark in unicodedata.normalize("NFKD", text) if not unicodedata.combining(mark))
    return " ".join(SHORT_FORMS.get(word, word) for word in plain.split(" "))


@lru_cache(maxsize=4)
def _compiled(patterns: tuple[tuple[str, tuple[str, ...]], ...]) -> dict[str, re.Pattern[str]]:
    """One expression a command."""
    slots = {name.partition(".")[2]: texts for name, texts in patterns if name.startswith(f"{SLOTS}.")}
    return {
        name: re.compile("|".join(f"(?:{_regex(text, slots)})" for text in texts))
        for name, texts in patterns
        if not name.startswith(f"{SLOTS}.")
    }


def _regex(text: str, slots: Mapping[str, tuple[str, ...]]) -> str:
    """A pattern as a regular expression in which a space stands behind each word."""
    made: list[str] = []
    for slot, mark, word in _TOKEN.findall(text):
        if slot:
            made.append(f"(?:{'|'.join(_regex(one, slots) for one in slots[slot])})")
        else:
            made.append(_MARKS[mark] if mark else f"{re.escape(word)} ")
    return "".join(made)
