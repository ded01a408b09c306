"""Meters, their ranges, and how far a reading may be off.

A meter's accuracy is written '± (p % of reading + n counts)', one count being the value of the last digit. That gives
a half-width ``a`` within which the true value lies with equal chance everywhere (a rectangular distribution), so the
standard uncertainty is ``a / sqrt(3)`` (JCGM 100, 4.3.7) and the expanded one, U, twice that.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal, localcontext
from typing import Any

from assistant.errors import DocumentError, Finding, OperatorError

DIGITS = 28
"""Working precision, in digits, of every computation in this room."""

_ACCURACY = re.compile(
    r"""(?: (?P<percent> \d+(?:\.\d*)? | \.\d+ ) \s* (?:%|percent) (?:\s* (?:of\s+)? (?:reading|rdg))? )?
        (?: \s* (?P<plus> \+)? \s* (?P<counts> \d+(?:\.\d*)? | \.\d+ )
            \s* (?P<word> counts? | dgts?\.? | digits? | d | lsd)? )?""",
    re.VERBOSE | re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Accuracy:
    """What a meter's maker states for one range."""

    percent: Decimal
    """Share of the reading, in percent."""
    counts: Decimal
    """Number of last-digit steps."""
    resolution: Decimal | None = None
    """Value of the last digit, in the reading's unit; None: taken from the digits of the reading itself."""

    def half_width(self, value: Decimal) -> Decimal:
        """Half-width ``a`` of the interval that holds the true value, in the reading's unit."""
        with localcontext(prec=DIGITS):
            step = self.resolution if self.resolution is not None else last_digit(value)
            return abs(value) * self.percent / 100 + self.counts * step

    def __str__(self) -> str:
        counts = f" + {self.counts.normalize():f} counts" if self.counts else ""
        return f"± ({self.percent.normalize():f}%{counts})" if counts else f"± {self.percent.normalize():f}%"


_UNNAMED = {
    "V": (Decimal("0.5"), Decimal("1.2")),
    "mV": (Decimal("0.5"), Decimal("1.2")),
    "ohm": (Decimal(1), Decimal(1)),
    "kohm": (Decimal(1), Decimal(1)),
    "Mohm": (Decimal(2), Decimal(2)),
    "A": (Decimal(2), Decimal(3)),
    "mA": (Decimal("1.5"), Decimal(2)),
}
"""Percent of reading, DC and AC, that a usual handheld meter may be off; common practice, no source."""


def accuracy_unnamed(unit: str, *, ac: bool = False) -> Accuracy | None:
    """Accuracy that a meter nobody named is trusted with: a usual one's, not none at all.

    Counts are left out: which digit was the last is not known, since 'five volts' may have been 5.02 on the display.
    None for what no meter reads with its leads, such as inches.
    """
    percents = _UNNAMED.get(unit)
    return None if percents is None else Accuracy(percents[ac], Decimal(0))


def last_digit(value: Decimal) -> Decimal:
    """Value of the last digit as written: 0.01 for 9.62, 1 for 2980."""
    exponent = value.as_tuple().exponent
    return Decimal(1).scaleb(exponent if isinstance(exponent, int) else 0)


def parse_accuracy(text: str, resolution: Decimal | None = None) -> Accuracy:
    """Read a stated accuracy: ``0.8%+2``, ``±(0.8 % + 2)``, ``0.8% + 2 dgt``, ``0.5%``, ``3 counts``.

    Raises:
        OperatorError: it does not have that form.
    """
    core = text.strip().replace("+/-", "±").replace("+-", "±").removeprefix("±").strip()
    if core.startswith("(") and core.endswith(")"):
        core = core[1:-1].strip()
    match = _ACCURACY.fullmatch(core)
    wrong = OperatorError(
        f"'{text}' is not an accuracy.",
        remedy="Write percent of reading plus counts of the last digit, such as 0.8%+2 or 0.5%.",
    )
    if match is None or not core:
        raise wrong
    percent, counts = match["percent"], match["counts"]
    if counts and ((percent and not match["plus"]) or (not percent and (match["plus"] or not match["word"]))):
        raise wrong
    if percent and Decimal(percent) > 100:
        raise OperatorError(f"'{text}' states more than 100 percent of the reading.", remedy="Check the figure.")
    return Accuracy(Decimal(percent or 0), Decimal(counts or 0), resolution)


def rounded(uncertainty: Decimal, figures: int = 2) -> Decimal:
    """An uncertainty to so many significant figures (two is usual, JCGM 100 7.2.6), in plain notation."""
    if not uncertainty:
        return Decimal(0)
    with localcontext(prec=figures):
        short = +uncertainty
    return Decimal(f"{short:f}")


_RANGE_KEYS = {"unit", "top", "resolution", "accuracy", "dial", "hole", "ac"}
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
    ac: bool = False
    """True for alternating current."""

    def shifted(self, unit: str, places: int) -> Range:
        """The same range in a unit whose values are larger by so many powers of ten."""
        top, step = (Decimal(f"{one.scaleb(places):f}") for one in (self.top, self.resolution))
        accuracy = Accuracy(self.accuracy.percent, self.accuracy.counts, step)
        return Range(unit, top, step, accuracy, self.dial, self.hole, self.ac)


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
        title, invented = str(table.get("title") or name), bool(table.get("invented", False))
        return cls(str(name), title, _sorted(ranges), invented)

    def range_for(self, unit: str, value: Decimal, *, ac: bool = False) -> Range | None:
        """The smallest range of that unit that shows the value; None when none does."""
        return next((one for one in self._of(unit, ac) if abs(value) <= one.top), None)

    def accuracy_for(self, unit: str, value: Decimal, *, ac: bool = False) -> Accuracy | None:
        """Accuracy of the smallest range that shows the value; None when the meter has none."""
        found = self.range_for(unit, value, ac=ac)
        return found.accuracy if found else None

    def lowest_range(self, unit: str, *, ac: bool = False) -> Range | None:
        """The smallest range of that unit: the finest the meter can show."""
        return next(iter(self._of(unit, ac)), None)

    def hole_of(self, unit: str, *, ac: bool = False) -> str:
        """Jack of the red lead for that unit, as spoken; '' where its table does not say, or ranges differ."""
        named = {one.hole for one in self._of(unit, ac)}
        return named.pop() if len(named) == 1 else ""

    def in_units(self, shifts: Mapping[str, Mapping[str, int]]) -> Meter:
        """The same meter, its ranges stated in further units as well.

        Args:
            shifts: unit -> further unit -> power of ten that brings a value there: ``{"V": {"mV": 3}}``.
        """
        stated = {one.unit for one in self.ranges}
        more = [
            one.shifted(unit, places)
            for one in self.ranges
            for unit, places in shifts.get(one.unit, {}).items()
            if unit not in stated
        ]
        return Meter(self.name, self.title, _sorted([*self.ranges, *more]), self.invented)

    def _of(self, unit: str, ac: bool) -> tuple[Range, ...]:
        return tuple(one for one in self.ranges if one.unit == unit and one.ac == ac)


def _sorted(ranges: Iterable[Range]) -> tuple[Range, ...]:
    return tuple(sorted(ranges, key=lambda one: (one.unit, one.ac, one.top)))


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
    return Range(str(unit), numbers["top"], numbers["resolution"], accuracy, *words, row.get("ac") is True), []


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
