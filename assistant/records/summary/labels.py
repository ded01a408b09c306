"""Titles from the procedure that a record carries, read leniently: an old record's file need not be valid today."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from assistant.records.journal.format import Header
from assistant.session.results import Checks


@dataclass(frozen=True, slots=True)
class Titles:
    """What the procedure calls its things; a name stands for itself where the procedure is lost."""

    procedure: str = ""
    complaint: str = ""
    proof_limits: str = ""
    """What the proof does not show."""
    faults: Mapping[str, str] = field(default_factory=dict)
    checks: Mapping[str, str] = field(default_factory=dict)
    fixes: Mapping[str, str] = field(default_factory=dict)
    unit_facts: tuple[str, ...] = ("unit", "unit number")
    """Facts that hold the unit's number."""
    cautions: Mapping[str, str] = field(default_factory=dict)
    """Name to its sentence."""
    proof_steps: Mapping[str, str] = field(default_factory=dict)
    """Name to its sentence."""
    sound: Mapping[str, str] = field(default_factory=dict)
    """Check to the outcome that a sound unit shows; ``good`` where none is named."""
    rules: Checks = field(default_factory=Checks)
    """What the results of a session are told with."""
    survey: bool = False
    """True for a survey."""
    places: tuple[str, ...] = ()
    """Names of the places, in order."""
    facts: tuple[str, ...] = ()
    """Names of the facts that it may ask, in order."""

    def fault(self, name: str) -> str:
        """Title of a fault."""
        return self.faults.get(name, name)

    def check(self, name: str) -> str:
        """Title of a check."""
        return self.checks.get(name, name)

    def fix(self, name: str) -> str:
        """Title of a fix, such as ``sensor replaced``."""
        return self.fixes.get(name, name)


def titles_of(header: Header) -> Titles:
    """Titles of the procedure in the header."""
    return _titles(header.procedure_toml, header.procedure)


@lru_cache(maxsize=16)
def _titles(text: str, name: str) -> Titles:
    """Kept for the last few: a folder of records holds the same few procedures many times."""
    try:
        tables: dict[str, Any] = tomllib.loads(text)
        return _titles_in(tables, name)
    except (ValueError, RecursionError):  # also a number with more digits than Python reads
        return _titles_in({}, name)


def _titles_in(tables: dict[str, Any], name: str) -> Titles:
    proof = tables.get("proof")
    proof = proof if isinstance(proof, dict) else {}
    checks = [row for row in _rows(tables.get("checks")) if {"name", "otherwise"} <= row.keys()]
    sound = {str(row["name"]): str(row["otherwise"]) for row in checks}
    healthy = {str(row["name"]): tuple(row.get("healthy") or (str(row["otherwise"]),)) for row in checks}
    places = tuple(str(row["name"]) for row in _rows(tables.get("places")) if "name" in row)
    identifiers = {
        str(row["name"]) for row in _rows(tables.get("facts")) if row.get("kind") == "identifier" and "name" in row
    }
    return Titles(
        str(tables.get("title") or name),
        str(tables.get("complaint") or ""),
        str(proof.get("limits") or ""),
        _named(tables.get("faults"), "title"),
        _named(tables.get("checks"), "title"),
        _named(tables.get("fixes"), "title"),
        tuple(sorted({"unit number", "unit"} & identifiers or identifiers or {"unit number", "unit"})),
        _named(tables.get("cautions"), "say"),
        _named(proof.get("steps"), "say"),
        sound,
        Checks(healthy, frozenset(places)),
        tables.get("kind") == "survey",
        places,
        tuple(str(row["name"]) for row in _rows(tables.get("facts")) if "name" in row),
    )


def _rows(rows: object) -> list[dict[str, Any]]:
    return [row for row in rows if isinstance(row, dict)] if isinstance(rows, list) else []


def _named(rows: object, key: str) -> dict[str, str]:
    return {str(row["name"]): str(row.get(key) or row["name"]) for row in _rows(rows) if "name" in row}
