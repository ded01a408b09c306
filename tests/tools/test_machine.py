"""What the system lacks is told before the tests, each with its install line, and CI installs all of it."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests import machine
from tests.tools.passed import ROOT


def test_each_missing_part_is_told_with_its_install_line(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr("sys.platform", "linux")
    monkeypatch.setattr("tests.machine.shutil.which", lambda *_, **__: None)
    monkeypatch.setattr(machine, "find_library", lambda _: None)
    monkeypatch.setattr(machine, "Path", lambda *_: tmp_path)
    *lines, install = machine.told()
    assert len(lines) == len(machine.PARTS)
    for part, line in zip(machine.PARTS, lines, strict=True):
        assert part.name in line
        assert part.packages in line
        assert set(part.packages.split()) < set(install.split())


def test_nothing_is_told_where_nothing_is_missing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tests.machine.shutil.which", lambda name, **_: f"/usr/bin/{name}")
    monkeypatch.setattr(machine, "find_library", lambda name: f"lib{name}.so")
    assert machine.told() == []


def test_ci_installs_every_part() -> None:
    """But git, with which it came here."""
    run = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    installed = set(run.partition("for package in ")[2].partition(";")[0].split())
    assert {package for part in machine.PARTS for package in part.packages.split()} - {"git"} <= installed
