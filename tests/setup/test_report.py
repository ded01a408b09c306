"""The report names what is missing with its remedy, and survives a broken machine."""

from __future__ import annotations

import importlib.util
import platform
import shutil
import sys
from pathlib import Path

import pytest

from assistant.audio import devices
from assistant.setup import report
from assistant.setup.report import Status, inspect_machine

NAMES = [
    "Python", "speech model", "dictation", "microphone", "loudspeaker", "speech library", "Maven",
    "records folder", "shop folder",
]  # fmt: skip


def status(name: str) -> Status:
    return next(one for one in inspect_machine() if one.name == name)


def test_everything_is_checked_with_one_line_each() -> None:
    found = inspect_machine()
    assert [one.name for one in found] == NAMES
    for one in found:
        assert one.detail
        assert "\n" not in one.detail + one.remedy
        assert bool(one.remedy) is not one.ok, one


def test_a_missing_model_is_named_with_its_remedy(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("LEADSMAN_MODEL", str(tmp_path))
    assert not status("speech model").ok
    assert "leadsman setup" in status("speech model").remedy


def test_a_records_folder_that_cannot_be_made(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("not a folder", encoding="utf-8")
    monkeypatch.setenv("LEADSMAN_RECORDS", str(tmp_path / "file" / "records"))
    assert not status("records folder").ok
    assert "LEADSMAN_RECORDS" in status("records folder").remedy


def test_a_records_folder_that_does_not_exist_yet_is_fine(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("LEADSMAN_RECORDS", str(tmp_path / "a" / "b"))
    assert status("records folder").ok
    assert not (tmp_path / "a").exists()


@pytest.mark.parametrize("kind", ["absent", "file"])
def test_a_shop_folder_that_is_none(monkeypatch: pytest.MonkeyPatch, tmp_path: Path, kind: str) -> None:
    place = tmp_path / kind
    if kind == "file":
        place.touch()
    monkeypatch.setenv("LEADSMAN_SHOP", str(place))
    assert not status("shop folder").ok


def test_whatever_breaks_while_looking_is_a_line_too(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken() -> None:
        raise RuntimeError("driver")

    monkeypatch.setattr(devices, "microphone_problem", broken)
    assert not status("microphone").ok
    assert "RuntimeError" in status("microphone").detail


def test_a_python_that_is_too_old(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(report, "OLDEST_PYTHON", (99, 0))
    assert not status("Python").ok


def test_a_machine_without_maven(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shutil, "which", lambda _: None)
    assert not status("Maven").ok


SYSTEMS = [
    ("Linux", {"ID": "debian"}, "debian", "apt"),
    ("Linux", {"ID": "ubuntu", "ID_LIKE": "debian"}, "debian", "apt"),
    ("Linux", {"ID": "fedora"}, "fedora", "dnf"),
    ("Linux", {"ID": "other"}, "linux", "package"),
    ("Linux", None, "linux", "package"),
    ("Darwin", {}, "macos", "pip"),
    ("Windows", {}, "windows", "pip"),
]


@pytest.mark.parametrize(("kernel", "release", "kind", "tool"), SYSTEMS)
def test_the_remedy_fits_the_system(
    monkeypatch: pytest.MonkeyPatch, kernel: str, release: dict[str, str] | None, kind: str, tool: str
) -> None:
    def os_release() -> dict[str, str]:
        if release is None:
            raise OSError("no such file")
        return release

    monkeypatch.setattr(platform, "system", lambda: kernel)
    monkeypatch.setattr(platform, "freedesktop_os_release", os_release)
    monkeypatch.setattr(devices, "_loads", lambda _: False)
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None if name in {"objc", "comtypes"} else object())
    assert devices.system() == kind
    problem = devices.speech_problem()
    assert problem is not None
    assert tool in problem.remedy


@pytest.mark.parametrize("kind", ["input", "output"])
def test_devices_without_the_sound_library(monkeypatch: pytest.MonkeyPatch, kind: str) -> None:
    monkeypatch.setitem(sys.modules, "sounddevice", None)
    problem = devices.microphone_problem() if kind == "input" else devices.loudspeaker_problem()
    assert problem is not None
    assert "PortAudio" in problem.text
    assert devices.device_name("input") == ""
