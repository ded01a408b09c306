"""The one locator of data that travels with the program: grammars, dialogs and demo sessions.

A shop's own folder comes before ours: ``LEADSMAN_SHOP`` names it, else ``shop`` in the user's data folder. It has
the same subfolders; a file of the same name there replaces ours.
"""

from __future__ import annotations

import os
import tomllib
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any

import platformdirs

from assistant.errors import DocumentError, Finding, OperatorError

_PACKAGE = Path(__file__).resolve().parent


def shop_folder() -> Path:
    """Folder of the shop's own procedures, grammars and tables; it need not exist."""
    named = os.environ.get("LEADSMAN_SHOP")
    return Path(named) if named else Path(platformdirs.user_data_dir("leadsman", appauthor=False)) / "shop"


def records_folder() -> Path:
    """Folder where sessions are recorded unless told otherwise."""
    named = os.environ.get("LEADSMAN_RECORDS")
    return Path(named) if named else Path(platformdirs.user_data_dir("leadsman", appauthor=False)) / "records"


def folders(kind: str) -> list[Path]:
    """Existing folders of one kind (``grammars``, ``dialogs``, ``demo_sessions``), the shop's own first."""
    installed = _PACKAGE / "data" / kind
    ours = installed if installed.is_dir() else _PACKAGE.parent / kind
    return [folder for folder in (shop_folder() / kind, ours) if folder.is_dir()]


def files(kind: str, pattern: str = "*.toml") -> Iterator[Path]:
    """Every file of one kind by name; where two folders have the same name, the shop's own."""
    seen: dict[str, Path] = {}
    for folder in folders(kind):
        for path in sorted(folder.glob(pattern)):
            seen.setdefault(path.relative_to(folder).as_posix(), path)
    for name in sorted(seen):
        yield seen[name]


def find(kind: str, name: str) -> Path:
    """One file or folder of a kind, by its name relative to the kind's folder.

    Raises:
        OperatorError: there is none of that name.
    """
    for folder in folders(kind):
        path = folder / name
        if path.exists():
            return path
    looked = ", ".join(str(folder) for folder in folders(kind)) or "no folder"
    raise OperatorError(f"There is no '{name}' among {kind} (looked in {looked}).")


def read_toml(path: Path) -> dict[str, Any]:
    """Read one TOML file with exact decimals.

    Raises:
        OperatorError: the file cannot be read.
        DocumentError: it is not TOML, with the line.
    """
    try:
        text = path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        raise DocumentError(path.name, [Finding("file", f"This is not UTF-8 text: {error.reason}.")]) from None
    except OSError as error:
        raise OperatorError(f"Cannot read {path}: {error.strerror or error}.") from None
    return parse_toml(text, path.name)


def parse_toml(text: str, name: str) -> dict[str, Any]:
    """Read TOML text with exact decimals; ``name`` is used in messages.

    Raises:
        DocumentError: it is not TOML, with the line.
    """
    try:
        return tomllib.loads(text, parse_float=Decimal)
    except tomllib.TOMLDecodeError as error:
        message = str(error)
        line = getattr(error, "lineno", None)
        if line is None and "(at line " in message:
            line = int(message.split("(at line ")[1].split(",")[0])
        raise DocumentError(name, [Finding("file", f"This is not valid TOML: {message}.", line)]) from None
