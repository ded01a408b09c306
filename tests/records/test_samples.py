"""Records of every format that was ever written are readable for ever.

The files in ``tests/data/records`` are never written anew: when a format is added, its samples are added beside them.
All of them are invented.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from assistant.numerals.vocabulary import Vocabulary
from assistant.records.index.rows import rows_of
from assistant.records.journal.reader import parse
from assistant.records.report.data import as_json
from assistant.records.report.page import html_report
from assistant.records.report.transcript import transcript
from assistant.records.summary.collect import summarize

FOLDER = Path(__file__).parents[1] / "data" / "records"
SAMPLES = sorted(FOLDER.glob("*.jsonl"))


REWORDED = {"every step of the proof passed": "every step passed"}
"""Sentences that a reason is told in, and those of today: the reason is the value, and it is what it was."""


def missing(expected: Any, found: Any, where: str = "") -> list[str]:
    """What stood in the summary of that day and is no longer so; fields added since are no matter."""
    if isinstance(expected, dict):
        return [
            text
            for name, value in expected.items()
            for text in (missing(value, found[name], f"{where}/{name}") if name in found else [f"{where}/{name}"])
        ]
    if isinstance(expected, list):
        if len(expected) != len(found):
            return [f"{where}: {len(found)} for {len(expected)}"]
        return [
            text
            for number, pair in enumerate(zip(expected, found, strict=True))
            for text in missing(*pair, f"{where}/{number}")
        ]
    return [] if REWORDED.get(str(expected), expected) == found else [f"{where}: {found!r} for {expected!r}"]


def test_there_are_samples() -> None:
    assert len(SAMPLES) >= 4


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_an_old_record_says_what_it_said(path: Path, vocabulary: Vocabulary) -> None:
    session = parse(path.read_bytes(), path.stem)
    summary = summarize(session)
    expected = json.loads(path.with_suffix(".json").read_text(encoding="utf-8"))
    assert missing(expected, json.loads(json.dumps(as_json(summary)))) == []
    assert bool(session.damage) == (not path.stem.endswith(("short", "session")))
    assert "Readings" in transcript(session, vocabulary)
    assert html_report(summary, vocabulary).endswith("</html>\n")


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_reading_lightly_puts_the_same_into_the_index(path: Path) -> None:
    data = path.read_bytes()
    assert rows_of(parse(data, "x", light=True), len(data)) == rows_of(parse(data, "x"), len(data))
