"""Whatever lies in a records folder: no command crashes or hangs, and a whole record beside it is not lost."""

from __future__ import annotations

import json
import os
import re
import signal
import traceback
from pathlib import Path
from random import Random
from types import FrameType

import pytest

from assistant.__main__ import main
from tests.records.forged import GOOD, GOOD_UNIT, SAMPLES, chain, forge, lines_of, mutate, named, strays

SECONDS = 60
"""Of one command, on a busy machine: more is a hang."""
WHOLE = ("show", "verify")
REPORTS = ("report --format text", "report --format csv", "report --format json", "report --out R.html")
"""Each journal is reported in one form of these in turn: all begin with the same values."""
COSTLY = ("replay", "resume --answers ANSWERS")
"""These run the engine, and are tried on every third journal."""
FOLDER = (
    "sessions --json", "sessions", "search tire", f"history {GOOD_UNIT}", "history", f"history {GOOD_UNIT} --json",
    "history --comebacks", "export --parquet TABLES", "show last", "resume --answers ANSWERS",
    f"start trailer-abs-light-on --unit {GOOD_UNIT} --answers ANSWERS", "rebuild", "sessions --json",
)  # fmt: skip


class HangError(Exception):
    """A command did not come back."""


class Commands:
    """Runs commands in this process and keeps what went wrong."""

    def __init__(self, folder: Path, work: Path, capsys: pytest.CaptureFixture[str]) -> None:
        self.folder, self.work, self.capsys = folder, work, capsys
        self.wrong: list[str] = []
        (work / "answers.txt").write_text("yes\nwhy\n", encoding="utf-8")

    def run(self, command: str, *ids: str) -> tuple[str, str]:
        """One command; its output and errors."""
        names = {"ANSWERS": str(self.work / "answers.txt"), "TABLES": str(self.work / "tables"),
                 "R.html": str(self.work / "r.html")}  # fmt: skip
        first, *rest = (names.get(word, word) for word in command.split())
        arguments = [first, *ids, *rest, "--records", str(self.folder)]
        self.capsys.readouterr()
        old = signal.signal(signal.SIGALRM, _hang)
        signal.alarm(SECONDS)
        try:
            main(arguments)
        except SystemExit as end:
            if end.code == 70:  # told in a sentence, and yet a fault of our own
                self.wrong.append(f"{' '.join(arguments)}: 70\n{self.capsys.readouterr().err}")
        except BaseException:  # noqa: BLE001 - whatever it is, it is a crash, with its place
            self.wrong.append(f"{' '.join(arguments)}\n{traceback.format_exc(limit=-6)}")
        finally:
            signal.alarm(0)
            signal.signal(signal.SIGALRM, old)
        read = self.capsys.readouterr()
        return read.out, read.err


def _hang(_number: int, _frame: FrameType | None) -> None:
    raise HangError


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("LEADSMAN_DEBUG", "1")  # an unexpected error comes out as what it is
    place = tmp_path / "records"
    place.mkdir(mode=0o700)
    (place / f"{GOOD}.jsonl").write_bytes(chain(named(lines_of(SAMPLES[-1]), GOOD, GOOD_UNIT)))
    return place


def _nothing_lost(commands: Commands) -> None:
    out, _ = commands.run("sessions --json")
    assert GOOD in [json.loads(line)["id"] for line in out.splitlines()]
    out, _ = commands.run(f"history {GOOD_UNIT} --json")
    assert GOOD in [one["id"] for one in json.loads(out)["sessions"]]
    out, _ = commands.run("verify --json", GOOD)
    assert json.loads(out)["whole"]


def _attack(commands: Commands, names: list[str]) -> None:
    for number, name in enumerate(names):
        for command in (*WHOLE, REPORTS[number // 2 % len(REPORTS)], *(COSTLY if number % 3 == 0 else ())):
            commands.run(command, name)  # of two beside each other one is hit, the other forged
    for command in FOLDER:
        commands.run(command)


@pytest.mark.parametrize(
    "block", [0, *(pytest.param(one, marks=pytest.mark.sweep, id=f"tens{one // 10}-{one}") for one in range(1, 100))]
)  # fmt: skip
def test_no_forged_or_broken_journal_stops_anything(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], block: int
) -> None:
    """A hundred blocks of fifty: half of them bytes hit, half of them forged and sealed again."""
    random, names = Random(block), []
    for number in range(50 if block else 24):
        name = f"2026{random.randrange(1, 13):02d}01-080000-{block:02d}{number:02d}"
        made = forge(random, name) if number % 2 else mutate(random, name)
        (folder / f"{name}.jsonl").write_bytes(made)
        names.append(name)
    commands = Commands(folder, tmp_path, capsys)
    _attack(commands, names)
    assert not commands.wrong, "\n".join(commands.wrong[:5])
    _nothing_lost(commands)
    assert not commands.wrong, "\n".join(commands.wrong[:5])


@pytest.mark.parametrize("every", [4, pytest.param(1, marks=pytest.mark.sweep)])
def test_strangers_files_are_named_and_passed_by(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], every: int
) -> None:
    """All of them lie there; every so many are asked for by name."""
    found = strays()
    assert len(found) >= 60
    for name, make in found:
        make(Path(os.fsdecode(os.fsencode(folder) + b"/" + name)))
    before = (folder / f"{GOOD}.jsonl").read_bytes()
    commands = Commands(folder, tmp_path, capsys)
    names = [re.sub(r"\.jsonl$", "", os.fsdecode(name)) for name, _ in found]
    for stem in names[::every]:
        if not stem.startswith("-"):
            commands.run("show", stem)
            commands.run("resume --answers ANSWERS", stem)
            commands.run("verify", stem)
    for command in FOLDER:
        if not command.startswith("resume"):
            commands.run(command)
    assert not commands.wrong, "\n".join(commands.wrong[:5])
    assert (folder / f"{GOOD}.jsonl").read_bytes() == before, "resuming a copy wrote into the record"
    _nothing_lost(commands)
    _, told = commands.run("sessions")
    assert told.count("Passed by in") == 1
    assert " more" in told
    assert not commands.wrong


def test_one_stranger_is_named(folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / f"{GOOD} (conflicted copy).jsonl").write_bytes(b"")
    (folder / f"{GOOD}-copy.jsonl").write_bytes((folder / f"{GOOD}.jsonl").read_bytes())
    commands = Commands(folder, tmp_path, capsys)
    for command in ("sessions", "rebuild", f"history {GOOD_UNIT}"):
        out, told = commands.run(command)
        assert f"{GOOD} (conflicted copy).jsonl (not named like a session's file)" in told
        assert f"{GOOD}-copy.jsonl (a copy of session {GOOD}, or that one renamed)" in told
    out, _ = commands.run(f"history {GOOD_UNIT} --json")
    assert len(json.loads(out)["sessions"]) == 1, "a copy is no second visit"
    out, _ = commands.run("show last")
    assert f"Session {GOOD}\n" in out
    _, told = commands.run("resume --answers ANSWERS", f"{GOOD}-copy")
    assert "a copy, or renamed. It is only read" in told
    assert not commands.wrong
