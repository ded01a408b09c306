"""The core is pure: values in, values out. The order of the rooms is held by import-linter (``make check``)."""

from __future__ import annotations

import ast
from pathlib import Path

from tests.rows import each_row

ROOT = Path(__file__).parent.parent / "assistant"
PURE = ("session", "diagnosis", "phrasing", "understanding", "verdict", "numerals", "intents", "messages")
PURE_FILES = ("errors.py", "procedure/model.py", "procedure/tables.py", "procedure/figures.py")
IMPURE_MODULES = {
    "time", "os", "pathlib", "random", "threading", "subprocess", "socket", "asyncio", "io", "tempfile",
    "multiprocessing", "queue", "secrets", "uuid", "vosk", "sounddevice", "soundfile", "pyttsx3", "shutil", "logging",
}  # fmt: skip
FILES = sorted([path for room in PURE for path in (ROOT / room).rglob("*.py")] + [ROOT / name for name in PURE_FILES])


PURE_NAMES = {("threading", "Lock")}
"""A lock starts nothing: it guards a memory of what was worked out."""
CLOCKS = {"now", "today", "utcnow", "fromtimestamp"}
"""Names by which ``datetime`` asks the machine for its time or its time zone."""


def imports_of(path: Path) -> set[str]:
    """Top-level names of every module that a file imports."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found.update(alias.name.split(".")[0] for alias in node.names)
        elif (
            isinstance(node, ast.ImportFrom) and not {(node.module, alias.name) for alias in node.names} <= PURE_NAMES
        ):
            found.add((node.module or "").split(".")[0])
    return found


def clocks_in(path: Path) -> set[str]:
    """Calls in a file that would ask for the time."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return {node.attr for node in ast.walk(tree) if isinstance(node, ast.Attribute)} & CLOCKS


@each_row(FILES)
def test_the_core_touches_no_device(path: Path) -> None:
    assert not imports_of(path) & IMPURE_MODULES


@each_row(FILES)
def test_the_core_asks_no_clock(path: Path) -> None:
    assert not clocks_in(path)
