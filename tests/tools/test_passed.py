"""What passed is not run twice, and what changed is never taken for passed."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

from tests.conftest import missing
from tests.tools.passed import EVERYTHING, SWEEPS, fingerprint, marks


@pytest.fixture
def tree(tmp_path: Path) -> Path:
    """A tree of three files: one tracked, one new, one ignored."""
    if shutil.which("git") is None:
        missing("git is not installed (Debian: apt-get install git)")
    subprocess.run(["git", "init", "-q", str(tmp_path)], check=True)
    (tmp_path / "tracked.py").write_text("one = 1\n")
    (tmp_path / ".gitignore").write_text("built\n")
    (tmp_path / "built").write_text("x")
    subprocess.run(["git", "add", "tracked.py", ".gitignore"], cwd=tmp_path, check=True)
    return tmp_path


def test_the_same_tree_runs_only_its_sweeps(tree: Path) -> None:
    assert marks(fingerprint(tree), fingerprint(tree)) == SWEEPS
    before = fingerprint(tree)
    (tree / "built").write_text("another")
    assert fingerprint(tree) == before, "what git ignores is not a part of the tree"


@pytest.mark.parametrize("change", ["edited", "new", "gone", "strict", "package"])
def test_whatever_changed_runs_everything(tree: Path, change: str, monkeypatch: pytest.MonkeyPatch) -> None:
    noted = fingerprint(tree)
    if change == "edited":
        (tree / "tracked.py").write_text("one = 2\n")
    elif change == "new":
        (tree / "test_new.py").write_text("")
    elif change == "gone":
        (tree / "tracked.py").unlink()
    elif change == "strict":
        monkeypatch.setenv("LEADSMAN_STRICT", "another")
    else:
        monkeypatch.setattr("tests.tools.passed._packages", lambda: ["numpy 0"])
    assert marks(fingerprint(tree), noted) == EVERYTHING


def test_without_git_everything_runs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("GIT_CEILING_DIRECTORIES", str(tmp_path.parent))
    assert fingerprint(tmp_path) == "", "it is no checkout"
    monkeypatch.setenv("PATH", str(tmp_path))
    assert fingerprint() == "", "git is not installed"
    assert marks("", "") == EVERYTHING
