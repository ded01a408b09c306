"""What a session begins with: set once, taken where an option is not given, and never in the way."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from assistant.commands.catalog import COMMANDS
from assistant.library import shop_folder
from tests.commands.running import Run
from tests.conftest import missing


@pytest.fixture(autouse=True)
def _own_places(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Records and settings in folders of the test's own."""
    monkeypatch.setenv("LEADSMAN_RECORDS", str(tmp_path / "records"))
    monkeypatch.setenv("LEADSMAN_SHOP", str(tmp_path / "shop"))
    monkeypatch.chdir(tmp_path)


def test_a_setting_is_kept_shown_and_forgotten(run: Run) -> None:
    assert run("config", "meter", "bench").code == 0
    assert run("config", "headset", "yes").code == 0
    shown = run("config")
    assert "meter      bench" in shown.out
    assert json.loads(run("config", "--json").out)["headset"] is True
    assert run("config", "meter").out == "bench\n"
    assert run("config", "meter", "--unset").code == 0
    assert run("config", "meter").out == "not set\n"
    assert json.loads(run("config", "headset", "--json").out) == {"headset": True}


@pytest.mark.parametrize(
    ("name", "value", "told"),
    [
        ("meter", "nosuch", "There is no meter 'nosuch'. There are: bench"),
        ("speed", "fast", "'fast' is no speed. Give 90 to 320"),
        ("speed", "²", "'²' is no speed"),
        ("headset", "maybe", "'maybe' is neither yes nor no."),
        ("store", "cloud", "Say folder or postgresql."),
        ("colour", "red", "There is no setting 'colour'. There are: meter, technician"),
    ],
)
def test_what_cannot_be_set_is_told_and_nothing_is_kept(run: Run, name: str, value: str, told: str) -> None:
    ran = run("config", name, value)
    assert ran.code == 2
    assert told in ran.err
    assert not (shop_folder() / "settings.toml").exists()


def test_a_session_begins_with_the_settings_and_an_option_comes_first(run: Run, tmp_path: Path) -> None:
    answers = tmp_path / "answers.txt"
    answers.write_text("next\n", encoding="utf-8")
    for name, value in (("technician", "Pat Example"), ("meter", "bench")):
        assert run("config", name, value).code == 0
    start = ("start", "trailer-abs-light-on", "--unit", "0417", "--answers", str(answers))
    assert run(*start).code == 0
    assert run(*start, "--technician", "Lee Example").code == 0
    for name in ("Pat Example", "Lee Example"):
        assert len(run("history", "--technician", name).out.splitlines()) == 1
    assert "2 sessions" in run("history", "0417").out, "the name is no filter where it was not asked for"


def test_the_folder_that_the_environment_names_comes_before_the_settings(run: Run, tmp_path: Path) -> None:
    elsewhere = tmp_path / "elsewhere"
    run("config", "records", str(elsewhere))
    assert str(elsewhere) not in run("sessions").out


def test_a_broken_file_of_settings_stops_nothing(run: Run) -> None:
    path = shop_folder() / "settings.toml"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text('[start]\nmeter = 3\nheadset = "no"\n[voice]\nwords_a_minute = 9999\n', encoding="utf-8")
    assert json.loads(run("config", "--json").out) == {
        "meter": "", "technician": "", "shop": "", "headset": False, "records": "", "store": "",
        "voice": "", "speed": 170,
    }  # fmt: skip
    path.write_text("[[[", encoding="utf-8")
    assert run("sessions").code == 0


def completed(*words: str, folder: Path) -> list[str]:
    """What bash is offered, by the protocol that Click's own script speaks."""
    asked = subprocess.run(
        [sys.executable, "-m", "assistant"],
        env={**os.environ, "_LEADSMAN_COMPLETE": "bash_complete", "COMP_WORDS": " ".join(("leadsman", *words)),
             "COMP_CWORD": str(len(words)), "LEADSMAN_RECORDS": str(folder)},
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert asked.stderr == ""
    return [line.partition(",")[2] for line in asked.stdout.splitlines() if line]


def test_the_shell_completes_commands_procedures_and_settings(tmp_path: Path) -> None:
    assert completed("se", folder=tmp_path) == ["serve", "sessions", "search", "setup"]
    assert "trailer-abs-light-on" in completed("start", "trailer-", folder=tmp_path)
    assert completed("config", "me", folder=tmp_path) == ["meter"]
    assert completed("show", "2", folder=tmp_path) == []


def test_the_shell_completes_sessions(run: Run, tmp_path: Path) -> None:
    answers = tmp_path / "answers.txt"
    answers.write_text("next\n", encoding="utf-8")
    run("start", "trailer-abs-light-on", "--unit", "0417", "--answers", str(answers))
    [journal] = (tmp_path / "records").glob("*.jsonl")
    assert completed("show", journal.stem[:4], folder=tmp_path / "records") == [journal.stem]


def test_every_command_has_a_manual_page_that_the_reader_takes(run: Run, tmp_path: Path) -> None:
    """By groff's own checks where it is there (Debian's groff-base), which knows nothing of this project."""
    assert run("manual", str(tmp_path / "man")).code == 0
    pages = {page.stem: page for page in (tmp_path / "man").glob("*.1")}
    assert set(pages) == {"leadsman", *(f"leadsman-{name}" for name in COMMANDS)}
    assert "leadsman start trailer-abs-light-on" in pages["leadsman-start"].read_text(encoding="utf-8")
    groff = shutil.which("groff")
    if groff is None:
        missing("groff is not on this machine: apt-get install groff-base")
    for page in pages.values():
        checked = subprocess.run(
            [groff, "-man", "-Tutf8", "-ww", "-z", str(page)], capture_output=True, text=True, check=False
        )
        assert checked.returncode == 0
        assert "error" not in checked.stderr


def test_sessions_are_listed_from_a_day_on_and_the_open_ones_alone(run: Run, tmp_path: Path) -> None:
    answers = tmp_path / "answers.txt"
    answers.write_text("next\n", encoding="utf-8")
    run("start", "trailer-abs-light-on", "--unit", "0417", "--answers", str(answers))
    assert "0417" in run("sessions", "--open").out
    assert "0417" in run("sessions", "--since", "2020-01-01").out
    assert "No session in" in run("sessions", "--since", "2999-01-01").out
