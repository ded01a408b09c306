"""The command line as a user meets it: output, exit codes, and no traceback whatever is typed."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.commands.running import Run

ROOT = Path(__file__).parent.parent.parent


def test_understand_prints_the_value_and_the_withdrawn_one(run: Run) -> None:
    """A correction inside one breath replaces the first value and keeps it as withdrawn (case A063)."""
    ran = run("understand", "eleven hundred, I mean twelve hundred", "--unit", "ohm", "--json")
    fields = json.loads(ran.out)
    assert ran.code == 0
    assert fields["outcome"] == "reading"
    assert fields["value"] == "1200"
    assert fields["withdrawn"] == ["1100"]
    assert list(fields) == [
        "outcome", "value", "unit", "values", "low_end", "high_end", "command", "choice", "identifier",
        "approximate", "withdrawn", "confirm", "ask", "reason", "heard",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("arguments", "expected"),
    [
        (["--unit", "ohm", "--low", "900", "--high", "1400"], {"outcome": "reading", "value": "1180"}),
        (["--identifier"], {"outcome": "not_understood"}),
    ],
)
def test_understand_by_what_is_expected(run: Run, arguments: list[str], expected: dict[str, str]) -> None:
    """The prompt decides; a unit number is digit by digit."""
    fields = json.loads(run("understand", "eleven eighty ohms", "--json", *arguments).out)
    assert {name: fields[name] for name in expected} == expected


def test_understand_explains_the_role_of_each_clause(run: Run) -> None:
    said = "two and a half, should be two"
    ran = run("understand", said, "--unit", "in", "--high", "2", "--explain")
    assert "  answer       two [number]" in ran.out
    assert "  expectation  should be [expectation] | two [number]" in ran.out
    assert "decision   is asked about; reason: condemns" in ran.out
    fields = json.loads(run("understand", said, "--unit", "in", "--explain", "--json").out)
    assert [clause["role"] for clause in fields["clauses"]] == ["answer", "expectation"]
    asked = json.loads(run("understand", "is it open?", "--unit", "ohm", "--explain", "--json").out)
    assert (asked["outcome"], asked["refused"]) == ("not_understood", "question")


@pytest.mark.parametrize(
    ("said", "part", "outcome"),
    [
        ("what's the limit", "[limit] of grammars/questions.toml", "question"),
        ("still working on it", "[working] of grammars/reports.toml", "report"),
        ("let's do the right side first", "[order] of grammars/reports.toml", "report"),
    ],
)
def test_understand_explains_questions_and_reports(run: Run, said: str, part: str, outcome: str) -> None:
    """The form that fitted is shown, and that nothing is logged."""
    out = run("understand", said, "--unit", "ohm", "--explain").out
    assert f"a {outcome}: nothing is logged" in out
    assert part in out
    fields = json.loads(run("understand", said, "--unit", "ohm", "--explain", "--json").out)
    assert fields["outcome"] == outcome
    assert fields["form"]


def test_understand_batch_keeps_order(run: Run, tmp_path: Path) -> None:
    """One object in, one out, with its id."""
    batch = tmp_path / "batch.jsonl"
    rows = [
        {"id": "a", "said": "twelve six volts", "unit": "V", "low": 11.5, "high": 14.2, "span": [0, 30]},
        {"id": "b", "said": "scratch that"},
        {"id": "c", "said": "right rear", "choices": ["left rear", "right rear"]},
        {"id": "d", "said": "unit oh three seven seven", "identifier": True},
    ]
    batch.write_text("".join(json.dumps(row) + "\n" for row in rows), encoding="utf-8")
    ran = run("understand", "--batch", str(batch))
    out = [json.loads(line) for line in ran.out.splitlines()]
    assert ran.code == 0
    assert [one["id"] for one in out] == ["a", "b", "c", "d"]
    assert out[0]["value"] == "12.6"
    assert out[1]["command"] == "withdraw"
    assert out[2]["choice"] == "right rear"
    assert out[3]["identifier"] == "0377"


def test_judge_with_accuracy_and_resolution(run: Run) -> None:
    """2980 ohms on 700 to 3000 with 0.8 % + 2 counts is too close (worked example, JCGM 106 arithmetic)."""
    fields = json.loads(
        run("judge", "2980", "--unit", "ohm", "--low", "700", "--high", "3000", "--accuracy", "0.8%+2",
            "--resolution", "1", "--json").out
    )  # fmt: skip
    assert fields["verdict"] == "too_close"
    assert float(fields["uncertainty"]) == pytest.approx(29.837, abs=0.001)
    assert fields["probability_good"] == pytest.approx(0.90997, abs=0.00001)
    assert float(fields["guarded_high"]) == pytest.approx(2970.16, abs=0.01)


def test_judge_accepts_a_negative_value(run: Run) -> None:
    """A minus sign is a value, not an option."""
    fields = json.loads(run("judge", "--unit", "V", "--low", "4.5", "--high", "5.5", "--json", "--", "-4.9").out)
    assert fields["verdict"] == "bad_low"


BAD = [
    (["start", "no-such-procedure"], 2, "no-such-procedure"),
    (["start", "trailer-abs-light-on", "--answers", "no-such-file.txt"], 2, "no-such-file.txt"),
    (["start", "trailer-abs-light-on", "--audio", "no-such-folder"], 2, "no-such-folder"),
    (["start", "trailer-abs-light-on", "--meter", "no-such-meter"], 2, "no meter"),
    (["start", "trailer-abs-light-on", "--air-temperature", "warm"], 2, "not a temperature"),
    (["start", "trailer-abs-light-on", "--typed", "--audio", "."], 2, "only one of"),
    (["resume", "20260101-000000-abc"], 2, "20260101-000000-abc"),
    (["resume", "../../etc/passwd"], 2, "not the identity"),
    (["show", "20260101-000000-abc"], 2, "20260101-000000-abc"),
    (["demo", "no-such-scene"], 2, "no-such-scene"),
    (["understand"], 2, "Give the words"),
    (["understand", "five", "--unit", "furlong"], 2, "furlong"),
    (["understand", "five", "--unit", "V", "--span", "9:1"], 2, "span"),
    (["understand", "five", "--unit", "V", "--low", "x"], 2, "not a plain number"),
    (["understand", "--batch", "no-such-batch"], 2, "Cannot read"),
    (["hear"], 2, "Give a recording"),
    (["hear", "no-such.flac", "--unit", "ohm"], 2, "no-such.flac"),
    (["judge", "5", "--unit", "ohm"], 2, "no limit"),
    (["judge", "5", "--unit", "ohm", "--low", "1", "--accuracy", "about right"], 2, "about right"),
    (["inspect", "no-such-procedure"], 2, "no-such-procedure"),
    (["nonsense"], 2, "nonsense"),
]


@pytest.mark.parametrize(("arguments", "code", "words"), BAD, ids=[" ".join(row[0]) for row in BAD])
def test_bad_input_is_one_sentence_with_an_exit_code(
    run: Run,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    speech_model: Path,
    arguments: list[str],
    code: int,
    words: str,
) -> None:
    """What was wrong is named, nothing is half done, and no traceback is shown."""
    monkeypatch.setenv("LEADSMAN_RECORDS", str(tmp_path))
    ran = run(*arguments)
    assert ran.code == code
    assert words in ran.err
    assert "Traceback" not in ran.err
    assert list(tmp_path.glob("*.jsonl")) == []


def test_broken_procedure_is_named_with_all_its_faults(run: Run, tmp_path: Path) -> None:
    """Exit code 3, each finding with its line."""
    path = tmp_path / "mine.toml"
    path.write_text('format = 1\nname = "mine"\nsummary = 5\n', encoding="utf-8")
    ran = run("inspect", str(path))
    assert ran.code == 3
    assert "mine.toml has" in ran.out
    assert "line 3" in ran.out
    started = run("start", str(path))
    assert started.code == 3
    assert "mine.toml has" in started.err


def test_a_bug_leaves_as_a_sentence_too(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """Exit code 70, no traceback, and what is on disk stays."""

    def fail() -> None:
        raise ZeroDivisionError("by nothing")

    monkeypatch.setattr("assistant.catalog.load_vocabulary", fail)
    ran = run("understand", "five")
    assert ran.code == 70
    assert "fault of its own" in ran.err
    assert "Traceback" not in ran.err


def test_piped_standard_input_runs_a_session(tmp_path: Path) -> None:
    """The end of the pipe leaves the session kept, with the way to go on."""
    ran = subprocess.run(
        [sys.executable, "-m", "assistant", "start", "trailer-abs-light-on", "--unit", "0377", "--records", tmp_path],
        input=b"next\r\nyes\r\n\xff\xfe nonsense\r\n",
        capture_output=True,
        cwd=ROOT,
        env={**os.environ, "PYTHONIOENCODING": "utf-8"},
        timeout=120,
        check=False,
    )
    assert ran.returncode == 0
    out = ran.stdout.decode()
    assert "chock" in out
    assert "leadsman resume" in out
    assert ran.stderr == b""
    assert len(list(tmp_path.glob("*.jsonl"))) == 1


def test_output_that_nobody_reads_is_no_error(tmp_path: Path) -> None:
    """``leadsman procedures | head -1`` ends quietly."""
    ran = subprocess.run(
        f'"{sys.executable}" -m assistant procedures | head -1', shell=True, capture_output=True, cwd=ROOT,
        timeout=60, check=False,
    )  # fmt: skip
    assert ran.returncode == 0
    assert b"Traceback" not in ran.stderr
