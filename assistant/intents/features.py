"""A sentence as what a learned intent can hang on: words, neighbors, pieces of words.

What changes from one sentence to the next and says nothing about the intent is masked: a number, a unit, a place of
the unit, a part of it. Pieces of words stand for typing slips and for forms of a word that were never seen.
"""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache
from itertools import pairwise

NUMBER, UNIT, PLACE, PART = "<number>", "<unit>", "<place>", "<part>"
UNCLEAR = "[unclear]"
_TYPED_NUMBER = re.compile(r"\d+(?:[.,/]\d+)*")
_WORD = re.compile(r"[^\W_]+(?:'[^\W_]+)*")
_SHORT = {
    "n't": " not", "'re": " are", "'ll": " will", "'ve": " have", "'m": " am", "'d": " would", "'s": " is",
}  # fmt: skip
_SHORT_END = re.compile(r"(n't|'re|'ll|'ve|'m|'d|'s)\b")
_ALIKE = {
    "u": "you", "ur": "your", "r": "are", "wat": "what", "whats": "what is", "wheres": "where is", "pls": "please",
    "plz": "please", "im": "i am", "ive": "i have", "dont": "do not", "cant": "can not", "cannot": "can not",
    "didnt": "did not", "isnt": "is not", "doesnt": "does not", "gimme": "give me", "lemme": "let me",
    "gonna": "going to", "gotta": "got to", "wanna": "want to", "k": "okay", "ok": "okay", "alright": "all right",
    "w": "with", "bc": "because", "cuz": "because", "cause": "because", "thats": "that is", "its": "it is",
    "won": "will", "ca": "can", "ain": "is", "em": "them", "thru": "through", "til": "until", "till": "until",
}  # fmt: skip
"""Words as they are typed or slurred, and the words that they are."""
_NUMBERS = frozenset({
    "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "thirteen",
    "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen", "twenty", "thirty", "forty",
    "fifty", "sixty", "seventy", "eighty", "ninety", "hundred", "thousand", "million",
})  # fmt: skip
_UNITS = frozenset({
    "ohm", "ohms", "volt", "volts", "v", "vdc", "vac", "amp", "amps", "milliamp", "milliamps", "millivolt",
    "millivolts", "mv", "ma", "kilohm", "kilohms", "psi", "inch", "inches", "thousandths", "pounds",
    "degrees", "mph",
})  # fmt: skip
_SIDES = frozenset({"left", "right", "front", "rear", "driver", "passenger", "curb", "steer", "drive"})
_WHERE = frozenset({"side", "axle", "wheel", "end", "inner", "outer", "tandem"})
PARTS = frozenset({
    "module", "modulator", "ecu", "sensor", "valve", "plug", "connector", "pigtail", "harness", "wire",
    "wiring", "ring", "battery", "alternator", "starter", "bulb", "fuse", "relay", "drum", "shield", "hub",
    "bearing", "chamber", "pushrod", "cable", "socket", "cord", "switch", "ground",
})  # fmt: skip
SMALL = frozenset({
    "a", "an", "the", "it", "i", "is", "are", "was", "of", "to", "in", "at", "and", "or", "not", "no", "yes", "do",
    "does", "did", "have", "has", "that", "this", "one", "my", "we", "you", "can", "be", "all", "there", "with",
    "for", "on",
})  # fmt: skip
"""Words that stand in anything that is said, and tell nothing of it."""
_ENDINGS = ("ing", "ed", "es", "s", "e")
_SHORTEST = 3
_PIECES = (3, 4)


def features_of(text: str) -> tuple[str, ...]:
    """Everything that a sentence has of what intents hang on, each once."""
    said = words_in(text)
    words = _masked(said)
    marked = ("^", *words, "$")
    found = dict.fromkeys(words)
    found.update(dict.fromkeys(map(" ".join, pairwise(marked))))
    found.update(dict.fromkeys(map(" _ ".join, zip(marked, marked[2:], strict=False))))
    for word in said:
        found.update(_pieces(word))
    if "?" in text:
        found["?"] = None
    return tuple(found)


def words_in(text: str) -> list[str]:
    """The words of a sentence in lower case: short forms taken apart, typed ones written out, figures as a number."""
    plain = unicodedata.normalize("NFKD", text.lower().replace("’", "'").replace(UNCLEAR, " "))
    plain = "".join(mark for mark in plain if not unicodedata.combining(mark))
    plain = _SHORT_END.sub(lambda found: _SHORT[found.group()], _TYPED_NUMBER.sub(" two ", plain))
    return " ".join(_ALIKE.get(word, word) for word in _WORD.findall(plain)).split()


def _masked(said: list[str]) -> list[str]:
    """The words' stems, with one name for each run of number words and for each place."""
    found: list[str] = []
    for at, word in enumerate(said):
        if word in _NUMBERS:
            mask = NUMBER
        elif word in _UNITS:
            mask = UNIT
        elif word in _SIDES or (word in _WHERE and found[-1:] == [PLACE]):
            # 'is that right', 'all right', 'what is left': no side of a unit
            mask = stem(word) if word in ("right", "left") and not _beside_a_place(said, at) else PLACE
        else:
            mask = stem(word)
            if word in PARTS or mask in PARTS:
                found.append(PART)
        if mask not in (NUMBER, PLACE) or found[-1:] != [mask]:
            found.append(mask)
    return found


def _beside_a_place(said: list[str], at: int) -> bool:
    near = {*said[max(0, at - 1) : at], *said[at + 1 : at + 2]}
    return bool(near & (_WHERE | _SIDES - {"right", "left"})) or "the" in said[max(0, at - 1) : at]


@lru_cache(maxsize=16384)
def stem(word: str) -> str:
    """A word without its ending, so that 'skipped' and 'skipping' count as one."""
    for ending in _ENDINGS:
        if len(word) >= len(ending) + _SHORTEST and word.endswith(ending):
            word = word.removesuffix(ending)
            break
    return word[:-1] if len(word) > _SHORTEST and word[-1] == word[-2] else word


@lru_cache(maxsize=16384)
def _pieces(word: str) -> dict[str, None]:
    """Pieces of a word, the word's edges among them."""
    edged = f"_{word}_"
    return {f"~{edged[at : at + size]}": None for size in _PIECES for at in range(len(edged) - size + 1)}
