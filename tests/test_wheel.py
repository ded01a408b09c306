"""A wheel is built, installed elsewhere, and runs a demo with the data that travels inside it."""

from __future__ import annotations

import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Folder with the wheel installed, away from the checkout; its dependencies are the environment's."""
    folder = tmp_path_factory.mktemp("wheel")
    build = [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(folder), str(ROOT)]
    subprocess.run(build, check=True, capture_output=True, timeout=300)
    wheel = next(folder.glob("leadsman-*.whl"))
    names = zipfile.ZipFile(wheel).namelist()
    assert not [name for name in names if name.startswith(("tests/", "demo_sessions/"))]
    target = folder / "installed"
    install = [sys.executable, "-m", "pip", "install", "--no-deps", "--quiet", "--target", str(target), str(wheel)]
    subprocess.run(install, check=True, capture_output=True, timeout=300)
    return target


def run(installed: Path, folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    """Run the installed program in a folder that is not the checkout."""
    environment = {**os.environ, "PYTHONPATH": str(installed), "LEADSMAN_RECORDS": str(folder / "records")}
    environment.pop("LEADSMAN_SHOP", None)
    return subprocess.run(
        [sys.executable, "-m", "assistant", *arguments],
        cwd=folder, env=environment, capture_output=True, text=True, timeout=300, check=False,
    )  # fmt: skip


def test_installed_program_is_the_wheel(installed: Path, tmp_path: Path) -> None:
    """Not the checkout beside it."""
    code = "import assistant; print(assistant.__file__)"
    environment = {**os.environ, "PYTHONPATH": str(installed)}
    out = subprocess.run(
        [sys.executable, "-c", code], cwd=tmp_path, env=environment, capture_output=True, text=True, check=True
    ).stdout
    assert Path(out.strip()).is_relative_to(installed)


def test_wheel_runs_a_demo_and_shows_its_record(installed: Path, tmp_path: Path) -> None:
    """Typed, so that it needs no model; the record is written and can be read."""
    ran = run(installed, tmp_path, "demo", "--typed")
    assert ran.returncode == 0, ran.stderr
    assert "Record: " in ran.stdout
    shown = run(installed, tmp_path, "show", "--records", str(tmp_path / "records" / "demo"))
    assert shown.returncode == 0, shown.stderr
    assert "Cause" in shown.stdout


@pytest.mark.sweep
@pytest.mark.model
def test_wheel_runs_the_demo_from_sound(installed: Path, tmp_path: Path, speech_model: Path) -> None:
    """The recordings travel inside the wheel."""
    ran = run(installed, tmp_path, "demo")
    assert ran.returncode == 0, ran.stderr
    assert "Hidden fault" in ran.stdout
