"""What this machine has and lacks, one line each, with its remedy. It never raises."""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
from collections.abc import Callable
from dataclasses import dataclass

from assistant import library
from assistant.audio import devices
from assistant.errors import OperatorError
from assistant.setup import model, scorer

OLDEST_PYTHON = (3, 11)


@dataclass(frozen=True, slots=True)
class Status:
    """One thing that the program needs or can use."""

    name: str
    ok: bool
    detail: str
    """What was found, or what is missing and what that means."""
    remedy: str
    """What to do about it; empty when it is there."""


def inspect_machine() -> list[Status]:
    """Check everything that set-up can fix."""
    looks: list[tuple[str, Callable[[str], Status]]] = [
        ("Python", _python),
        ("speech model", _model),
        ("dictation", _dictation),
        ("microphone", lambda name: _device(name, devices.microphone_problem(), devices.device_name("input"))),
        ("loudspeaker", lambda name: _device(name, devices.loudspeaker_problem(), devices.device_name("output"))),
        ("speech library", lambda name: _device(name, devices.speech_problem(), "pyttsx3 and what it speaks with")),
        ("Maven", _maven),
        ("records folder", _records),
        ("shop folder", _shop),
    ]
    return [_safely(name, look) for name, look in looks]


def _safely(name: str, look: Callable[[str], Status]) -> Status:
    try:
        return look(name)
    except Exception as error:  # noqa: BLE001 - a report on a broken machine must survive it
        return Status(name, False, f"It could not be looked at ({type(error).__name__}).", "Run: leadsman setup")


def _python(name: str) -> Status:
    version = sys.version.split()[0]
    if sys.version_info[:2] >= OLDEST_PYTHON:
        return Status(name, True, f"Python {version}", "")
    remedy = devices.pick(
        {
            "debian": "Run: sudo apt install python3.11 python3.11-venv",
            "fedora": "Run: sudo dnf install python3.11",
            "macos": "Run: brew install python@3.11",
            "windows": "Install Python 3.11 or later from its publisher.",
            "linux": "Install Python 3.11 or later.",
        }
    )
    return Status(name, False, f"Python {version} is too old; 3.11 or later is needed.", remedy)


def _model(name: str) -> Status:
    try:
        folder = model.model_folder()
    except OperatorError as error:
        return Status(name, False, error.problem, error.remedy)
    return Status(name, True, f"{model.identity(folder).name} in {folder}", "")


def _dictation(name: str) -> Status:
    folder = scorer.published_folder()
    if folder is not None:
        return Status(name, True, f"{scorer.NAME} in {folder}", "")
    return Status(name, False, "The weights that write down free speech are missing.", "Run: leadsman setup")


def _device(name: str, problem: devices.Problem | None, found: str) -> Status:
    if problem is None:
        return Status(name, True, found or "found", "")
    return Status(name, False, problem.text, problem.remedy)


def _maven(name: str) -> Status:
    found = shutil.which("mvn")
    if found:
        return Status(name, True, found, "")
    remedy = devices.pick(
        {
            "debian": "Run: sudo apt install maven",
            "fedora": "Run: sudo dnf install maven",
            "macos": "Run: brew install maven",
            "windows": "Install Maven and put its bin folder on PATH.",
            "linux": "Install the package maven.",
        }
    )
    return Status(
        name, False, "Maven is missing; the speech model is then fetched from its publisher instead.", remedy
    )


def _records(name: str) -> Status:
    folder = library.records_folder()
    place = next((one for one in (folder, *folder.parents) if one.exists()), folder)
    try:
        with tempfile.TemporaryFile(dir=place):
            pass
    except OSError as error:
        reason = error.strerror or str(error)
        return Status(
            name, False, f"{folder} cannot be written to ({reason}).", "Name another folder in LEADSMAN_RECORDS."
        )
    if not place.is_dir() or (place != folder and not os.access(place, os.W_OK)):
        return Status(name, False, f"{folder} cannot be made.", "Name another folder in LEADSMAN_RECORDS.")
    return Status(name, True, str(folder), "")


def _shop(name: str) -> Status:
    folder = library.shop_folder()
    if folder.is_dir():
        return Status(name, True, str(folder), "")
    if folder.exists():
        return Status(name, False, f"{folder} is not a folder.", "Name the shop's folder in LEADSMAN_SHOP.")
    if os.environ.get("LEADSMAN_SHOP"):
        return Status(
            name, False, f"LEADSMAN_SHOP names {folder}, which does not exist.", "Make it, or unset the name."
        )
    return Status(name, True, f"none yet; the shop's own files would go in {folder}", "")
