"""Answers as they are heard in noise: now and then as something else, by a table of what really was misheard.

``mishearings.tsv`` is measured: voices that train nothing, under noise that trains nothing, heard with the weights
that come with the program (``python -m tests.tools.mishearings``). A row is a recording whose likeliest meaning was
not what was said: what was said, what was heard, by how much that led, and the noise. A simulated answer is misheard
as often as answers of its kind were, in the way of one of those rows; whether a yes is asked then is decided by the
session itself, from the lead.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from difflib import SequenceMatcher
from functools import cache
from pathlib import Path
from random import Random

from assistant.messages import Expectation, Expects, Hypothesis
from assistant.numerals.verbalizations import sayings
from assistant.numerals.vocabulary import Vocabulary

TABLE = Path(__file__).with_name("mishearings.tsv")
QUIET, LEVELS = "quiet", ("quiet", "10", "5", "0")
"""Noise by which the table is parted: none, or decibels of voice over noise."""
_TRIES = 12

Change = tuple[tuple[str, ...], tuple[str, ...]]
"""Words and what they were heard as; either may be none."""


@dataclass(frozen=True, slots=True)
class Row:
    """One recording that was misheard."""

    kind: str
    """``reading``, ``choice`` or ``command``."""
    said: str
    heard: str
    lead: float
    """By how much what was heard led over what was said, or what was said over it, where negative."""
    snr_db: float


@dataclass(frozen=True, slots=True)
class Ears:
    """What is misheard at one level of noise."""

    shares: dict[str, float]
    """By kind, the share of answers that are misheard."""
    rows: tuple[Row, ...]

    def heard(
        self, words: str, expectation: Expectation, vocabulary: Vocabulary, rng: Random
    ) -> tuple[tuple[Hypothesis, ...], float] | None:
        """What is heard of an answer, best first, and the noise in decibels; None when it is heard as it was said."""
        kind = _kind(expectation)
        if rng.random() >= self.shares.get(kind, 0.0):
            return None
        rows = [one for one in self.rows if one.kind == kind]
        said = spoken(words, expectation, vocabulary, rng)
        for row in rng.sample(rows, min(_TRIES, len(rows))):
            other = _as_heard(said, row, expectation, rng)
            if other and other != said:
                top, below = max(row.lead, 0.0), max(-row.lead, 0.0)
                return (_hypothesis(other, top - below), _hypothesis(said, 0.0)), row.snr_db
        return None


def _hypothesis(words: str, score: float) -> Hypothesis:
    """As if both opinions had weighed it: the lead is measured with both."""
    return Hypothesis(words, score, score, 0.0)


def _kind(expectation: Expectation) -> str:
    if expectation.expects is Expects.READING:
        return "reading"
    return "choice" if expectation.expects is Expects.CHOICE else "command"


def spoken(words: str, expectation: Expectation, vocabulary: Vocabulary, rng: Random) -> str:
    """A simulated answer in spoken words: a value in one of the ways in which people say it, by how usual each is."""
    try:
        ways = sayings(Decimal(words), expectation.unit, vocabulary)
    except InvalidOperation:
        return words
    return rng.choices(ways, [way.weight for way in ways])[0].words if ways else words


def _as_heard(said: str, row: Row, expectation: Expectation, rng: Random) -> str:
    """What is heard of words in the way of a row; '' when that does not fit them."""
    if row.kind == "choice":
        # the lead is measured, the other choice is one of this question's
        others = [one.name for one in expectation.choices if one.name != said]
        return rng.choice(others) if others else ""
    if row.kind == "command":
        return row.heard if said == row.said else ""
    words = said.split()
    for old, new in rng.sample(changes := changes_of(row.said, row.heard), len(changes)):
        places = [at for at in range(len(words) - len(old) + 1) if tuple(words[at : at + len(old)]) == old]
        if places and (old or new):
            at = rng.choice(places)
            return " ".join([*words[:at], *new, *words[at + len(old) :]])
    return ""


def changes_of(said: str, heard: str) -> list[Change]:
    """The words that were heard as others."""
    before, after = said.split(), heard.split()
    found = SequenceMatcher(None, before, after, autojunk=False).get_opcodes()
    return [
        (tuple(before[start:end]), tuple(after[first:last]))
        for what, start, end, first, last in found
        if what != "equal"
    ]


@cache
def ears(level: str) -> Ears:
    """What is misheard at a level of noise, one of ``LEVELS``."""
    with TABLE.open(encoding="utf-8", newline="") as opened:
        return read(csv.DictReader(opened, delimiter="\t"), level)


def read(table: Iterable[dict[str, str]], level: str) -> Ears:
    """The rows of one level. A row without words tells how many answers of a kind were heard there."""
    counts: dict[str, int] = {}
    rows: list[Row] = []
    for one in table:
        if one["level"] != level:
            continue
        if not one["said"]:
            counts[one["kind"]] = int(one["heard"])
        else:
            rows.append(Row(one["kind"], one["said"], one["heard"], float(one["lead"]), float(one["snr_db"])))
    return Ears({kind: _share(rows, kind, count) for kind, count in counts.items()}, tuple(rows))


def _share(rows: Sequence[Row], kind: str, count: int) -> float:
    return sum(one.kind == kind for one in rows) / count if count else 0.0
