"""Meters: the ranges that each has, and how accurate each range is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from assistant.errors import DocumentError, Finding, OperatorError
from assistant.verdict.uncertainty import Accuracy, parse_accuracy

_RANGE_KEYS = {"unit", "top", "resolution", "accuracy", "dial", "hole"}
_METER_KEYS = {"name", "title", "invented", "range"}


@dataclass(frozen=True, slots=True)
class Range:
    """One range of a meter."""

    unit: str
    """Unit of ``top`` and ``resolution``, by its name in ``grammars/units.toml``."""
    top: Decimal
    """Largest value that the range shows; above it the meter shows over range."""
    resolution: Decimal
    """Value of the last digit."""
    accuracy: Accuracy
    dial: str = ""
    """What to turn the dial to, as spoken."""
    hole: str = ""
    """Jack of the red lead, as spoken."""


@dataclass(frozen=True, slots=True)
class Meter:
    """A meter with its ranges, smallest first within each unit."""

    name: str
    """What ``--meter`` takes."""
    title: str
    """What the record shows."""
    ranges: tuple[Range, ...] = ()
    invented: bool = False
    """True for the generic meters that travel with the program: their figures are plausible, not a maker's."""

    @classmethod
    def from_table(cls, table: Mapping[str, Any], document: str = "meters.toml") -> Meter:
        """Make a meter from one ``[[meter]]`` table.

        Raises:
            DocumentError: the table has faults; all of them are named.
        """
        findings: list[Finding] = []
        name = table.get("name")
        where = f"meter '{name}'" if isinstance(name, str) and name else "meter without a name"
        if not isinstance(name, str) or not name.strip():
            findings.append(Finding(where, 'A meter needs a name, such as name = "pocket".'))
        findings += [
            Finding(f"{where} / {key}", f"A meter has no '{key}'; it may have {', '.join(sorted(_METER_KEYS))}.")
            for key in sorted(set(table) - _METER_KEYS)
        ]
        rows = table.get("range", [])
        if not isinstance(rows, list) or not rows:
            findings.append(Finding(where, "A meter needs at least one [[meter.range]] table."))
            rows = []
        ranges = []
        for number, row in enumerate(rows, 1):
            found, faults = _range(row, f"{where} / range {number}")
            findings += faults
            if found is not None:
                ranges.append(found)
        if findings:
            raise DocumentError(document, findings)
        ranges.sort(key=lambda one: (one.unit, one.top))
        return cls(str(name), str(table.get("title") or name), tuple(ranges), bool(table.get("invented", False)))

    def range_for(self, unit: str, value: Decimal) -> Range | None:
        """The smallest range of that unit that shows the value; None when none does."""
        return next((one for one in self.ranges if one.unit == unit and abs(value) <= one.top), None)

    def accuracy_for(self, unit: str, value: Decimal) -> Accuracy | None:
        """Accuracy of the smallest range that shows the value; None when the meter has none."""
        found = self.range_for(unit, value)
        return found.accuracy if found else None

    def lowest_range(self, unit: str) -> Range | None:
        """The smallest range of that unit: the finest the meter can show."""
        return next((one for one in self.ranges if one.unit == unit), None)

    def highest_range(self, unit: str) -> Range | None:
        """The largest range of that unit: above its top the meter shows over range."""
        return next((one for one in reversed(self.ranges) if one.unit == unit), None)


def _range(row: Any, where: str) -> tuple[Range | None, list[Finding]]:
    """One range table, or what is wrong with it."""
    if not isinstance(row, Mapping):
        return None, [Finding(where, "A range is a table with unit, top, resolution and accuracy.")]
    findings = [
        Finding(f"{where} / {key}", f"A range has no '{key}'; it may have {', '.join(sorted(_RANGE_KEYS))}.")
        for key in sorted(set(row) - _RANGE_KEYS)
    ]
    unit = row.get("unit")
    if not isinstance(unit, str) or not unit:
        findings.append(Finding(f"{where} / unit", 'A range needs a unit, such as unit = "ohm".'))
    numbers: dict[str, Decimal] = {}
    for key in ("top", "resolution"):
        given = row.get(key)
        if isinstance(given, bool) or not isinstance(given, int | Decimal) or not Decimal(given) > 0:
            findings.append(Finding(f"{where} / {key}", f"A range needs a {key}: a number above zero."))
        else:
            numbers[key] = Decimal(given)
    accuracy = None
    try:
        accuracy = parse_accuracy(str(row.get("accuracy", "")), numbers.get("resolution"))
    except OperatorError as error:
        findings.append(Finding(f"{where} / accuracy", str(error)))
    if findings or accuracy is None:
        return None, findings
    words = str(row.get("dial", "")), str(row.get("hole", ""))
    return Range(str(unit), numbers["top"], numbers["resolution"], accuracy, *words), []


def meters_from(tables: Mapping[str, Any], document: str = "meters.toml") -> dict[str, Meter]:
    """Every ``[[meter]]`` of one file, by name.

    Raises:
        DocumentError: the file has faults, or names a meter twice; all of them are named.
    """
    strange = sorted(set(tables) - {"meter"})
    findings = [Finding(key, "The file holds [[meter]] tables and nothing else.") for key in strange]
    meters: dict[str, Meter] = {}
    rows = tables.get("meter", [])
    for row in rows if isinstance(rows, list) else []:
        try:
            meter = Meter.from_table(row if isinstance(row, Mapping) else {}, document)
        except DocumentError as error:
            findings += error.findings
            continue
        if meter.name in meters:
            findings.append(Finding(f"meter '{meter.name}'", "This name stands twice: give one another name."))
        meters[meter.name] = meter
    if findings:
        raise DocumentError(document, findings)
    return meters
