"""Titles from the procedure that a record carries, read leniently: an old record's file need not be valid today."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from assistant.messages import Prompt, PromptKind
from assistant.messages.decisions import Observed
from assistant.phrasing.verdicts import look_word
from assistant.phrasing.wording import at_place, first_up
from assistant.records.journal.lines import Header
from assistant.session.results.signs import Checks

INVENTED = "INVENTED: a demonstration. The unit, the fault and every reading are made up."
"""Above every form of a record of a demonstration."""
MOST_MINUTES = 600
"""What a procedure may give one step."""


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
    proof_titles: Mapping[str, str] = field(default_factory=dict)
    """Name to what the step's answer tells to who drives the unit."""
    rules: Checks = field(default_factory=Checks)
    """What the results of a session are told with, and what makes a look good or bad."""
    survey: bool = False
    """True for a survey."""
    places: tuple[str, ...] = ()
    """Names of the places, in order."""
    facts: Mapping[str, str] = field(default_factory=dict)
    """Facts that it may ask, in order: name to what a record calls it."""
    code_checks: frozenset[str] = frozenset()
    """Names of the checks that read fault codes."""
    not_looked_at: tuple[str, ...] = ()
    """What a survey leaves out."""
    parts: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Fix to the parts that it puts in, or may put in where it can be done in several ways."""
    minutes: Mapping[tuple[str, str], float] = field(default_factory=dict)
    """``check``, ``fix`` or ``step`` of the proof, and its name, to the minutes that the procedure gives it."""

    def fault(self, name: str) -> str:
        """Title of a fault."""
        return self.faults.get(name, name)

    def step(self, name: str) -> str:
        """Title of a step of the proof."""
        return first_up(self.proof_titles.get(name, name))

    def fact(self, name: str) -> str:
        """What a record calls a fact: 'recent work'. A name that is none of the trade's loses its underscores."""
        return self.facts.get(name, name).replace("_", " ")

    def verdict(self, seen: Observed) -> str:
        """The verdict of a reading or a look in a word, also where what was chosen says it already."""
        return self.rules.graded(seen) or look_word(self.rules.mark(seen))

    def check(self, name: str) -> str:
        """Title of a check."""
        return self.checks.get(name, name)

    def fix(self, name: str) -> str:
        """Title of a fix, such as ``sensor replaced``."""
        return self.fixes.get(name, name)


def prompt_words(prompt: Prompt, titles: Titles) -> str:
    """A prompt in words: ``check:sensor ohms:left rear`` is its title and place."""
    titled = {PromptKind.CHECK: titles.check, PromptKind.FIX: titles.fix}
    title = titled.get(prompt.kind, str)(prompt.name)
    return at_place(title or str(prompt), prompt.place)


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
    every = [row for row in _rows(tables.get("checks")) if "name" in row]
    checks = [row for row in every if "otherwise" in row]
    healthy = {
        str(row["name"]): (*(row.get("healthy") or (str(row["otherwise"]),)), *(row.get("tools") or ()))
        for row in checks
    }
    tools = {str(row["name"]): tuple(map(str, row["tools"])) for row in checks if row.get("tools")}
    sums = {str(row["name"]): tuple(map(str, row["sums_up"])) for row in every if row.get("sums_up")}
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
        _named(proof.get("steps"), "title"),
        Checks(healthy, frozenset(places), tools, sums, _tried(tables.get("fixes")), _changed(tables.get("fixes"))),
        tables.get("kind") == "survey",
        places,
        _named(tables.get("facts"), "title"),
        frozenset(str(row["name"]) for row in every if row.get("reads_codes")),
        tuple(map(str, tables.get("not_looked_at") or ())),
        {str(row["name"]): _parts(row) for row in _rows(tables.get("fixes")) if "name" in row},
        {
            (kind, str(row["name"])): float(row["minutes"])
            for kind, rows in (("check", every), ("fix", tables.get("fixes")), ("step", proof.get("steps")))
            for row in _rows(rows)
            if "name" in row and _is_minutes(row.get("minutes"))
        },
    )


def _is_minutes(value: object) -> bool:
    """True for what a procedure may say: a number of minutes up to ten hours."""
    return isinstance(value, int | float) and 0 <= value <= MOST_MINUTES


def _parts(fix: Mapping[str, Any]) -> tuple[str, ...]:
    ways = [f"{way['part']} (if {way.get('name', 'used')})" for way in _rows(fix.get("ways")) if way.get("part")]
    return tuple(ways) or ((str(fix["part"]),) if fix.get("part") else ())


def _tried(fixes: object) -> dict[str, str]:
    """Fixes that put in a known good part to test, as ``Fix.as_test`` tells them."""
    rows = [row for row in _rows(fixes) if "name" in row and row.get("trial") and row.get("part")]
    return {str(row["name"]): str(row.get("tried") or f"known good {row['part']} tried") for row in rows}


def _changed(fixes: object) -> dict[str, tuple[str, ...]]:
    """Fixes whose own work changes what checks show, with those checks."""
    rows = [row for row in _rows(fixes) if "name" in row and row.get("also_changes")]
    return {str(row["name"]): tuple(map(str, row["also_changes"])) for row in rows}


def _rows(rows: object) -> list[dict[str, Any]]:
    return [row for row in rows if isinstance(row, dict)] if isinstance(rows, list) else []


def _named(rows: object, key: str) -> dict[str, str]:
    return {str(row["name"]): str(row.get(key) or row["name"]) for row in _rows(rows) if "name" in row}
