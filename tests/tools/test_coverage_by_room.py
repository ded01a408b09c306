"""Coverage told room by room; as a sweep, that the tests of the core reach what they must."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import coverage
import pytest

from tests.tools import coverage_by_room
from tests.tools.coverage_by_room import (
    CORE,
    FLOORS,
    HELD,
    HELD_BY,
    LEAST,
    ROOT,
    TOGETHER,
    Covered,
    measured,
    room_of,
    table,
)

QUICK = "not sweep and not bench and not browser and not postgresql"
"""Tests that need neither a browser nor a database server."""
DEAR = (
    "asr/test_dictation.py::test_a_note_in_one_breath_keeps_its_own_words_or_is_asked_for",
    "asr/test_recognizer.py::test_forty_seconds_without_a_word_are_never_taken_for_an_answer",
    "asr/test_rejection.py::test_real_stops_in_noise_come_through_and_noise_and_other_words_do_not",
    "commands/test_cli.py::test_piped_standard_input_runs_a_session",
    "commands/test_config.py::test_the_shell_completes_commands_procedures_and_settings",
    "commands/test_config.py::test_the_shell_completes_sessions",
    "commands/test_proving.py::test_prove_accepts_a_number_of_units_and_of_processes",
    "commands/test_records.py::test_history_shows_a_complaint_that_did_not_show",
    "commands/test_records.py::test_report_as_pdf",
    "commands/test_serve.py::test_it_shows_address_code_and_link_serves_and_ends",
    "records/summary/test_talk.py::test_the_record_holds_everything_that_was_asked_and_answered",
    "records/summary/test_what_a_foreman_reads.py",
    "records/test_forged.py",
    "simulator/test_circuit.py::test_random_networks_agree_with_ngspice",
    "simulator/test_cost_breakdown.py::test_the_minutes_told_are_those_of_the_record",
    "simulator/test_led_procedures.py",
    "simulator/test_lights.py::test_some_states_agree_with_ngspice",
    "simulator/test_mishearing.py::test_every_procedure_is_proven_with_mishearings_beside_none",
    "simulator/test_prove.py::test_a_goal_that_is_missed_is_named",
    "simulator/test_prove.py::test_a_memory_that_forgets_chooses_the_same",
    "simulator/test_tractor.py::test_a_sound_tractor_is_judged_good_at_every_check",
    "simulator/test_truck.py::test_some_states_agree_with_ngspice",
    "simulator/test_truck_unit.py::test_a_dead_meter_is_noticed_before_it_passes_or_condemns_anything",
    "simulator/test_truck_unit.py::test_a_report_tells_the_truth_of_the_truck",
    "web/screen/test_hands.py",
    "web/test_safety.py::test_on_a_network_it_is_encrypted_and_a_screen_stays_paired_over_a_restart",
)
"""Tests that are dear for the lines that they alone reach, many of them since they look at another process or another
program: they are not run a second time to be counted."""

MODULE = """
def judged(value):
    if value > 1:
        return "high"
    return "low"


judged(2)
"""


def test_a_room_is_a_folder_or_a_file_of_its_own() -> None:
    assert room_of(str(ROOT / "assistant" / "session" / "handlers" / "finding.py")) == "session"
    assert room_of(str(ROOT / "assistant" / "loop.py")) == "loop"
    assert all((ROOT / "assistant" / name).is_dir() for name in CORE)
    assert all((ROOT / "tests" / name).is_dir() for name in HELD_BY)
    assert set(HELD) <= set(CORE)


def test_lines_and_branches_are_counted(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Of five lines one is not reached, of two branches one is not taken."""
    path = tmp_path / "assistant" / "verdict" / "sample.py"
    path.parent.mkdir(parents=True)
    path.write_text(MODULE, encoding="utf-8")
    settings = tmp_path / "settings"
    settings.write_text(f"[run]\nbranch = true\ninclude = {path}\n", encoding="utf-8")
    subprocess.run(
        [sys.executable, "-m", "coverage", "run", f"--rcfile={settings}", f"--data-file={tmp_path / 'data'}", path],
        check=True, cwd=tmp_path, env={name: text for name, text in os.environ.items() if "COV" not in name},
    )  # fmt: skip
    monkeypatch.setattr(coverage_by_room, "ROOT", tmp_path)
    assert measured(str(tmp_path / "data")) == [Covered("verdict", 5, 4, 2, 1)]


def test_a_room_of_the_core_must_not_fall_short() -> None:
    good, lines, branches, edge = (
        Covered("verdict", 100, 95, 100, 95),
        Covered("verdict", 1000, 949, 100, 100),
        Covered("verdict", 100, 100, 1000, 949),
        Covered("loop", 100, 10, 100, 10),
    )
    assert [one.short for one in (good, lines, branches, edge)] == [False, True, True, False]
    assert not Covered("messages", 0, 0, 0, 0).short
    told = table([edge, lines]).splitlines()
    assert [line.split()[0] for line in told] == ["room", "verdict", "loop"]
    assert told[1].endswith("short")


def test_a_room_outside_the_core_must_not_fall_below_what_it_had() -> None:
    lines, branches = FLOORS["audio"]
    assert not Covered("audio", 100, lines, 100, branches).short
    assert Covered("audio", 100, lines - 1, 100, branches).short
    assert Covered("audio", 100, lines, 100, branches - 1).short
    assert not set(FLOORS) & set(CORE)
    assert all((ROOT / "tests" / name).is_dir() for name in FLOORS)
    assert set(TOGETHER) < set(FLOORS)
    for test in DEAR:
        file, _, name = test.partition("::")
        assert f"def {name}(" in (ROOT / "tests" / file).read_text(encoding="utf-8") or not name


def test_what_is_no_python_is_not_counted(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The lines of a page's template run under the template's own name."""
    page = tmp_path / "assistant" / "pictures" / "page.html"
    page.parent.mkdir(parents=True)
    page.write_text("<!doctype html>", encoding="utf-8")
    data = coverage.CoverageData(str(tmp_path / "data"))
    data.add_lines({str(page): [1]})
    data.write()
    monkeypatch.setattr(coverage_by_room, "ROOT", tmp_path)
    assert measured(str(tmp_path / "data")) == []


def _counted(rooms: Sequence[str], folders: Sequence[str], data: Path, *more: str) -> list[Covered]:
    """What the tests of some folders reach of some rooms."""
    ran = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "--cov-report=", *more]
        + [f"--cov=assistant.{name}" for name in rooms]
        + [str(ROOT / "tests" / name) for name in folders],
        check=False, cwd=ROOT, capture_output=True, text=True, env={**os.environ, "COVERAGE_FILE": str(data)},
    )  # fmt: skip
    assert ran.returncode == 0, ran.stdout[-2000:]
    found = [one for one in measured(str(data)) if one.room in rooms]
    assert len(found) == len(rooms)
    return found


@pytest.mark.sweep
def test_rooms_of_the_core_are_covered(tmp_path: Path) -> None:
    core = _counted(HELD, HELD_BY, tmp_path / "data")
    assert [one for one in core if one.short] == [], f"below {LEAST} %\n{table(core)}"


@pytest.mark.sweep
def test_rooms_outside_the_core_are_covered_as_they_were(tmp_path: Path) -> None:
    """By the tests of their own folders, but the one that needs a sound server."""
    rooms = sorted(set(FLOORS) - set(TOGETHER))
    edges = _counted(rooms, rooms, tmp_path / "data", "--deselect", "tests/inputs/test_spoken_session.py")
    assert [one for one in edges if one.short] == [], f"less than there was\n{table(edges)}"


@pytest.mark.sweep
def test_rooms_that_lead_into_each_other_are_covered_as_they_were(tmp_path: Path) -> None:
    """By the tests of all their folders, but the dear ones."""
    left_out = [f"--deselect=tests/{test}" for test in DEAR]
    found = _counted(TOGETHER, TOGETHER, tmp_path / "data", "-m", QUICK, *left_out)
    assert [one for one in found if one.short] == [], f"less than there was\n{table(found)}"
