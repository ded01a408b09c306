"""Places of the unit as they are named: 'driver's rear', 'left hind leg', for 'left rear'.

A place whose name is a side and an end is named by any words for that side and that end, in either order; every other
place by its names in the procedure, and by the first letters of a name of two words.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from functools import lru_cache

from assistant.messages import Choice
from assistant.understanding.patterns import Words, places, words_of

_SIDES = {
    "left": ("left", "driver", "drivers", "road", "roadside", "street", "streetside"),
    "right": ("right", "passenger", "passengers", "curb", "curbside", "ditch", "ditchside", "shoulder"),
}
_ENDS = {"front": ("front", "forward"), "rear": ("rear", "back", "hind", "rearmost")}
_WHICH = ("wheel", "leg", "corner", "sensor", "side")
"""Words behind a place that tell nothing more."""
_TOKEN = re.compile(r"[^\W_]+(?:['’][^\W_]+)*")
_GAP = re.compile(r"[\s-]+")


def place_in(said: Words, named: Iterable[Choice]) -> tuple[str | None, Words]:
    """The one place of the unit that is named, and the words without it; None when none or several are."""
    first = _index(tuple((one.name, one.also) for one in named))
    best = [
        (len(form), name, place)
        for word in dict.fromkeys(said)
        for form, name in first.get(word, ())
        for place in places(said, form)
    ]
    best.sort(key=lambda row: -row[0])
    taken: dict[int, str] = {}
    for _, name, place in best:
        if not any(at in taken for at in place):
            taken.update(dict.fromkeys(place, name))
    names = set(taken.values())
    if len(names) != 1:
        return None, said
    return names.pop(), tuple(word for at, word in enumerate(said) if at not in taken)


def place_spans(text: str, named: Iterable[Choice]) -> list[tuple[str, int, int]]:
    """Where places are named: name, beginning and end, in order; an article before one belongs to it."""
    first = _index(tuple((one.name, one.also) for one in named))
    tokens = [(_plain(hit.group()), hit.start(), hit.end()) for hit in _TOKEN.finditer(text)]
    found: list[tuple[str, int, int]] = []
    at = 0
    while at < len(tokens):
        fitting = [row for row in first.get(tokens[at][0], ()) if _stands(text, tokens, at, row[0])]
        best = max(fitting, key=_size, default=None)
        if best is None:
            at += 1
            continue
        form, name = best
        led = at and tokens[at - 1][0] == "the" and _GAP.fullmatch(text, tokens[at - 1][2], tokens[at][1])
        found.append((name, tokens[at - 1][1] if led else tokens[at][1], tokens[at + len(form) - 1][2]))
        at += len(form)
    return found


def _size(row: tuple[Words, str]) -> int:
    return len(row[0])


def _stands(text: str, tokens: list[tuple[str, int, int]], at: int, form: Words) -> bool:
    here = tokens[at : at + len(form)]
    return len(here) == len(form) and all(
        token[0] == word and (number == 0 or _GAP.fullmatch(text, here[number - 1][2], token[1]) is not None)
        for number, (token, word) in enumerate(zip(here, form, strict=True))
    )


def _plain(token: str) -> str:
    return token.lower().replace("’", "'").removesuffix("'s")


@lru_cache(maxsize=64)
def _index(named: tuple[tuple[str, tuple[str, ...]], ...]) -> dict[str, tuple[tuple[Words, str], ...]]:
    """First word of a form -> the forms that begin with it, each with its place."""
    found: dict[str, list[tuple[Words, str]]] = {}
    for name, also in named:
        for form in _forms(name, also):
            found.setdefault(form[0], []).append((form, name))
    return {word: tuple(rows) for word, rows in found.items()}


@lru_cache(maxsize=256)
def _forms(name: str, also: tuple[str, ...]) -> tuple[Words, ...]:
    forms = [words_of(form) for form in (name, *also)]
    own = forms[0]
    if len(own) > 1:
        letters = "".join(word[0] for word in own)
        forms += [(letters,), tuple(letters)]
    if len(own) == 2 and own[0] in _SIDES and own[1] in _ENDS:
        forms += _of_a_side(own[0], own[1])
    return tuple(dict.fromkeys(forms))


def _of_a_side(side: str, end: str) -> Iterator[Words]:
    for one in _SIDES[side]:
        for other in _ENDS[end]:
            for form in (
                (one, other), (one, "side", other), (one, "hand", other), (other, one), (other, one, "side"),
                (other, "on", "the", one), (other, "on", "the", one, "side"),
                (other, "one", "on", "the", one, "side"),
                (one, "side", "in", "the", other), (one, "side", "on", "the", other),
            ):  # fmt: skip
                yield form
                if form[-1] == other:
                    yield from ((*form, which) for which in _WHICH)


def place_meant(named: str, here: str, known: Iterable[str]) -> str | None:
    """The place that a side names from another place: 'right' from the left front is the right front."""
    turned = {"left": "right", "right": "left"}
    words = here.split()
    if named == "other":
        there = " ".join(turned.get(word, word) for word in words)
    elif named in turned:
        there = " ".join(named if word in turned else word for word in words)
    else:
        there = " ".join(named if word in ("front", "rear") else word for word in words)
    return there if there in known else None


def side_of(word: str) -> str:
    """The side of the unit that a word names: 'ditch' is the right one; '' for none."""
    return next((side for side, words in _SIDES.items() if word in words), "")
