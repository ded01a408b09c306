"""``leadsman inspect`` as an editor of a procedure meets it."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest

from assistant.__main__ import main

ROOT = Path(__file__).parent.parent.parent
BROKEN = ROOT / "tests" / "inspection" / "broken.toml"


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    with pytest.raises(SystemExit) as left:
        main(list(arguments))
    captured = capsys.readouterr()
    return int(left.value.code or 0), captured.out, captured.err


@pytest.mark.model
def test_everything_wrong_is_reported_at_once_including_words_the_model_lacks(
    capsys: pytest.CaptureFixture[str], speech_model: Path
) -> None:
    code, out, _ = run(capsys, "inspect", str(BROKEN))
    lines = out.splitlines()
    assert code == 3
    assert lines[0] == "broken.toml has 15 faults:"
    assert len(lines) == 17
    assert lines[-1] == "3 of them are remarks; the others stop a session."
    assert any("The recognizer does not have the word 'clevis'. Choose another." in line for line in lines)
    numbers = [int(line.split("line ")[1].split(",")[0]) for line in lines[1:-1]]
    assert numbers == sorted(numbers)


@pytest.mark.model
def test_findings_as_json(capsys: pytest.CaptureFixture[str], speech_model: Path) -> None:
    code, out, _ = run(capsys, "inspect", str(BROKEN), "--json")
    found = [json.loads(line) for line in out.splitlines()]
    assert code == 3
    assert len(found) == 15
    assert all(set(one) == {"line", "where", "text", "remark"} and one["line"] > 1 for one in found)


@pytest.mark.model
def test_a_sound_procedure_says_so(capsys: pytest.CaptureFixture[str], speech_model: Path) -> None:
    code, out, _ = run(capsys, "inspect", "trailer-abs-light-on")
    assert (code, out) == (0, "trailer-abs-light-on.toml: no fault found.\n")


def test_limits_that_nobody_verified_are_counted_and_stop_nothing(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Against the file's own text: each limit that is marked there stands on a line that is counted."""
    monkeypatch.setenv("LEADSMAN_MODEL", str(tmp_path))
    lines = (ROOT / "dialogs" / "battery-and-charging.toml").read_text(encoding="utf-8").splitlines()
    marked = [number for number, line in enumerate(lines, 1) if "unverified = " in line]
    code, out, _ = run(capsys, "inspect", "battery-and-charging")
    assert code == 0
    assert f"{len(marked)} limits are marked as not verified (lines {', '.join(map(str, marked))})." in out
    code, out, _ = run(capsys, "inspect", "battery-and-charging", "--json")
    assert code == 0
    assert [json.loads(line)["line"] for line in out.splitlines()] == marked


def test_without_a_model_all_other_findings_are_reported(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("LEADSMAN_MODEL", str(tmp_path))
    code, out, err = run(capsys, "inspect", str(BROKEN))
    assert code == 3
    assert "broken.toml has 14 faults:" in out
    assert "Words are not looked up in the speech model." in err


def test_what_is_no_toml_is_one_sentence(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = tmp_path / "mine.toml"
    file.write_text('format = 1\nname = "mine\n', encoding="utf-8")
    code, out, _ = run(capsys, "inspect", str(file))
    assert code == 3
    assert "line 2, file: A quote is opened here and not closed" in out


@pytest.mark.parametrize("command", ["start", "practice"])
def test_a_new_file_gets_every_reason_why_it_is_unfit(
    command: str, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """As much as inspecting it tells without a speech model; its remarks are counted and stop nothing."""
    code, _, err = run(capsys, command, str(BROKEN), "--typed", "--records", str(tmp_path))
    told = json.loads("[" + ",".join(run(capsys, "inspect", str(BROKEN), "--json")[1].splitlines()) + "]")
    unfit = [one["text"] for one in told if not one["remark"]]
    assert code == 3
    assert len(unfit) == 12
    assert all(text in err for text in unfit)
    assert f"leadsman inspect {BROKEN} shows 2 remarks that need not stop you." in err
    assert not list(tmp_path.rglob("*.jsonl")), "no record was begun"


@pytest.mark.parametrize("command", ["start", "practice"])
def test_remarks_are_counted_and_the_session_begins(
    command: str, capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    long = "Finds the trouble, " + "slowly and with great care and patience, " * 6
    text = (ROOT / "dialogs" / "tire-tread-depth.toml").read_text(encoding="utf-8")
    summary = next(line for line in text.splitlines() if line.startswith("summary = "))
    file = tmp_path / "tire-tread-depth.toml"
    file.write_text(text.replace(summary, f'summary = "{long}"'), encoding="utf-8")
    monkeypatch.setattr("sys.stdin", io.StringIO("stop\nyes\n"))
    _, out, err = run(capsys, command, str(file), "--typed", "--records", str(tmp_path / "records"))
    assert f"leadsman inspect {file} shows 1 remark that need not stop you." in err
    assert "You'll need: " in out
