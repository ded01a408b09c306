"""What the recognizer heard in every case of the bench, kept in a file: heard once, decided on as often as wished.

The file holds one JSON object a line: what was heard, with the hash of the words that were listened for, or what a
second opinion says of it, with the hash of its weights. A line under other hashes counts for nothing, so that a run
that was broken off goes on where it stopped, and one with other weights scores anew what was heard. The file's name
is of the caller's choosing; it is no part of the project.
"""

from __future__ import annotations

import functools
import hashlib
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from assistant import library
from assistant.asr.recognizer import Recognizer, heard_by_both, is_noisy
from assistant.asr.second_opinion import LONGEST, Opinion, Scorer, fused
from assistant.audio.sound import Sound
from assistant.messages import Hypothesis
from tests.bench.hearing.cases import Case

ALONE = "recognizer alone"
"""Stands for no second opinion."""
NOT_LISTENED_FOR = frozenset({"deciding"})
"""Tables that have no words in them."""
Makes = Callable[[Case, str], Sound]
"""Makes the sound of a case under a condition."""


@dataclass(frozen=True, slots=True)
class Heard:
    """The part of a hearing that is decided on."""

    hypotheses: tuple[Hypothesis, ...]
    snr_db: float | None
    opinions: dict[str, Opinion] = field(default_factory=dict)
    """Second opinions by the name of the weights."""

    def weighed(self, name: str, weight: float) -> tuple[Hypothesis, ...]:
        """The hypotheses with a second opinion, as the product weighs them; unchanged for ``ALONE``."""
        return self.hypotheses if name == ALONE else fused(self.hypotheses, self.opinions[name], weight)


class Cache:
    """Hearings by condition and case; those that are missing are heard, or scored, and added to the file.

    Args:
        path: the file, None to keep nothing.
        recognizer: hears; its own second opinion takes no part.
        sound: makes the sound of a case.
        scorers: second opinions by name.
        hashes: of the weights of each; one without a hash is kept by its name alone.
    """

    def __init__(
        self,
        path: Path | None,
        recognizer: Recognizer,
        sound: Makes,
        scorers: Mapping[str, Scorer] | None = None,
        hashes: Mapping[str, str] | None = None,
    ) -> None:
        self._path = path
        self._hashes = dict(hashes or {})
        self._recognizer = recognizer
        self._sound = sound
        self._scorers = dict(scorers or {})
        self._kept: dict[tuple[str, str], Heard] = {}
        if path is not None and path.is_file():
            for line in path.read_text(encoding="utf-8").splitlines():
                self._read(json.loads(line))

    @property
    def names(self) -> list[str]:
        """Every opinion: the recognizer alone, then with each of the scorers."""
        return [ALONE, *self._scorers]

    @property
    def conditions(self) -> list[str]:
        """Every condition of which the file holds something."""
        return sorted({condition for condition, _ in self._kept})

    def heard(self, case: Case, condition: str) -> Heard:
        """What was heard in one case under one condition, with every opinion on it."""
        return self._heard(case, condition, lambda: self._sound(case, condition))

    def heard_sound(self, case: Case, sound: Sound, condition: str) -> Heard:
        """The same of a sound that is at hand; its case's name must tell it from every other of the condition."""
        return self._heard(case, condition, lambda: sound)

    def _heard(self, case: Case, condition: str, make: Callable[[], Sound]) -> Heard:
        key = (condition, case.name)
        found = self._kept.get(key)
        sound = None
        if found is None:
            sound = make()
            hearing = self._recognizer.hear(sound, case.expectation)
            found = self._kept[key] = Heard(hearing.hypotheses, hearing.snr_db)
            pairs = [[one.words, one.score] for one in hearing.hypotheses]
            self._write(key, {"snr_db": hearing.snr_db, "words": words_hash(), "heard": pairs})
        for name, scorer in self._scorers.items():
            if name not in found.opinions:
                sound = sound or make()
                told = found.opinions[name] = _opinion(scorer, sound, found.hypotheses)
                weights = self._hashes.get(name, "")
                self._write(key, {"scorer": name, "weights": weights, "scores": told.scores, "own": told.own})
        return found

    def has(self, case: Case, condition: str) -> bool:
        """Whether the file holds what was heard and every opinion on it."""
        found = self._kept.get((condition, case.name))
        return found is not None and self._scorers.keys() <= found.opinions.keys()

    def _read(self, row: dict[str, Any]) -> None:
        key = (str(row["condition"]), str(row["case"]))
        if "heard" in row and row.get("words") == words_hash():
            words = tuple(Hypothesis(text, score) for text, score in row["heard"])
            self._kept[key] = Heard(words, row["snr_db"])
        elif key in self._kept and "scorer" in row and row.get("weights") == self._hashes.get(row["scorer"], ""):
            self._kept[key].opinions[str(row["scorer"])] = Opinion(
                tuple(row["scores"]), tuple((words, score) for words, score in row["own"])
            )

    def _write(self, key: tuple[str, str], row: dict[str, object]) -> None:
        if self._path is not None:
            with self._path.open("a", encoding="utf-8") as out:
                out.write(json.dumps({"condition": key[0], "case": key[1], **row}) + "\n")


@functools.cache
def words_hash() -> str:
    """Of the tables that say which words are listened for; those of deciding and of whole sentences are not among
    them."""
    total = hashlib.sha256()
    for path in sorted(library.files("grammars")):
        if path.stem not in NOT_LISTENED_FOR:
            total.update(path.read_bytes())
    return total.hexdigest()[:16]


def _opinion(scorer: Scorer, sound: Sound, hypotheses: Sequence[Hypothesis]) -> Opinion:
    """What a scorer makes of a sound, as the recognizer asks it."""
    if not hypotheses or sound.duration > LONGEST:
        return Opinion((None,) * len(hypotheses))
    return scorer.opinion(heard_by_both(sound)[1], [one.words for one in hypotheses], writes=is_noisy(sound))
