"""Read a procedure: find the file, read its text once, check its shape, and word what is wrong for its editor."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from pydantic import ValidationError

from assistant import library
from assistant.errors import DocumentError, Finding, OperatorError
from assistant.procedure.lines import Lines
from assistant.procedure.model import Procedure
from assistant.procedure.wording import findings_of

LARGEST = 4_000_000
"""Bytes; a procedure larger than this is not a procedure."""


@dataclass(frozen=True, slots=True)
class Loaded:
    """One procedure as it was read: the record keeps the text and its hash, so that a session explains itself."""

    procedure: Procedure
    """What the file says."""
    text: str
    """The file's own text, without a byte order mark, lines ended by a line feed."""
    sha256: str
    """Hash of ``text`` in UTF-8, in hexadecimal digits."""
    path: Path
    """Where it was read from."""
    remarks: int = 0
    """How many remarks inspecting it without a speech model makes; they stop no session."""


def load_procedure(path_or_name: str | Path) -> Loaded:
    """Read one procedure by its path, or by its name among ``dialogs`` (the shop's own first).

    Raises:
        OperatorError: there is no such file, or it cannot be read.
        DocumentError: it is no procedure; every fault of its shape at once, with line numbers.
    """
    path = locate(path_or_name)
    text = _text(path)
    procedure = parse_procedure(text, path.name)
    return Loaded(procedure, text, hashlib.sha256(text.encode()).hexdigest(), path)


def read_procedure(path_or_name: str | Path) -> tuple[str, str]:
    """Name and text of one procedure's file, whatever is wrong with what it says.

    Raises:
        OperatorError: there is no such file, or it cannot be read.
        DocumentError: it is not UTF-8 text.
    """
    path = locate(path_or_name)
    return path.name, _text(path)


EMPTY = Finding("file", "The file is empty. A procedure begins with: format = 1.")
"""What is wrong with a file of nothing."""


def parse_procedure(text: str, name: str) -> Procedure:
    """Read a procedure from TOML text. Limits and spans stay exact decimals; weights and minutes become floats.

    Raises:
        DocumentError: every fault of its shape at once, with line numbers; ``name`` is used in the message.
    """
    return _parsed(normal(text), name)


@lru_cache(maxsize=32)
def _parsed(text: str, name: str) -> Procedure:
    """Kept for the last few: a page, a record's readers and a trial ask for the same ones again and again."""
    if not text.strip():
        raise DocumentError(name, [EMPTY])
    document = library.parse_toml(text, name)
    try:
        return Procedure.model_validate(document)
    except ValidationError as error:
        raise DocumentError(name, findings_of(error, document, Lines(text))) from None


def list_procedures() -> list[Path]:
    """Every procedure file in ``dialogs``, the shop's own first where two have the same name."""
    return list(library.files("dialogs"))


def normal(text: str) -> str:
    """The text without a byte order mark and with line feeds only, so that one content has one hash."""
    return text.removeprefix("\ufeff").replace("\r\n", "\n")


def locate(path_or_name: str | Path) -> Path:
    """Where a procedure lies, by its path or its name.

    Raises:
        OperatorError: there is no such file.
    """
    named = Path(path_or_name)
    if named.is_file():
        return named
    if named.is_dir():
        raise OperatorError(f"'{named}' is a folder.", remedy="Name one procedure file in it.")
    if named.suffix == ".toml" and len(named.parts) > 1:
        raise OperatorError(f"There is no file '{named}'.", remedy="Check the path.")
    wanted = named.name.removesuffix(".toml")
    known = {path.stem: path for path in list_procedures()}
    if wanted in known:
        return known[wanted]
    remedy = f"Known procedures: {', '.join(known)}." if known else "There are no procedures in dialogs."
    raise OperatorError(f"There is no procedure '{path_or_name}'.", remedy=remedy)


def _text(path: Path) -> str:
    try:
        size = path.stat().st_size
        if size > LARGEST:
            raise OperatorError(
                f"{path.name} has {size / 1e6:.0f} megabytes, too many for a procedure.", remedy="Name another file."
            )
        raw = path.read_bytes()
    except OSError as error:
        raise OperatorError(
            f"Cannot read {path}: {error.strerror or error}.", remedy="Check that the file is yours to read."
        ) from None
    try:
        return normal(raw.decode("utf-8"))
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise DocumentError(
            path.name, [Finding("file", "This is not UTF-8 text. Save the file as UTF-8.", line)]
        ) from None
