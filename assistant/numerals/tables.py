"""Reads the tables of ``grammars/`` and reports every fault at once, so that an editor can fix a file in one pass."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from typing import Any, TypeVar

from assistant.errors import Finding
from assistant.messages import Command
from assistant.numerals.sentence_forms import FormError, sentence_pattern
from assistant.numerals.units import Unit, power_of_ten

Value = TypeVar("Value")

_SLOT = re.compile(r"<(\w+)>")
_CLASSES = (("digits", "D"), ("teens", "T"), ("tens", "Y"), ("hundreds", "H"), ("denominators", "F"))
_MARKS = {"point": ("P", 0), "and": ("A", 0), "article": ("X", 1), "minus": ("S", -1), "plus": ("S", 1),
          "double": ("M", 2), "triple": ("M", 3)}  # fmt: skip


class Reader:
    """Reads the tables, collecting every finding instead of stopping at the first."""

    def __init__(self, tables: Mapping[str, Mapping[str, Any]]) -> None:
        self.tables = tables
        self.findings: list[Finding] = []

    def fault(self, where: str, text: str) -> None:
        """Note one fault."""
        self.findings.append(Finding(where, text))

    def table(self, name: str, part: str) -> Mapping[str, Any]:
        """One part of one file, empty (with a finding) when it is missing."""
        found = self.tables.get(name, {}).get(part)
        if isinstance(found, Mapping):
            return found
        self.fault(f"{name}.toml / {part}", f"Add a table [{part}].")
        return {}

    def forms(self, name: str, part: str) -> tuple[str, ...]:
        """The list ``forms`` of one part, in lower case."""
        return self._texts(f"{name}.toml / {part}", self.table(name, part).get("forms"))

    def patterns(self, name: str) -> dict[str, tuple[str, ...]]:
        """The lists ``forms`` of a file that may be missing, and each slot of its part ``slots``, named ``slots.x``.

        A slot that no list names, and one that stands in itself, is a finding.
        """
        given = self.tables.get(name, {})
        slots = {
            f"slots.{slot}": self._texts(f"{name}.toml / slots / {slot}", texts)
            for slot, texts in given.get("slots", {}).items()
        }
        found = slots | {part: self.forms(name, part) for part in given if part != "slots"}
        for part, texts in found.items():
            for slot in {slot for text in texts for slot in _SLOT.findall(text)}:
                if f"slots.{slot}" not in slots or f"slots.{slot}" == part:
                    self.fault(f"{name}.toml / {part}", f"There is no slot <{slot}> for it.")
        return found

    def lists(self, name: str, part: str) -> dict[str, tuple[str, ...]]:
        """A part of a file that may be missing, whose every value is a list of phrases."""
        given = self.tables.get(name, {}).get(part, {})
        return {key: self._texts(f"{name}.toml / {part} / {key}", texts) for key, texts in given.items()}

    def sentence_forms(self, name: str) -> dict[str, re.Pattern[str]]:
        """The parts of a file of forms that are looked for in a sentence; the file may be missing.

        A bracket that is not closed is a finding.
        """
        found = self.patterns(name)
        slots = {part.removeprefix("slots."): texts for part, texts in found.items() if part.startswith("slots.")}
        made: dict[str, re.Pattern[str]] = {}
        faulty = {one.where for one in self.findings}
        for part, texts in found.items():
            where = f"{name}.toml / {part}"
            if not part.startswith("slots.") and texts and where not in faulty:
                try:
                    made[part] = sentence_pattern(texts, slots)
                except FormError as error:
                    self.fault(where, str(error))
        return made

    def done(self, name: str) -> tuple[dict[str, tuple[str, ...]], dict[str, tuple[str, ...]]]:
        """The parts of a file that may be missing, and its part ``told``: words of verbs that are ordered ones."""
        parts = {part: self.forms(name, part) for part in self.tables.get(name, {}) if part != "told"}
        told = self.lists(name, "told")
        for verb in told:
            if verb not in parts.get("ordered", ()):
                self.fault(f"{name}.toml / told / {verb}", "Add the verb to [ordered], too.")
        return parts, told

    def _texts(self, where: str, found: Any) -> tuple[str, ...]:
        if not isinstance(found, list) or not found or not all(isinstance(form, str) and form for form in found):
            self.fault(where, "Give a list of phrases in quotes, at least one.")
            return ()
        untidy = [form for form in found if form != form.lower() or form != " ".join(form.split())]
        if untidy:
            self.fault(where, f"Write phrases in lower case with single spaces: {', '.join(untidy)}.")
        return tuple(found)

    def _each(self, name: str, part: str, read: Callable[[Any], Value | None], advice: str) -> dict[str, Value]:
        """Every value of a part as ``read`` takes it; one that it returns None for is a finding with this advice."""
        found: dict[str, Value] = {}
        for key, value in self.table(name, part).items():
            taken = read(value)
            if taken is None:
                self.fault(f"{name}.toml / {part} / {key}", advice)
            else:
                found[key] = taken
        return found

    def texts(self, name: str, part: str) -> dict[str, str]:
        """A part whose every value is text."""
        return self._each(
            name, part, lambda value: value if isinstance(value, str) and value else None, "Write words in quotes."
        )

    def whole_numbers(self, name: str, part: str) -> dict[str, int]:
        """A part whose every value is a whole number."""
        return self._each(name, part, lambda value: value if type(value) is int else None, "Write a whole number.")

    def measures(self, name: str) -> dict[str, float]:
        """Every number of a file that may be missing, whatever part it stands in."""
        found: dict[str, float] = {}
        for part, table in self.tables.get(name, {}).items():
            entries = table.items() if isinstance(table, Mapping) else ((part, table),)
            for key, value in entries:
                if isinstance(value, (int, float, Decimal)) and not isinstance(value, bool):
                    found[key] = float(value)
                else:
                    self.fault(f"{name}.toml / {part} / {key}", "Write a number.")
        return found

    def powers(self, name: str, part: str) -> dict[str, int]:
        """A part whose every value is a power of ten in quotes, as exponents."""
        return self._each(name, part, _exponent, 'Write a power of ten in quotes, such as "1000".')

    def marks(self, name: str, part: str, meaning: Mapping[str, str]) -> dict[str, str]:
        """Spoken marks of a part, by form."""
        table = self.table(name, part)
        return {
            form: mark
            for key, mark in meaning.items()
            for form in self._texts(f"{name}.toml / {part} / {key}", table.get(key))
        }

    def numbers(self) -> dict[str, tuple[str, Any]]:
        """Number words with class and value."""
        words: dict[str, tuple[str, Any]] = {}
        for part, kind in _CLASSES:
            words |= {word: (kind, value) for word, value in self.whole_numbers("numbers", part).items()}
        words |= {word: ("K", power) for word, power in self.powers("numbers", "scales").items()}
        words |= {word: ("k", power) for word, power in self.powers("numbers", "shorthand").items()}
        marks = self.table("numbers", "marks")
        for key, entry in _MARKS.items():
            words |= dict.fromkeys(self._texts(f"numbers.toml / marks / {key}", marks.get(key)), entry)
        for digit in range(10):
            if ("D", digit) not in words.values():
                self.fault("numbers.toml / digits", f"There is no word for {digit}.")
        return words

    def units(self) -> dict[str, Unit]:
        """Every unit by name."""
        units: dict[str, Unit] = {}
        for name, table in self.tables.get("units", {}).items():
            unit = self._unit(name, table)
            if unit:
                units[name] = unit
        if not units:
            self.fault("units.toml", "Give at least one unit.")
        return units

    def _unit(self, name: str, table: Any) -> Unit | None:
        where = f"units.toml / {name}"
        if not isinstance(table, Mapping):
            self.fault(where, "Write the unit as a table.")
            return None
        missing = [key for key in ("dimension", "factor", "spoken", "span") if key not in table]
        if missing:
            self.fault(where, f"Add {', '.join(missing)}.")
            return None
        spoken, span = table["spoken"], table["span"]
        try:
            factor = _fraction(table["factor"])
            offset = _fraction(table.get("offset", "0"))
            low, high = (Decimal(str(end)) for end in span)
            resolution = Decimal(str(table["resolution"])) if "resolution" in table else None
            singular, plural = (str(form) for form in spoken)
        except (ValueError, TypeError, ZeroDivisionError, InvalidOperation):
            self.fault(where, "Write factor and offset as numbers in quotes, spoken and span as two entries each.")
            return None
        if factor <= 0 or low >= high:
            self.fault(where, "The factor must be above zero and the span must rise.")
            return None
        return Unit(
            name=name, dimension=str(table["dimension"]), factor=factor, offset=offset,
            singular=singular, plural=plural, heard=tuple(table.get("heard", ())),
            typed=tuple(table.get("typed", ())), span=(low, high), signed=bool(table.get("signed", False)),
            implied_point=bool(table.get("implied_point", False)), fractions=bool(table.get("fractions", False)),
            whole=bool(table.get("whole", False)), resolution=resolution,
        )  # fmt: skip

    def commands(self) -> dict[str, tuple[str, ...]]:
        """Forms of every command; unknown and missing commands are findings."""
        known = {command.value for command in Command}
        given = self.tables.get("commands", {})
        for name in given:
            if name not in known:
                self.fault(
                    f"commands.toml / {name}", f"There is no such command; commands: {', '.join(sorted(known))}."
                )
        return {command.value: self.forms("commands", command.value) for command in Command}

    def letters(self) -> tuple[dict[str, str], dict[str, str]]:
        """Spoken letter -> letter, and letter -> how the tool says it."""
        heard: dict[str, str] = {}
        for letter, names in self.table("spelling", "alphabet").items():
            for name in self._texts(f"spelling.toml / alphabet / {letter}", names):
                heard[name] = letter
        spoken = self.texts("spelling", "spoken")
        for letter in "abcdefghijklmnopqrstuvwxyz":
            if letter not in spoken:
                self.fault("spelling.toml / spoken", f"There is no word for the letter {letter}.")
        return heard, spoken


def _exponent(text: Any) -> int | None:
    """The exponent of a power of ten, None for anything else."""
    try:
        return power_of_ten(Fraction(str(text)))
    except (ValueError, ZeroDivisionError):
        return None


def _fraction(text: Any) -> Fraction:
    top, _, bottom = str(text).partition("/")
    return Fraction(top) / Fraction(bottom or "1")
