"""Everything that is wrong with one file at once: where its shape has faults, the rest is read around them."""

from __future__ import annotations

import copy
from collections.abc import Mapping, Set
from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from assistant import library
from assistant.errors import DocumentError, Finding
from assistant.inspection import limits
from assistant.inspection.answers import words_of
from assistant.inspection.findings import find_faults
from assistant.inspection.notes import Notes
from assistant.numerals.vocabulary import Vocabulary
from assistant.procedure.lines import Lines
from assistant.procedure.load import EMPTY
from assistant.procedure.model import Procedure
from assistant.procedure.wording import findings_of
from assistant.procedure.wording import where as named

_ROUNDS = 12
"""Rounds of repair before giving up: each repairs every fault that validating after the last one reported."""
_NUMBERS = {"minutes": 1.0, "weight": 1.0, "times": 1.0, "format": 1, "found": 1.0}
_NO_NAME = "(no name)"

Path = tuple[str | int, ...]


def everything_wrong(
    text: str, name: str, model_words: Set[str] | None = None, vocabulary: Vocabulary | None = None
) -> list[Finding]:
    """Findings of the shape and of the whole, in the order of the file; none when the procedure is sound.

    See ``inspected``.
    """
    return inspected(text, name, model_words, vocabulary)[1]


def inspected(
    text: str, name: str, model_words: Set[str] | None = None, vocabulary: Vocabulary | None = None
) -> tuple[Procedure | None, list[Finding]]:
    """What a file says, None where its shape has faults, and everything that is wrong with it.

    What could follow from a fault of the shape alone (a row that has one, a name that could not be read) is left out.

    Args:
        text: the file's text, lines ended by a line feed.
        name: what messages call the file.
        model_words: words that the speech model has; None leaves words unchecked.
        vocabulary: what people say; None leaves units, commands and quantities unchecked.

    Raises:
        DocumentError: it is not TOML, so nothing after the named line can be inspected.
    """
    if not text.strip():
        raise DocumentError(name, [EMPTY])
    document = _parsed(text, name)
    units = frozenset(vocabulary.units) if vocabulary is not None else None
    try:
        sound = Procedure.model_validate(document)
        return sound, find_faults(sound, text, units, model_words, vocabulary)
    except ValidationError as error:
        shape = findings_of(error, document, Lines(text))
    procedure, touched = _mended(document)
    whole = [] if procedure is None else find_faults(procedure, text, units, model_words, vocabulary)
    kept = [one for one in whole if not _follows(one, touched, document)]
    return None, sorted([*shape, *kept], key=lambda one: (one.line or 0, one.where))


def not_verified(text: str, name: str) -> list[int | None]:
    """Lines of the limits that are marked as not verified, as far as the file can be read."""
    procedure, _ = _mended(_parsed(text, name))
    return [] if procedure is None else limits.not_verified(Notes(procedure, Lines(text)))


_PLAIN = {
    "Cannot overwrite a value": "This key stands twice in its table. Remove one.",
    "Duplicate inline table key": "A key stands twice between these curly brackets. Remove one.",
    "Cannot declare": "This table stands here twice. Remove one, or write it with two square brackets.",
    "Expected '=' after a key": "Here a key needs an equals sign and its value.",
    "Invalid value": "This value cannot be read. Words stand in quotes, decimals have a digit before the point.",
    "Unterminated string": "A quote is opened here and not closed.",
    "Illegal character": "A quote is opened here and not closed, or there is a character that no file may hold.",
    "Unclosed array": "A square bracket is opened here and not closed, or a comma is missing.",
    "Unclosed inline table": "A curly bracket is opened here and not closed, or a comma is missing.",
    "Expected newline": "Something stands behind a value where the line should end.",
    "Invalid statement": "This is neither a key with its value nor a table in square brackets.",
}
"""What the TOML reader says, in an editor's terms."""


def _parsed(text: str, name: str) -> dict[str, Any]:
    """The file's tables.

    Raises:
        DocumentError: it is not TOML; the message names the line and says that nothing below it was inspected.
    """
    try:
        return library.parse_toml(text, name)
    except DocumentError as error:
        (one,) = error.findings
        plain = next((said for begins, said in _PLAIN.items() if begins in one.text), one.text)
        raise DocumentError(
            name, [Finding(one.where, f"{plain} Below it nothing could be looked at.", one.line)]
        ) from None


def words_of_file(text: str, name: str) -> set[str]:
    """Every word in which an answer of this file may be said, as far as it can be read."""
    try:
        procedure, _ = _mended(_parsed(text, name))
    except DocumentError:
        return set()
    return set() if procedure is None else words_of(procedure)


def _mended(document: Mapping[str, Any]) -> tuple[Procedure | None, set[Path]]:
    """The procedure with invalid values removed and missing ones filled in, and the paths of those values."""
    mended, touched = copy.deepcopy(dict(document)), set[Path]()
    for _ in range(_ROUNDS):
        try:
            return Procedure.model_validate(mended), touched
        except ValidationError as error:
            for detail in error.errors(include_url=False):
                path = _mend(mended, detail)
                if path is None:
                    return None, touched
                touched.add(path)
    return None, touched


def _mend(document: dict[str, Any], detail: ErrorDetails) -> Path | None:
    """Repair one fault in place; return its path, None when it cannot be repaired."""
    holder: Any = document
    path: list[str | int] = []
    for key in detail["loc"]:
        if isinstance(holder, dict) and key in holder and isinstance(holder[key], dict | list):
            path, holder = [*path, key], holder[key]
        elif isinstance(holder, list) and isinstance(key, int) and key < len(holder):
            if not isinstance(holder[key], dict | list):
                path = [*path, key]
                holder.pop(key)
                return tuple(path)
            path, holder = [*path, key], holder[key]
        elif isinstance(holder, dict) and (key in holder or detail["type"] == "missing"):
            path = [*path, key]
            return tuple(path) if _put(holder, str(key), detail["type"]) else None
    return _drop(document, path)


def _put(holder: dict[str, Any], key: str, kind: str) -> bool:
    """Remove a key, or fill it in when it is missing; False for a table that cannot be invented."""
    if kind != "missing":
        del holder[key]
        return True
    if key in {"faults", "checks", "fixes", "steps", "proof", "when"}:
        return False
    holder[key] = _NO_NAME if key == "name" else _NUMBERS.get(key, "unknown")
    return True


def _drop(document: dict[str, Any], path: list[str | int]) -> Path | None:
    """Remove everything at a path: a list where a table should be, or a table that fits no kind."""
    if not path:
        return None
    holder: Any = document
    for key in path[:-1]:
        holder = holder[key]
    if isinstance(path[-1], str):
        del holder[path[-1]]
        return tuple(path)
    return None


def _follows(one: Finding, touched: set[Path], document: Mapping[str, Any]) -> bool:
    """True for a finding that may only follow from something else that could not be read."""
    for path in touched:
        length = 3 if path[:2] == ("proof", "steps") else 2
        row = path[:length] if len(path) >= length and isinstance(path[length - 1], int) else path[:1]
        title = named(row, document).removeprefix("proof / ")
        if one.where == title or one.where.startswith(f"{title} / ") or _NO_NAME in one.where:
            return True
        unread = len(row) != length or path[-1] == "name"
        if unread and one.text.startswith(
            ("There is no ", "Nothing ", "No fault names", "No check points", "Nobody ")
        ):
            return True
    return False
