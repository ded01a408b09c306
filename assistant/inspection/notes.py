"""Collects findings, and iterates over the parts of a procedure that the inspections share."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator

from assistant.errors import Finding
from assistant.procedure.base import PLACE
from assistant.procedure.lines import Lines
from assistant.procedure.model import (
    Access,
    Caution,
    Check,
    Fault,
    Fix,
    Option,
    Place,
    Procedure,
    ProofStep,
    Question,
    When,
)

READING = ("good", "low", "high", "over_range", "unsteady")
"""Outcomes of a reading."""
HERE = "here"
"""In a place check: the fault's own place was named."""

Path = tuple[str | int, ...]
Row = Caution | Question | Place | Access | Check | Fault | Fix | ProofStep
Finds = dict[str, str | dict[str, float]]

_WORDS = {
    "cautions": "caution", "facts": "fact", "places": "place", "access": "access", "checks": "check",
    "faults": "fault", "fixes": "fix", "steps": "proof step",
}  # fmt: skip


class Notes:
    """Findings about one procedure, with the lines they stand on."""

    def __init__(self, procedure: Procedure, lines: Lines) -> None:
        self.procedure = procedure
        self._lines = lines
        self._found: list[Finding] = []

    def add(self, path: Path, where: str, text: str, *, remark: bool = False) -> None:
        """Note one finding; the same one twice counts once. A remark stops no session."""
        finding = Finding(where, text, self._lines.of(*path), remark)
        if finding not in self._found:
            self._found.append(finding)

    def line(self, *path: str | int) -> int | None:
        """The line on which something stands."""
        return self._lines.of(*path)

    def sorted(self) -> list[Finding]:
        """All findings in the order of the file."""
        return sorted(self._found, key=lambda finding: (finding.line or 0, finding.where))

    def rows(self) -> Iterator[tuple[Path, str, Row]]:
        """Every named table: its path, how messages call it, and itself."""
        procedure = self.procedure
        tables: tuple[tuple[Path, Iterable[Row]], ...] = (
            (("cautions",), procedure.cautions),
            (("facts",), procedure.facts),
            (("places",), procedure.places),
            (("access",), procedure.access),
            (("checks",), procedure.checks),
            (("faults",), procedure.faults),
            (("fixes",), procedure.fixes),
            (("proof", "steps"), procedure.proof.steps),
        )
        for path, table in tables:
            for number, row in enumerate(table):
                yield (*path, number), f"{_WORDS[str(path[-1])]} '{row.name}'", row

    def conditions(self) -> Iterator[tuple[Path, str, When]]:
        """Every condition: its path, how messages call it, and itself."""
        for path, where, row in self.rows():
            if isinstance(row, Access):
                yield (*path, "when"), f"{where} / when", _of_facts(row.when)
            elif not isinstance(row, Fix):
                yield (*path, "when"), f"{where} / when", row.when
            if isinstance(row, Fault):
                for number, factor in enumerate(row.factors):
                    yield (*path, "factors", number), f"{where} / factors", factor.when
            if isinstance(row, Check):
                yield (*path, "at_proof"), f"{where} / at_proof", row.at_proof or {}
                for number, limited in enumerate(row.limits_when):
                    yield (*path, "limits_when", number, "when"), f"{where} / limits_when", _of_facts(limited.when)
            if isinstance(row, Access):
                for number, entry in enumerate(row.minutes_when):
                    yield (*path, "minutes_when", number), f"{where} / minutes_when", entry.when

    def options(self) -> Iterator[tuple[Path, str, tuple[Option, ...]]]:
        """Every list of choices: its path, how messages call it, and itself."""
        for path, where, row in self.rows():
            if isinstance(row, Check | Question | ProofStep) and row.choices:
                yield (*path, "choices"), f"{where} / choices", row.choices

    def groups(self) -> set[str]:
        """Groups that have a place."""
        return {place.group for place in self.procedure.places}


def _of_facts(when: When) -> When:
    """A condition without the places that it names."""
    return {name: wanted for name, wanted in when.items() if name != PLACE}


def outcomes_of(check: Check, places: Iterable[str] = ()) -> tuple[str, ...]:
    """Outcomes that a check can have, as ``finds`` writes them."""
    if check.kind == "reading":
        return READING
    names = tuple(option.name for option in check.choices)
    return (HERE, *places, *names) if check.kind == "place" else names


def shares_of(entry: str | dict[str, float]) -> dict[str, float]:
    """One entry of ``finds`` as outcomes with probabilities."""
    return {entry: 1.0} if isinstance(entry, str) else entry


def did_you_mean(name: str, known: Iterable[str]) -> str:
    """A closing sentence that offers the nearest known name, or all of a short list."""
    names = list(known)
    close = difflib.get_close_matches(name, names, n=1, cutoff=0.6)
    if close:
        return f"Did you mean '{close[0]}'?"
    if not names:
        return "There are none."
    return f"Known: {', '.join(sorted(names))}." if len(names) <= 12 else "Check the spelling."


def can_meet(one: When, other: When) -> bool:
    """True unless the two conditions ask different values of one fact."""
    return all(values_of(one[name]) & values_of(other[name]) for name in set(one) & set(other))


def values_of(wanted: str | tuple[str, ...]) -> set[str]:
    """The answers that a condition accepts."""
    return {wanted} if isinstance(wanted, str) else set(wanted)
