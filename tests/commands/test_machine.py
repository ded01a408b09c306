"""``leadsman setup --check`` names the words that the speech model lacks, and what is listened for instead."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from assistant.commands.machine.setup import setup


@pytest.mark.model
def test_words_of_the_grammars_are_checked_against_the_model(speech_model: Path) -> None:
    del speech_model
    lines = CliRunner().invoke(setup, ["--check", "--json"]).stdout.splitlines()
    words = next(row for row in map(json.loads, lines) if row["name"] == "words")
    assert words["ok"]
    assert "millivolts as 'milli volts'" in words["detail"]
    assert "understood only when typed" in words["detail"]


def test_without_a_model_the_report_names_that_alone(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("LEADSMAN_MODEL", str(tmp_path))
    lines = CliRunner().invoke(setup, ["--check", "--json"]).stdout.splitlines()
    found = {row["name"]: row["ok"] for row in map(json.loads, lines)}
    assert not found["speech model"]
    assert "words" not in found
