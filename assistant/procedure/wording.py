"""Word what a procedure's shape lacks for the person who edits it: in TOML's and the trade's terms, with the line."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from assistant.errors import Finding
from assistant.procedure import model
from assistant.procedure.hands import Hands, Load, Probe, Sees
from assistant.procedure.lines import Lines

_SINGULAR = {
    "cautions": "caution", "facts": "fact", "places": "place", "access": "access", "faults": "fault",
    "checks": "check", "fixes": "fix", "steps": "proof step", "choices": "choice", "factors": "factor",
    "minutes_when": "minutes_when",
}  # fmt: skip
_TABLES: dict[str, type[BaseModel]] = {
    "cautions": model.Caution, "facts": model.Question, "places": model.Place, "access": model.Access,
    "faults": model.Fault, "checks": model.Check, "fixes": model.Fix, "steps": model.ProofStep,
    "choices": model.Option, "factors": model.Factor, "minutes_when": model.MinutesWhen,
    "limits": model.LimitSet, "leads": model.Leads, "proof": model.Proof,
    "hands": Hands, "probe": Probe, "sees": Sees, "load": Load,
}  # fmt: skip
_LISTS = {"cautions", "facts", "places", "access", "faults", "checks", "fixes", "steps", "choices", "factors"}


def findings_of(error: ValidationError, document: Mapping[str, Any], lines: Lines) -> list[Finding]:
    """Every fault of the shape, one for each key, in the order of the file."""
    found: dict[tuple[str | int, ...], Finding] = {}
    for detail in error.errors(include_url=False):
        path = _path(detail["loc"], document)
        if path not in found:
            found[path] = Finding(where(path, document), _sentence(detail, path, document), lines.of(*path))
    return sorted(found.values(), key=lambda finding: finding.line or 0)


def where(path: tuple[str | int, ...], document: Mapping[str, Any]) -> str:
    """A path in the editor's terms, such as ``check 'sensor ohms' / limits / low``."""
    pieces: list[str] = []
    here: Any = document
    position = 0
    while position < len(path):
        key = path[position]
        here = _into(here, key)
        following = path[position + 1] if position + 1 < len(path) else None
        if isinstance(following, int) and str(key) in _SINGULAR:
            here = _into(here, following)
            name = here.get("name") if isinstance(here, Mapping) else None
            title = f"'{name}'" if isinstance(name, str) and name else f"number {following + 1}"
            pieces.append(f"{_SINGULAR[str(key)]} {title}")
            position += 2
            continue
        pieces.append(str(key) if isinstance(key, str) else f"number {key + 1}")
        position += 1
    return " / ".join(pieces) or "file"


def _into(here: Any, key: str | int) -> Any:
    if isinstance(here, Mapping):
        return here.get(str(key))
    if isinstance(here, list) and isinstance(key, int) and key < len(here):
        return here[key]
    return None


def _path(location: tuple[str | int, ...], document: Mapping[str, Any]) -> tuple[str | int, ...]:
    """The location without the marks that stand for 'this or that type': only what the file itself contains."""
    path: list[str | int] = []
    here: Any = document
    for position, key in enumerate(location):
        inside = _into(here, key)
        last = position == len(location) - 1
        if inside is None and not (last and isinstance(here, Mapping) and _is_key(key)):
            continue
        path.append(key)
        here = inside
    return tuple(path)


def _is_key(key: str | int) -> bool:
    return isinstance(key, str) and key.isidentifier() and key not in {"str", "float", "int", "tuple"}


def _sentence(detail: ErrorDetails, path: tuple[str | int, ...], document: Mapping[str, Any]) -> str:
    kind = detail["type"]
    key = str(path[-1]) if path else "file"
    context = detail.get("ctx", {})
    if kind == "missing" and isinstance(detail["loc"][-1], int):
        return "This list has too few entries."
    if kind == "missing":
        return f"'{key}' is missing. {_ask_for(path, document)}".strip()
    if kind == "extra_forbidden":
        return _unknown_key(key, path)
    if kind == "literal_error":
        return f"{_shown(detail['input'])} is not possible here. Write one of: {context.get('expected', '')}."
    simple = _simple(kind, context)
    if simple:
        return f"{_shown(detail['input'])} does not fit: {simple}."
    return _type_sentence(kind, detail, path)


def _ask_for(path: tuple[str | int, ...], document: Mapping[str, Any]) -> str:
    key = str(path[-1])
    if len(path) == 1 and key in {"faults", "checks", "fixes"}:
        return f"Add at least one [[{key}]] table."
    if key == "proof":
        return "Add a [proof] table with [[proof.steps]]."
    if key == "source":
        return "Name where it comes from, or write 'common practice, no source'."
    if key == "format" and document:
        return "The file begins with: format = 1."
    return f"Add {key} = ..."


def _unknown_key(key: str, path: tuple[str | int, ...]) -> str:
    tables = [str(piece) for piece in path[:-1] if str(piece) in _TABLES]
    table = _TABLES[tables[-1]] if tables else model.Procedure
    close = difflib.get_close_matches(key, list(table.model_fields), n=1)
    hint = f"Did you mean '{close[0]}'?" if close else f"Known here: {', '.join(sorted(table.model_fields))}."
    return f"'{key}' is not a key of this table. {hint}"


def _simple(kind: str, context: Mapping[str, Any]) -> str:
    comparisons = {
        "greater_than": "write a number above {gt}",
        "greater_than_equal": "write a number of at least {ge}",
        "less_than": "write a number below {lt}",
        "less_than_equal": "write a number of at most {le}",
        "string_too_short": "write at least one word",
        "string_too_long": "write at most {max_length} characters",
        "finite_number": "write an ordinary number",
    }
    text = comparisons.get(kind, "")
    return text.format(**context) if text else ""


def _type_sentence(kind: str, detail: ErrorDetails, path: tuple[str | int, ...]) -> str:
    value = _shown(detail["input"])
    names = [piece for piece in path if isinstance(piece, str)]
    key, table = names[-1] if names else "", f"[[{'.'.join(names)}]]"
    if kind == "too_short":
        return f"Add at least one {table} table." if key in _LISTS else "This list needs at least one entry."
    if kind == "too_long":
        return "This list has too many entries."
    if kind in {"missing_argument", "tuple_type", "list_type"}:
        if key in _LISTS:
            return f"Write each one as a table of its own: {table}."
        return f"{value} must be a list: put it in square brackets."
    if kind.startswith(("float", "int", "decimal")):
        return f"{value} is not a number. Write it without quotes and without a unit."
    if kind.startswith("bool"):
        return f"{value} must be true or false, without quotes."
    if kind.startswith("string"):
        return f"{value} must be words in quotes."
    if kind in {"dict_type", "model_type", "model_attributes_type", "dict_attributes_type"}:
        return f"{value} must be a table: names and values in curly brackets, or a section of its own."
    return f"{value} does not fit here."


def _shown(value: Any) -> str:
    if isinstance(value, str):
        return f"'{value[:40]}'" if len(value) <= 40 else f"'{value[:40]}...'"
    if isinstance(value, Mapping):
        return "This table"
    if isinstance(value, list | tuple):
        return "This list"
    if isinstance(value, bool):
        return "true" if value else "false"
    return str(value)
