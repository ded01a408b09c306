"""How much is said is kept for a technician between sessions, on this machine, without the name."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from assistant import preferences
from assistant.__main__ import cli
from assistant.messages import Talk


def test_each_technician_has_a_length_and_nobody_is_named(tmp_path: Path) -> None:
    folder = tmp_path / "records"
    assert preferences.talk_of(folder, "Pat Invented") is None
    preferences.keep_talk(folder, "Pat Invented", Talk.SHORT)
    preferences.keep_talk(folder, "", Talk.FIRST)
    assert preferences.talk_of(folder, "  pat   invented ") is Talk.SHORT
    assert preferences.talk_of(folder, "") is Talk.FIRST
    assert preferences.talk_of(folder, "Sam Invented") is None
    preferences.keep_talk(folder, "Pat Invented", Talk.USUAL)
    assert preferences.talk_of(folder, "Pat Invented") is Talk.USUAL
    assert "invented" not in (folder / preferences.FILE).read_text(encoding="utf-8").lower()


@pytest.mark.parametrize("text", ["", "[1]", '{"talk": 3}', '{"talk": {"": "loud"}}', "{" * 5000])
def test_a_file_that_says_nothing_of_use_is_no_preference(text: str, tmp_path: Path) -> None:
    (tmp_path / preferences.FILE).write_text(text, encoding="utf-8")
    assert preferences.talk_of(tmp_path, "") is None


def led(tmp_path: Path, lines: list[str], *more: str) -> str:
    answers = tmp_path / "answers.txt"
    answers.write_text("\n".join(lines) + "\n", encoding="utf-8")
    found = CliRunner().invoke(
        cli,
        ["start", "tire-tread-depth", "--answers", str(answers), "--records", str(tmp_path / "records"), *more],
    )
    assert found.exit_code == 0, found.output
    return found.output


def test_what_was_asked_for_in_one_session_holds_in_the_next(tmp_path: Path) -> None:
    pat = ("--technician", "Pat Invented")
    first = led(tmp_path, ["keep it short", "ready"], *pat)
    assert "You'll need" in first
    assert "You'll need" not in led(tmp_path, ["ready"], *pat)
    assert "You'll need" in led(tmp_path, ["ready"], "--technician", "Sam Invented")
    assert "You'll need" in led(tmp_path, ["ready"], *pat, "--talk", "usual")
    assert "Say ready when you are." in led(tmp_path, ["tell me more"], *pat)
    assert "Say ready when you are." in led(tmp_path, ["ready"], *pat)
