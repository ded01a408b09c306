"""Coverage told room by room; as a sweep, that the tests of the core reach what they must."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.tools import coverage_by_room
from tests.tools.coverage_by_room import CORE, HELD, HELD_BY, LEAST, ROOT, Covered, measured, room_of, table

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
        Covered("web", 100, 10, 100, 10),
    )
    assert [one.short for one in (good, lines, branches, edge)] == [False, True, True, False]
    assert not Covered("messages", 0, 0, 0, 0).short
    told = table([edge, lines]).splitlines()
    assert [line.split()[0] for line in told] == ["room", "verdict", "web"]
    assert told[1].endswith("short")


@pytest.mark.sweep
def test_rooms_of_the_core_are_covered(tmp_path: Path) -> None:
    data = tmp_path / "data"
    ran = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "--cov-report="]
        + [f"--cov=assistant.{name}" for name in HELD]
        + [str(ROOT / "tests" / name) for name in HELD_BY],
        check=False, cwd=ROOT, capture_output=True, text=True, env={**os.environ, "COVERAGE_FILE": str(data)},
    )  # fmt: skip
    assert ran.returncode == 0, ran.stdout[-2000:]
    core = [one for one in measured(str(data)) if one.room in HELD]
    assert len(core) == len(HELD)
    assert [one for one in core if one.short] == [], f"below {LEAST} %\n{table(core)}"
