"""What was really said in the shared recordings, and how an understanding of it is scored."""

from __future__ import annotations

import csv
import os
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Literal

from assistant.messages import Choice, Expectation, Expects, Outcome, Understanding

Score = Literal["right", "asked", "wrong", "caught"]
"""Right; a question instead of an answer; a false answer accepted; a false answer that still waits for a yes."""

COMMANDS = {
    "repeat": "say_again", "say again": "say_again", "go back": "go_back", "skip it": "skip", "hold on": "hold",
    "resume": "resume", "scratch that": "withdraw", "yes": "yes", "yep": "yes", "that is right": "yes", "no": "no",
    "nope": "no", "stop": "stop", "help": "help", "why": "why", "what is left": "whats_left", "next": "next",
    "correction": "correction",
}  # fmt: skip
"""The words that were spoken, and the command they stand for."""


DECIDING = frozenset({"af_sky", "am_puck", "bf_lily", "bm_lewis", "em_alex", "zm_yunxi"})
"""Voices that train and fit nothing: their figures decide."""


@dataclass(frozen=True, slots=True)
class Case:
    """One recording, the prompt it answers, and the truth."""

    name: str
    files: tuple[Path, ...]
    voice: str
    said: str
    kind: str
    truth: str
    expectation: Expectation

    @property
    def decides(self) -> bool:
        """Whether its voice trains and fits nothing."""
        return self.voice in DECIDING


def load_readings(corpus: Path) -> list[Case]:
    """Every whole reading, call, command, choice and identifier of ``readings``."""
    with (corpus / "readings" / "manifest.tsv").open(encoding="utf-8") as opened:
        rows = list(csv.DictReader(opened, delimiter="\t"))
    choices = tuple(Choice(name) for name in sorted({row["value"] for row in rows if row["kind"] == "choice"}))
    cases = []
    for row in rows:
        kind = row["kind"]
        if kind == "command":
            expectation = Expectation(Expects.COMMAND)
        elif kind == "choice":
            expectation = Expectation(Expects.CHOICE, choices=choices)
        elif kind == "identifier":
            expectation = Expectation(Expects.IDENTIFIER)
        else:
            low, high = (Decimal(row[end]) if row[end] else None for end in ("low", "high"))
            expectation = Expectation(Expects.READING, unit=row["unit"], low=low, high=high)
        truth = COMMANDS[row["value"]] if kind == "command" else row["value"]
        path = corpus / "readings" / row["file"]
        cases.append(Case(row["file"], (path,), row["voice"], row["said"], kind, truth, expectation))
    return cases


def load_human(corpus: Path) -> list[dict[str, str]]:
    """Rows of the recordings of real people."""
    with (corpus / "human.tsv").open(encoding="utf-8") as opened:
        return list(csv.DictReader(opened, delimiter="\t"))


def digit_strings(corpus: Path, length: int = 4) -> list[Case]:
    """Telephone-rate digits of one person each, joined to strings in a fixed, mixed order."""
    people: dict[str, list[dict[str, str]]] = {}
    for row in load_human(corpus):
        if row["file"].startswith("human/digits_8khz/"):
            people.setdefault(row["speaker"], []).append(row)
    digits = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"]
    expectation = Expectation(Expects.READING, unit="ohm", low=Decimal(900), high=Decimal(1400))
    cases = []
    for speaker, rows in sorted(people.items()):
        # every recording once; a stride that shares no factor with the count mixes the digits
        order = [rows[(number * 37 + 11) % len(rows)] for number in range(len(rows))]
        for start in range(0, len(order) - length + 1, length):
            group = order[start : start + length]
            truth = "".join(str(digits.index(row["said"])) for row in group)
            said = " ".join(row["said"] for row in group)
            files = tuple(corpus / row["file"] for row in group)
            cases.append(Case(f"{speaker}:{start}", files, speaker, said, "digits", truth, expectation))
    return cases


def score(case: Case, meant: Understanding) -> Score:
    """Right, asked, or wrong, as the goals count it."""
    if meant.outcome in {Outcome.CHOOSE, Outcome.INCOMPLETE, Outcome.NOT_UNDERSTOOD}:
        return "asked"
    if is_right(case, meant):
        return "right"
    return "caught" if meant.confirm else "wrong"


def is_right(case: Case, meant: Understanding) -> bool:
    """True when the outcome is what was said."""
    outcome = meant.outcome
    if case.kind in {"reading", "digits"}:
        return outcome is Outcome.READING and meant.value is not None and meant.value == Decimal(case.truth)
    if case.kind == "unsteady":
        low, high = (Decimal(end) for end in case.truth.split(".."))
        return outcome is Outcome.UNSTEADY and (meant.low_end, meant.high_end) == (low, high)
    if case.kind == "over_range":
        return outcome is Outcome.OVER_RANGE
    if case.kind == "command":
        return outcome is Outcome.COMMAND and meant.command is not None and meant.command.value == case.truth
    if case.kind == "choice":
        return outcome is Outcome.CHOICE and meant.choice == case.truth
    if case.kind == "identifier":
        return outcome is Outcome.IDENTIFIER and meant.identifier == case.truth
    raise AssertionError(f"no way to score {case.kind}")


def score_value(case: Case, value: Decimal | None) -> Score:
    """The score of a bare number parser, which can only give a value or none."""
    if value is None:
        return "asked"
    return "right" if value == Decimal(case.truth) else "wrong"


def as_decimal(value: object) -> Decimal | None:
    """A parser's answer as a number, None when it is none."""
    try:
        return None if value is None else Decimal(str(value))
    except InvalidOperation:
        return None


def chosen_share(items: Sequence[Case]) -> list[Case]:
    """Every item, or the share that ``LEADSMAN_BENCH_SHARE`` names (0.1 takes every tenth)."""
    share = float(os.environ.get("LEADSMAN_BENCH_SHARE", "1"))
    stride = max(1, round(1 / share)) if share > 0 else 1
    return list(items[::stride])


def counts(scores: Iterable[Score]) -> str:
    """Counts beside shares, in one line."""
    listed = list(scores)
    total = max(1, len(listed))
    parts = [f"{name} {listed.count(name):4d} ({100 * listed.count(name) / total:5.1f} %)" for name in _COLUMNS]
    return "  ".join([f"n {len(listed):4d}", *parts])


_COLUMNS: tuple[Score, ...] = ("right", "asked", "wrong", "caught")
