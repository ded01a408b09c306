"""The JSON Schema of procedure files, so that an editor completes and explains keys as one types."""

from __future__ import annotations

from typing import Any

from assistant.procedure.model import Procedure

DRAFT = "https://json-schema.org/draft/2020-12/schema"
"""The draft it is written in: JSON Schema 2020-12."""
_LOOKED_FOR = ("faults", "fixes", "proof")
"""What a procedure that looks for a fault must have and a survey may leave out."""


def schema() -> dict[str, Any]:
    """The schema: every key with its description, what is required, and what it may hold."""
    tables: dict[str, Any] = Procedure.model_json_schema()
    tidy = _tidied(tables)
    tidy["required"] = [key for key in tidy["required"] if key not in _LOOKED_FOR]
    survey = {"properties": {"kind": {"const": "survey"}}, "required": ["kind"]}
    head = {
        "$schema": DRAFT,
        "title": "Leadsman procedure",
        "description": "One file in dialogs: facts, faults, checks, accesses, fixes and the proof of cure.",
    }
    return {**tidy, **head, "if": survey, "else": {"required": list(_LOOKED_FOR)}}


def _tidied(node: Any) -> Any:
    """Without what TOML cannot hold or an editor should not offer: null, numbers as strings, made-up titles."""
    if isinstance(node, list):
        return [_tidied(one) for one in node]
    if not isinstance(node, dict):
        return node
    kept = {
        key: _properties(value) if key in ("properties", "$defs") else _tidied(value)
        for key, value in node.items()
        if not (key == "default" and value is None) and not (key == "title" and isinstance(value, str))
    }
    ways: list[Any] = list(kept.get("anyOf", ()))
    if not ways:
        return kept
    numeric = any(way.get("type") == "number" for way in ways)
    ways = [way for way in ways if way.get("type") != "null" and not (numeric and way.get("type") == "string")]
    rest = {key: value for key, value in kept.items() if key != "anyOf"}
    return {**rest, **ways[0]} if len(ways) == 1 else {**rest, "anyOf": ways}


def _properties(named: dict[str, Any]) -> dict[str, Any]:
    """Tables by name: their names are keys of the file, whatever they are called."""
    return {name: _tidied(table) for name, table in named.items()}
