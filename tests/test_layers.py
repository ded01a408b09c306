"""Imports point one way: each room may import only what stands to its right (see DEVELOPERS.md)."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent / "assistant"

# From the command line (top) to plain data (bottom). Rooms in one row may not import each other.
LAYERS: list[set[str]] = [
    {"__main__"},
    {"commands"},
    {"app", "scenes", "screen", "wiring"},
    {"live"},
    {"page"},
    {"live.gathering", "mouth.rendering"},
    {
        "ear",
        "procedure.load",
        "procedure.check",
        "procedure.schema",
        "mouth.speaker",
        "mouth.speaker_process",
        "log",
        "practice",
        "setup",
    },
    {"procedure.wording"},
    {"clock", "devices", "library", "procedure.lines"},
    {"mouth.phrasing"},
    {"mouth.phrases"},
    {"engine"},
    {"meaning"},
    {"verdict"},
    {"words"},
    {"procedure.model"},
    {"procedure.tables"},
    {"procedure.figures"},
    {"messages", "errors"},
]
PURE = {
    "words", "meaning", "engine", "verdict", "mouth.phrasing", "mouth.phrases", "procedure.model",
    "procedure.tables", "procedure.figures", "messages",
    "errors",
}  # fmt: skip
IMPURE_MODULES = {
    "time", "datetime", "os", "pathlib", "random", "threading", "subprocess", "socket", "asyncio", "io", "tempfile",
    "multiprocessing", "queue", "secrets", "uuid", "vosk", "sounddevice", "soundfile", "pyttsx3", "shutil", "logging",
}  # fmt: skip
FREE = {""}  # assistant/__init__.py


def room_of(path: Path) -> str:
    """Name of the room that a file belongs to, such as ``words`` or ``procedure.model``."""
    parts = path.relative_to(ROOT).with_suffix("").parts
    return room_of_module(".".join(parts))


def room_of_module(dotted: str) -> str:
    parts = [part for part in dotted.split(".") if part != "__init__"]
    known = {room for layer in LAYERS for room in layer}
    for length in (2, 1):
        name = ".".join(parts[:length])
        if name in known:
            return name
    return ".".join(parts)


def imports_of(path: Path) -> set[str]:
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            found.add(node.module or "")
            found.update(f"{node.module}.{alias.name}" for alias in node.names)
    return found


SOURCES = sorted(ROOT.rglob("*.py"))
RANK = {room: number for number, layer in enumerate(LAYERS) for room in layer}
# package markers that hold only a docstring
MARKERS = {"procedure", "mouth", *FREE}


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_imports_point_one_way(path: Path) -> None:
    room = room_of(path)
    if room in MARKERS:
        return
    assert room in RANK, f"{room} has no place in the layers: add it to the table"
    for name in imports_of(path):
        if not name.startswith("assistant."):
            continue
        target = room_of_module(name.removeprefix("assistant."))
        if target in MARKERS or target == room or target not in RANK:
            continue
        assert RANK[target] > RANK[room], f"{room} imports {target}, which stands above or beside it"


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_pure_rooms_touch_no_device(path: Path) -> None:
    if room_of(path) not in PURE:
        return
    touched = {name.split(".")[0] for name in imports_of(path)} & IMPURE_MODULES
    assert not touched, f"{room_of(path)} is pure and imports {sorted(touched)}"


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_modules_stay_small(path: Path) -> None:
    lines = len(path.read_text(encoding="utf-8").splitlines())
    assert lines <= 320, f"{path.name} has {lines} lines: split it along its data flow"
