"""``prove``, ``practice`` and ``schema`` as a user meets them."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from assistant.__main__ import main
from assistant.commands.procedures import prove as prove_command
from assistant.commands.procedures.prove import report_fields, report_text
from assistant.diagnosis.fault_model import Cure
from assistant.procedure.load import load_procedure
from assistant.simulator.prove import prove
from assistant.simulator.prove_all import Row
from assistant.simulator.trial import Trial

ROOT = Path(__file__).parent.parent.parent


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    with pytest.raises(SystemExit) as left:
        main(list(arguments))
    captured = capsys.readouterr()
    return int(left.value.code or 0), captured.out, captured.err


def test_prove_reports_every_fault_and_draws_the_picture(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """Without slips every fault is found and no good part is condemned."""
    picture = tmp_path / "faults.svg"
    code, out, _ = run(capsys, "prove", "trailer-abs-light-never-lights", "--json", "--picture", str(picture))
    fields = json.loads(out)
    assert code == 0
    assert fields["found"] == 1.0
    assert fields["condemned_wrongly"] == 0
    assert fields["undeclared_groups"] == []
    assert all(one["found"] == one["runs"] > 0 for one in fields["faults"])
    assert picture.read_text(encoding="utf-8").count("<title>") >= len(fields["faults"])


def test_prove_prints_a_table(capsys: pytest.CaptureFixture[str]) -> None:
    """One line a fault, found of tried."""
    _, out, _ = run(capsys, "prove", "trailer-abs-light-never-lights")
    assert "found and proven cured   100.0%" in out
    assert "good ones among them 0, on 0.00% of units" in out


def test_condemned_good_parts_and_their_units_are_counted_separately(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """One unit can lose two good parts; none is ever taken for cured while its fault is there."""
    lamp = Cure("replace the lamp", None)
    wronged = [
        Trial((), found=True, condemned_wrongly=[lamp, lamp]),
        Trial((), found=True, condemned_wrongly=[lamp]),
        Trial((), found=False, condemned_wrongly=[lamp]),
        Trial((), found=True),
    ]
    plain = prove(load_procedure("trailer-abs-light-never-lights").procedure)
    report = replace(plain, runs=4, condemned=9, condemned_wrongly=4, caught=2, trials=tuple(wronged))
    assert (
        "9, good ones among them 4, on 75.00% of units: 2 of 3 caught by the proof of cure and then mended; "
        "1 ended without a cure, none taken for cured"
    ) in report_text(report)
    assert report_fields(report)["units_condemned_wrongly"] == 3


@pytest.mark.parametrize(
    ("fault", "words"),
    [("no such fault", "Faults:"), ("open sensor", "It can be: open sensor @")],
)
def test_practice_names_what_a_fault_can_be(capsys: pytest.CaptureFixture[str], fault: str, words: str) -> None:
    """A wrong name is answered with the right ones."""
    code, _, err = run(capsys, "practice", "trailer-abs-light-on", "--fault", fault)
    assert code == 2
    assert words in err


def test_practice_shows_what_the_unit_shows_and_tells_the_fault_at_the_end(tmp_path: Path) -> None:
    """Piped: the session is left when the input ends, and the hidden fault is told."""
    ran = subprocess.run(
        [sys.executable, "-m", "assistant", "practice", "trailer-abs-light-on", "--seed", "7", "--records", tmp_path],
        input=b"next\nyes\nyes\nyes\n12\ntrailer light\n", capture_output=True, cwd=ROOT, timeout=120, check=False,
        env={**os.environ, "PYTHONIOENCODING": "utf-8"},
    )  # fmt: skip
    out = ran.stdout.decode()
    assert ran.returncode == 0, ran.stderr
    assert "(on this unit: " in out
    assert "Hidden was: " in out
    assert "You left the session before its end." in out
    assert "Minutes of work: 0. Led without a slip: " in out


def test_practice_can_answer_for_you_and_allows_one_way_of_answering(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    code, out, _ = run(
        capsys, "practice", "trailer-abs-light-never-lights", "--seed", "4", "--watch", "--records", str(tmp_path)
    )
    assert code == 0
    assert "The session ended: fixed and verified." in out
    assert "That is the best there is." in out
    # the clock of the talk runs with the work: what the account adds up, and the time of the answers beside it
    worked = int(out.split("Minutes of work: ")[1].split(".")[0])
    last = next(line for line in reversed(out.splitlines()) if "Leadsman  Done" in line)
    assert worked <= int(last.split(":")[0]) <= worked + 5
    code, _, err = run(capsys, "practice", "trailer-abs-light-on", "--watch", "--typed")
    assert code == 2
    assert "Give only one of --typed, --listen and --watch." in err


def test_practice_hides_the_same_fault_for_the_same_seed(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    ends = []
    for folder in ("one", "two"):
        _, out, _ = run(
            capsys, "practice", "trailer-abs-light-never-lights", "--seed", "9", "--watch", "--records",
            str(tmp_path / folder),
        )  # fmt: skip
        ends.append(out[out.index("Hidden was") : out.index("Record:")])
    assert ends[0] == ends[1]


def test_a_survey_hides_one_reading_or_look_that_is_not_good(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    code, out, _ = run(capsys, "practice", "tire-tread-depth", "--seed", "5", "--watch", "--records", str(tmp_path))
    assert code == 0
    hidden = next(line for line in out.splitlines() if line.startswith("Hidden was: "))
    what = hidden.removeprefix("Hidden was: ").split(" (seed")[0]
    place = what.partition(" @ ")[2]
    told = " ".join(out[out.index("Out of limits or faulty: ") :].split()).split(". ")[0].rstrip(".")
    assert place
    assert place in told, "the position that hides it is named"
    assert {one.rpartition(", ")[2] for one in told.split("; ")} == {place}, "and no sound one"
    assert "The session ended: survey complete." in hidden
    assert "That is the best there is." in out
    table = out[out.index("Every position") : out.index("Hidden was")]
    assert len([line for line in table.splitlines() if line.endswith((" even", " uneven !", " damaged !"))]) >= 4
    assert "! out of limits or faulty" in table
    code, _, err = run(capsys, "practice", "tire-tread-depth", "--fault", "flat")
    assert code == 2
    assert "is a survey: it names no fault that could be hidden." in err


def test_schema_describes_procedure_files(capsys: pytest.CaptureFixture[str]) -> None:
    """An editor can complete keys from it."""
    code, out, _ = run(capsys, "schema")
    schema = json.loads(out)
    assert code == 0
    assert {"faults", "checks", "fixes", "proof"} <= set(schema["properties"])
    assert "finds" in schema["$defs"]["Check"]["properties"]


def test_draw_tells_in_words_or_writes_pages(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    code, printed, _ = run(capsys, "draw", "tire-tread-depth")
    assert code == 0
    assert "Checks with nothing to open" in printed
    file = tmp_path / "tread.html"
    code, _, _ = run(capsys, "draw", "tire-tread-depth", "-o", str(file))
    assert code == 0
    assert "Checks with nothing to open" in file.read_text(encoding="utf-8")
    code, _, told = run(capsys, "draw", "tire-tread-depth", "-o", str(tmp_path / "tread.svg"))
    assert code != 0
    assert ".html or .pdf" in told


def test_draw_tells_one_check_in_words_or_as_a_page(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    main = ("draw", "trailer-abs-light-on", "--check", "port volts")
    code, printed, _ = run(capsys, *main, "--at", "left rear")
    assert code == 0
    assert "Red probe: one pin of the port." in printed
    assert "Unplugged: sensor plugs at the module." in printed
    file = tmp_path / "port.html"
    code, _, _ = run(capsys, *main, "-o", str(file))
    assert code == 0
    assert file.read_text(encoding="utf-8").count("<svg ") == 3
    code, _, told = run(capsys, *main, "--at", "left middle")
    assert code != 0
    assert "left front, right front, left rear, right rear" in told
    code, _, told = run(capsys, "draw", "trailer-abs-light-on", "--check", "no such")
    assert code != 0
    assert "port volts" in told
    code, _, told = run(capsys, "draw", "trailer-abs-light-on", "--at", "left rear")
    assert code != 0
    assert "--check" in told


def test_draw_says_what_is_wrong(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    code, _, _ = run(capsys, "draw", "no-such-procedure")
    assert code != 0
    code, _, told = run(capsys, "draw", "tire-tread-depth", "-o", str(tmp_path / "none" / "x.html"))
    assert code != 0
    assert "Cannot write" in told


def test_prove_accepts_a_number_of_units_and_of_processes(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "prove", "seven-way-power-and-grounds", "--units", "12", "--workers", "2", "--json")
    assert code == 0
    assert json.loads(out)["runs"] == 12


GOAL_MET = Row(
    "trailer-abs-light-on", 0.0, 100, 100, 0, 0, 0, 10, 10, 4, 4, 52.0, ("sensor open", 75.0), on_truck=True
)


@pytest.mark.parametrize(("found", "code"), [(100, 0), (40, 1)])
def test_proving_every_procedure_ends_by_whether_the_goals_were_met(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, found: int, code: int
) -> None:
    """What was asked for is what is led, a person gets the table and a script the numbers; both the exit code."""
    asked: list[tuple[int, object]] = []

    def prove_all(sessions: int, **options: object) -> list[Row]:
        asked.append((sessions, options["seed"]))
        return [replace(GOAL_MET, found=found)]

    monkeypatch.setattr(prove_command, "prove_all", prove_all)
    ended, out, _ = run(capsys, "prove", "--all", "--sessions", "240", "--seed", "11")
    assert ended == code
    assert "trailer-abs-light-on" in out
    ended, out, _ = run(capsys, "prove", "--all", "--sessions", "240", "--seed", "11", "--json")
    assert ended == code
    fields = json.loads(out)
    assert (fields["sessions"], fields["rows"][0]["found"], bool(fields["rows"][0]["missed"])) == (
        240,
        found,
        bool(code),
    )
    assert asked == [(240, 11)] * 2


def test_prove_says_what_it_cannot_lead(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    code, _, told = run(capsys, "prove")
    assert (code, "Name a procedure, or say --all." in told) == (2, True)
    code, _, told = run(capsys, "prove", "wheel-speed-sensor-survey")
    assert (code, "is a survey: it names no fault that could be hidden." in told) == (2, True)
    code, _, told = run(
        capsys, "prove", "trailer-abs-light-never-lights", "--picture", str(tmp_path / "none" / "a.svg")
    )
    assert (code, "Cannot write" in told) == (2, True)


def test_a_report_on_a_truck_tells_the_truth_of_it(capsys: pytest.CaptureFixture[str]) -> None:
    """Good parts and false causes, and units with nothing wrong: each with its count."""
    code, out, _ = run(
        capsys, "prove", "trailer-abs-light-never-lights", "--units", "2", "--sound", "2", "--seed", "3"
    )
    assert code == 0
    assert "  against a truck that knows nothing of the procedure:" in out
    assert "    nothing wrong          2 sessions, parts replaced 0, ended 'not present today' " in out
    assert "    good parts replaced    0\n" in out
