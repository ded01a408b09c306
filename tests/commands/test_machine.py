"""``leadsman setup``: what is fetched, what of the machine is ready, and the words that the speech model lacks."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner

from assistant.commands.machine import setup as machine
from assistant.commands.machine.setup import setup
from assistant.errors import OperatorError
from assistant.setup.report import Status
from tests.commands.running import Ran, Run


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


@pytest.fixture
def fetched(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What was fetched, by stand-ins that fetch nothing."""
    found: list[str] = []
    monkeypatch.setattr(machine, "fetch_published", lambda _: found.append("weights"))
    monkeypatch.setattr(machine, "fetch_model", lambda _: found.append("model"))
    return found


def away(_: object = None) -> Path:
    raise OperatorError("Cannot reach the publisher.", remedy="Connect to the network, and try again.")


def test_a_model_that_is_there_is_not_fetched_again(
    run: Run, fetched: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(machine, "model_folder", Path)
    assert run("setup", "--model-only") == Ran(0, "", "")
    assert fetched == ["weights"]


def test_a_model_that_is_missing_is_fetched(run: Run, fetched: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(machine, "model_folder", away)
    assert run("setup", "--model-only").code == 0
    assert fetched == ["weights", "model"]


def test_one_that_cannot_be_had_is_a_failure_and_missing_weights_are_none(
    run: Run, fetched: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without the weights all else works; without a model no answer is heard."""
    monkeypatch.setattr(machine, "fetch_published", away)
    monkeypatch.setattr(machine, "model_folder", Path)
    ran = run("setup", "--model-only")
    assert ran.code == 0
    assert "Cannot reach the publisher." in ran.err
    monkeypatch.setattr(machine, "model_folder", away)
    monkeypatch.setattr(machine, "fetch_model", away)
    ran = run("setup", "--model-only")
    assert ran.code == 2
    assert "Connect to the network, and try again." in ran.err
    assert fetched == []
    quiet = machine.ensure_model(quiet=True)
    assert quiet is not None


def test_the_report_says_of_each_part_whether_a_session_can_do_without_it(
    run: Run, fetched: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A missing microphone is no failure, a missing model is; each comes with its remedy."""
    there = [Status("Python", ok=True, detail="3.11", remedy=""), Status("speech model", True, "here", "")]
    lacks = [Status("microphone", ok=False, detail="There is none.", remedy="Connect one.")]
    monkeypatch.setattr(machine, "inspect_machine", lambda: [*there, *lacks])
    monkeypatch.setattr(machine, "best_scorer", lambda: None)
    monkeypatch.setattr(machine, "model_folder", away)
    ran = run("setup", "--check")
    assert ran.code == 0
    lines = ran.out.splitlines()
    assert lines[1:4] == ["ready    speech model     here", "without  microphone       There is none.",
                          " " * 26 + "Connect one."]  # fmt: skip
    assert lines[4].startswith("without  second opinion   There is none:")
    assert "ready    free talk        what no rule knows is held against sayings of" in ran.out
    monkeypatch.setattr(
        machine, "inspect_machine", lambda: [replace(there[1], ok=False, remedy="Run: leadsman setup")]
    )
    ran = run("setup", "--check")
    assert ran.code == 1
    assert ran.out.startswith("MISSING  speech model     here\n" + " " * 26 + "Run: leadsman setup\n")
    assert fetched == []
