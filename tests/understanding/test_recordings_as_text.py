"""The words of every spoken reading beside the checkout, as text: all of them must be right."""

from __future__ import annotations

import csv
from decimal import Decimal
from pathlib import Path

import pytest

from assistant.catalog import load_vocabulary
from assistant.messages import Choice, Expectation, Expects, Hypothesis, Outcome, Understanding
from assistant.understanding.interpret import interpret

CANONICAL = {
    "repeat": "say_again", "say again": "say_again", "that is right": "yes", "yep": "yes", "nope": "no",
    "scratch that": "withdraw", "hold on": "hold", "what is left": "whats_left", "skip it": "skip",
    "go back": "go_back",
}  # fmt: skip


def prompt_for(row: dict[str, str], choices: tuple[Choice, ...]) -> Expectation:
    kind = row["kind"]
    if kind == "choice":
        return Expectation(Expects.CHOICE, choices=choices)
    if kind == "identifier":
        return Expectation(Expects.IDENTIFIER)
    if kind == "command":
        return Expectation(Expects.COMMAND)
    return Expectation(Expects.READING, unit=row["unit"], low=Decimal(row["low"]), high=Decimal(row["high"]))


def is_right(row: dict[str, str], found: Understanding) -> bool:
    kind, value = row["kind"], row["value"]
    if kind == "reading":
        return found.outcome is Outcome.READING and str(found.value) == value
    if kind == "unsteady":
        return found.outcome is Outcome.UNSTEADY and f"{found.low_end}..{found.high_end}" == value
    if kind == "over_range":
        return found.outcome is Outcome.OVER_RANGE
    return value in (found.choice, found.identifier) or found.command == CANONICAL.get(value, value)


@pytest.mark.corpus
def test_every_row_is_right(speech_corpus: Path) -> None:
    with (speech_corpus / "readings" / "manifest.tsv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file, delimiter="\t"))
    choices = tuple(Choice(name) for name in sorted({row["value"] for row in rows if row["kind"] == "choice"}))
    vocabulary = load_vocabulary()
    wrong = [
        row["said"]
        for row in rows
        if not is_right(row, interpret([Hypothesis(row["said"])], prompt_for(row, choices), vocabulary))
    ]
    assert len(rows) == 540
    assert not wrong
