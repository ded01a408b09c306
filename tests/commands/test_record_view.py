"""A record as the page shows it: the same head as the transcript, and a survey's table."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.display.record_view import record_view
from assistant.numerals.vocabulary import Vocabulary
from assistant.records.report.transcript import summary_text
from assistant.records.summary.collect import summarize
from assistant.records.summary.positions import positions_table
from assistant.records.summary.sessions import find_session
from tests.commands.test_proving import run


def practiced(capsys: pytest.CaptureFixture[str], folder: Path, procedure: str) -> str:
    """Identity of a session that a simulated unit went through."""
    run(capsys, "practice", procedure, "--seed", "5", "--watch", "--records", str(folder))
    return next(folder.glob("*.jsonl")).stem


def test_a_survey_shows_its_table(capsys: pytest.CaptureFixture[str], tmp_path: Path, vocabulary: Vocabulary) -> None:
    session = find_session(tmp_path, practiced(capsys, tmp_path, "seven-way-survey"))
    shown = record_view(session, vocabulary)
    table = positions_table(summarize(session), vocabulary)
    assert table is not None
    assert shown["positions"]["heads"] == ["position", *table.heads]
    assert [row["place"] for row in shown["positions"]["rows"]] == [place for place, _ in table.rows]
    marks = [cell["mark"] for row in shown["positions"]["rows"] for cell in row["cells"]]
    assert marks.count("bad") == 1
    assert shown["positions"]["notes"][-1] == "! not good"
    assert [row["label"] for row in shown["rows"]][:3] == ["Complaint", "Found", "Ending"]


def test_a_session_that_looks_for_a_fault_has_a_cause_and_no_table(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, vocabulary: Vocabulary
) -> None:
    session = find_session(tmp_path, practiced(capsys, tmp_path, "trailer-abs-light-never-lights"))
    shown = record_view(session, vocabulary)
    assert shown["positions"] is None
    labels = [row["label"] for row in shown["rows"]]
    assert labels[:3] == ["Complaint", "Cause", "Correction"]
    text = summary_text(summarize(session))
    assert [label for label in labels if f"\n{label:<13}" not in text] == []
