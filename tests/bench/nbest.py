"""What the recognizer heard in every case of the bench, kept in a file: heard once, decided on as often as wished.

The file holds one JSON object a line. Its name is of the caller's choosing; it is no part of the project.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from assistant.messages import Hearing, Hypothesis
from tests.bench.cases import Case

Hear = Callable[[Case, str], Hearing]
"""Hears a case under a condition."""


@dataclass(frozen=True, slots=True)
class Heard:
    """The part of a hearing that is decided on."""

    hypotheses: tuple[Hypothesis, ...]
    snr_db: float | None


class Cache:
    """Hearings by condition and case; those that are missing are heard and added to the file."""

    def __init__(self, path: Path | None, hear: Hear) -> None:
        self._path = path
        self._hear = hear
        self._kept: dict[tuple[str, str], Heard] = {}
        if path is not None and path.is_file():
            for line in path.read_text(encoding="utf-8").splitlines():
                row = json.loads(line)
                words = tuple(Hypothesis(text, score) for text, score in row["heard"])
                self._kept[row["condition"], row["case"]] = Heard(words, row["snr_db"])

    def heard(self, case: Case, condition: str) -> Heard:
        """What was heard in one case under one condition."""
        key = (condition, case.name)
        if key not in self._kept:
            hearing = self._hear(case, condition)
            self._kept[key] = Heard(hearing.hypotheses, hearing.snr_db)
            self._write(key)
        return self._kept[key]

    def all(self, cases: Sequence[Case], conditions: Iterable[str]) -> dict[tuple[str, str], Heard]:
        """What was heard in all cases, by condition and name."""
        return {(condition, case.name): self.heard(case, condition) for condition in conditions for case in cases}

    def _write(self, key: tuple[str, str]) -> None:
        if self._path is None:
            return
        heard = self._kept[key]
        pairs = [[one.words, one.score] for one in heard.hypotheses]
        row = {"condition": key[0], "case": key[1], "snr_db": heard.snr_db, "heard": pairs}
        with self._path.open("a", encoding="utf-8") as out:
            out.write(json.dumps(row) + "\n")
