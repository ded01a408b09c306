"""Which procedure a complaint in own words calls for: the one whose own words say most of it."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from assistant import library
from assistant.procedure.model import Procedure

_TITLE, _SAYINGS, _SUMMARY = 4.0, 1.0, 1.0
"""Weights of a word in title, name or complaint, in the sayings of the facts, and in the summary. Chosen; not
measured."""
_CLEAR = 1.5
"""By how much the best must stand before the next one: about one word that only its title holds. Chosen."""
_ABS = re.compile(r"\babs\b")
_WORD = re.compile(r"[a-z0-9]+(?:'[a-z]+)?")


@dataclass(frozen=True, slots=True)
class Forms:
    """What ``grammars/choosing.toml`` tells of words."""

    small: frozenset[str]
    """Words that tell one complaint from no other."""
    alone: frozenset[str]
    """Stems of words that choose none by themselves."""
    stays_on: re.Pattern[str]
    """What says that a light does not go out."""
    means: str
    """The words that stand for it."""
    lit: re.Pattern[str]
    """What says that a light is on, and no more."""
    never: re.Pattern[str]
    """What says that it may be another complaint."""
    lamps: re.Pattern[str]
    """Lamps of the road."""
    lamps_mean: str
    """The words that stand for their complaint."""
    no_lamps: re.Pattern[str]
    """What says that the complaint is another one."""
    never_lights: re.Pattern[str]
    """What says that a light does not come on."""
    never_means: str
    """The words that stand for it."""
    trailers: re.Pattern[str]
    """Trailers by their bodies."""
    trailer: str
    """The word that stands for them."""
    tractors: re.Pattern[str]
    """What pulls."""
    tractor: str
    """The word that stands for it."""
    in_tractor: re.Pattern[str]
    """Where in a tractor its light is."""
    first: tuple[str, ...]
    """Names of procedures that come first where words fit several alike."""


@cache
def forms() -> Forms:
    """The file's words.

    Raises:
        OperatorError: the file is not there.
        DocumentError: it is no TOML.
    """
    told = library.read_toml(library.find("grammars", "choosing.toml"))
    stays, lit, lamps = told["stays_on"], told["lit"], told["lamps"]
    goes_out = f"{_any(stays['denied'])} {_any(stays['goes'])} {_any(stays['out'])}"
    light = f"(?P<light>{_any(lit['lights'])})(?:'s| is| are)? {_any(lit['on'])}"
    return Forms(
        small=frozenset(told["small"]["forms"]),
        alone=frozenset(map(_stem, told["small"]["alone"])),
        stays_on=_whole(f"(?:{goes_out}|{_any(stays['forms'])})"),
        means=stays["means"],
        lit=re.compile(rf"\b{light}(?=\s*(?:$|[,.;!]|{_any(lit['behind'])}\b))"),
        never=_whole(_any(lit["never"])),
        lamps=_whole(_any(lamps["forms"])),
        lamps_mean=lamps["means"],
        no_lamps=_whole(_any(lamps["not_with"])),
        never_lights=_whole(_any(told["never_lights"]["forms"])),
        never_means=told["never_lights"]["means"],
        trailers=_whole(_any(_longest(told["trailers"]["forms"]))),
        trailer=told["trailers"]["means"],
        tractors=_whole(_any(_longest(told["tractors"]["forms"]))),
        tractor=told["tractors"]["means"],
        in_tractor=_whole(_any(told["tractors"]["asides"])),
        first=tuple(told["first"]["names"]),
    )


def _longest(words: Sequence[str]) -> list[str]:
    return sorted(words, key=len, reverse=True)


def _any(words: Sequence[str]) -> str:
    """A pattern of any of these words."""
    return f"(?:{'|'.join(map(re.escape, words))})"


def _whole(pattern: str) -> re.Pattern[str]:
    """The pattern between ends of words."""
    return re.compile(rf"\b{pattern}\b")


def nearest(text: str, procedures: Sequence[Procedure]) -> list[Procedure]:
    """Those that a complaint may be about, the best first; none where no word fits."""
    bags = [_bag(one) for one in procedures]
    seen = Counter(word for bag in bags for word in bag)
    said = set(_words(text))
    scores = [sum(bag[word] * math.log(1 + len(bags) / seen[word]) for word in said if word in bag) for bag in bags]
    first = forms().first
    carried = [_carries(one) & said for one in procedures]
    scores = [score if words else 0.0 for score, words in zip(scores, carried, strict=True)]
    ranked = sorted(zip(scores, procedures, strict=True), key=lambda row: (-row[0], row[1].name not in first))
    best = ranked[0][0] if ranked else 0.0
    return [one for score, one in ranked if score > max(0.0, best - _CLEAR)]


def _carries(procedure: Procedure) -> frozenset[str]:
    """Words that may call for a procedure by themselves: what it says of itself, and the answers to what is wrong.

    'The radio is out' is no battery trouble, although somebody may have wired a radio in lately.
    """
    asked = [one for fact in procedure.facts if fact.name == "complaint" for one in fact.choices]
    sayings = " ".join(form for one in asked for form in (one.name, *one.also))
    own = f"{procedure.name.replace('-', ' ')} {procedure.title} {procedure.complaint} {procedure.summary}"
    return frozenset(_words(f"{own} {sayings}")) - forms().alone


def _bag(procedure: Procedure) -> Mapping[str, float]:
    """Word -> its weight in a procedure."""
    told: dict[str, float] = {}
    sayings = " ".join(form for fact in procedure.facts for one in fact.choices for form in (one.name, *one.also))
    texts = (
        (procedure.summary, _SUMMARY),
        (sayings, _SAYINGS),
        (f"{procedure.name.replace('-', ' ')} {procedure.title} {procedure.complaint}", _TITLE),
    )
    for text, weight in texts:
        told |= dict.fromkeys(_words(text), weight)
    return told


def _words(text: str) -> list[str]:
    known = forms()
    plain = known.stays_on.sub(known.means, text.lower().replace("’", "'"))
    if not known.never.search(plain):
        plain = known.lit.sub(rf"\g<light> {known.means}", plain)
    plain = _of_the_abs(plain)
    if not known.no_lamps.search(plain):
        plain = known.lamps.sub(rf"\g<0> {known.lamps_mean}", plain)
    return [_stem(word) for word in _WORD.findall(plain) if word not in known.small]


def _of_the_abs(plain: str) -> str:
    """Words about an ABS light by what it is on and what it does; other words as they are."""
    known = forms()
    if not _ABS.search(plain):
        return plain
    plain = known.never_lights.sub(known.never_means, plain)
    plain = known.trailers.sub(known.trailer, plain)
    if not re.search(rf"\b{known.trailer}\b", plain) and known.tractors.search(plain):
        plain = known.in_tractor.sub("", known.tractors.sub(known.tractor, plain))
    said_how = known.never.search(plain) or known.means in plain or known.never_means in plain
    named = re.search(rf"\b(?:{known.trailer}|{known.tractor})\b", plain)
    return plain if said_how or not named else f"{plain} {known.means}"


def _stem(word: str) -> str:
    word = word.removesuffix("'s")
    if word.endswith("ies"):
        return f"{word[:-3]}y"
    for end in ("ing", "es", "s"):
        if len(word) > len(end) + 2 and word.endswith(end) and not word.endswith("ss"):
            return word.removesuffix(end)
    return word
