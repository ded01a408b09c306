"""``understand``, ``hear`` and ``judge`` as a person reads them: each line is one thing that was understood."""

from __future__ import annotations

import json
from pathlib import Path
from types import TracebackType
from typing import Self

import pytest

from assistant.commands.speech.understanding import print_opinions
from assistant.messages import Expectation, Hearing, Hypothesis
from tests.commands.running import Run


@pytest.mark.parametrize(
    ("arguments", "lines"),
    [
        (("eleven eighty ohms", "--unit", "ohm"), ("outcome  reading", "value    1,180 ohms")),
        (("twelve six volts", "--unit", "V"), ("value    12.6 V",)),
        (("eleven hundred, I mean twelve hundred", "--unit", "ohm"), ("value    1,200 ohms", "deleted  1100")),
        (("about twelve volts", "--unit", "V"), ("value    12 V", "approximate")),
        (("between eleven and twelve volts", "--unit", "V"), ("between  11 and 12",)),
        (("more than twenty thousand ohms", "--unit", "ohm"), ("between  20000 and ?",)),
        (("scratch that", "--unit", "V"), ("outcome  command", "command  withdraw")),
        (("right rear", "--choice", "left rear", "--choice", "right rear"), ("choice   right rear",)),
        (("unit oh three seven seven", "--identifier"), ("identifier 0377",)),
        (("what's the limit", "--unit", "V"), ("outcome  question", "about    limit")),
        (("still working on it", "--unit", "V"), ("outcome  report", "report   working")),
    ],
)  # fmt: skip
def test_what_was_understood_stands_in_lines(run: Run, arguments: tuple[str, ...], lines: tuple[str, ...]) -> None:
    ran = run("understand", *arguments)
    assert ran.code == 0
    assert ran.out.startswith(f"heard    {arguments[0]}\n")
    for line in lines:
        assert line in ran.out.splitlines(), ran.out


def test_a_doubt_is_shown_as_the_question_that_would_be_asked(run: Run) -> None:
    """A value that condemns is asked about before it counts; two meanings are named."""
    condemns = run("understand", "two and a half, should be two", "--unit", "in", "--high", "2").out
    assert "\nasks     " in condemns
    assert "?" in condemns.partition("asks     ")[2]


def test_a_question_that_no_form_knows_is_explained_by_the_sayings(run: Run) -> None:
    out = run("understand", "why on earth would you want that number", "--unit", "ohm", "--explain").out
    assert "like       " in out
    shares = [float(one.rpartition(" ")[2]) for one in out.rpartition("like       ")[2].strip().split(", ")]
    assert shares == sorted(shares, reverse=True)
    assert 0 < sum(shares) <= 1.01


class Hears:
    """Recordings by their names, in the place of the recognizer."""

    heard: tuple[Hypothesis, ...] = ()
    warnings: tuple[str, ...] = ()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        pass

    def hear_file(self, path: Path, expectation: Expectation) -> Hearing:
        assert path.name == "answer.flac"
        assert expectation.unit == "ohm"
        return Hearing(self.heard, 18.25, self.warnings)


@pytest.fixture
def hears(monkeypatch: pytest.MonkeyPatch) -> Hears:
    """A recognizer that needs no model."""
    made = Hears()
    made.heard = (
        Hypothesis("eleven eighty", 40.0, recognized=41.0, second=-2.0),
        Hypothesis("eleven eight", 38.0, recognized=43.5, second=-11.0),
        Hypothesis("[unclear]", 20.0, recognized=25.0),
        Hypothesis("seven eighty", 19.0, recognized=24.0),
    )
    monkeypatch.setattr("assistant.asr.recognizer.Recognizer", lambda *_: made)
    monkeypatch.setattr("assistant.setup.model.model_folder", Path)
    return made


def test_a_recording_is_told_with_the_three_likeliest_and_what_was_understood(run: Run, hears: Hears) -> None:
    hears.warnings = ("The sound is clipped.",)
    lines = run("hear", "answer.flac", "--unit", "ohm").out.splitlines()
    assert lines[0] == "note     The sound is clipped."
    assert lines[1:4] == ["maybe    eleven eighty", "maybe    eleven eight", "maybe    [unclear]"]
    assert "value    1180" in lines
    assert "snr_db   18.2" in lines
    assert not any(line.split()[-1] in ("None", "[]", "False") for line in lines), "what is empty is left out"


def test_the_opinions_stand_beside_each_other_as_distances_from_the_best(run: Run, hears: Hears) -> None:
    lines = run("hear", "answer.flac", "--unit", "ohm", "--explain").out.splitlines()
    assert lines[0].split() == ["together", "recognizer", "second", "words"]
    assert [line.split() for line in lines[1:4]] == [
        ["0.0", "-2.5", "0.0", "eleven", "eighty"],
        ["-2.0", "0.0", "-9.0", "eleven", "eight"],
        ["-20.0", "-18.5", "-", "[unclear]"],
    ]


def test_without_a_second_opinion_that_is_said(run: Run, hears: Hears, capsys: pytest.CaptureFixture[str]) -> None:
    hears.heard = (Hypothesis("eleven eighty", 40.0),)
    lines = run("hear", "answer.flac", "--unit", "ohm", "--explain").out.splitlines()
    assert lines[0].startswith("no second opinion: its weights are not on this machine")
    assert lines[2].split() == ["0.0", "0.0", "-", "eleven", "eighty"]
    print_opinions([])
    assert capsys.readouterr().out == ""


def test_recordings_are_heard_in_a_batch_and_a_bad_line_stops_none(run: Run, hears: Hears, tmp_path: Path) -> None:
    batch = tmp_path / "batch.jsonl"
    rows = [{"id": "a", "file": "answer.flac", "unit": "ohm"}, {"id": "b", "unit": "ohm"}]
    batch.write_text("".join(json.dumps(row) + "\n" for row in rows), encoding="utf-8")
    ran = run("hear", "--batch", str(batch))
    good, bad = (json.loads(line) for line in ran.out.splitlines())
    assert (good["id"], good["value"], good["snr_db"]) == ("a", "1180", 18.2)
    assert [one["words"] for one in good["alternatives"]] == [one.words for one in hears.heard]
    assert (bad["id"], "'file' is missing." in bad["error"]) == ("b", True)
    assert "'said' is missing." in run("understand", "--batch", str(batch)).out


@pytest.mark.parametrize(
    ("arguments", "grade", "told"),
    [
        (("1180", "--low", "900", "--high", "1400"), "good", "against 900 to 1,400 ohms"),
        (("2980", "--low", "700", "--high", "3000", "--accuracy", "0.8%+2"), "too_close", "700 to 3,000 ohms"),
        (("850", "--low", "900"), "bad_low", "at least 900 ohms"),
        (("1.2", "--high", "2", "--lead-ohms", "0.2"), "good", "1.2 ohms, less 0.2 for the leads, is 1.0 ohms"),
        (("1300", "--low", "900", "--high", "1400", "--coil-celsius", "60"), "good", "is 1,123 ohms"),
    ],
)
def test_a_verdict_says_what_was_taken_off_before_it_was_judged(
    run: Run, arguments: tuple[str, ...], grade: str, told: str
) -> None:
    """Copper by hand: 1300 * (234.5 + 20) / (234.5 + 60) = 1123.4; 234.5 is copper's, from memory."""
    ran = run("judge", *arguments, "--unit", "ohm")
    assert ran.code == 0
    assert ran.out.startswith(f"{grade}: ")
    assert told in ran.out


def test_without_a_limit_there_is_nothing_to_judge_against(run: Run) -> None:
    ran = run("judge", "12.6", "--unit", "V")
    assert ran.code == 2
    assert "There is no limit to judge against. Give --low, --high or both." in ran.err
