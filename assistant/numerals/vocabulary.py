"""The vocabulary: everything that people say, compiled once from the tables in ``grammars/``.

Single number words are looked up in ``numbers``; everything else (units, commands, displays, words around a
reading) in ``phrases``, longest form first.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

from assistant.errors import DocumentError
from assistant.intents.answers import Answers
from assistant.intents.second_opinion import SecondOpinion
from assistant.numerals.spellings import Spellings, spellings_of
from assistant.numerals.tables import Reader
from assistant.numerals.units import Unit, names_of


class Kind(StrEnum):
    """What a phrase is used for."""

    UNIT = "unit"
    COMMAND = "command"
    OVER_RANGE = "over_range"
    NOTHING = "nothing"
    UNSTEADY = "unsteady"
    CARRIER = "carriers"
    FILLER = "fillers"
    APPROXIMATE = "approximate"
    BETWEEN = "between"
    TO = "to"
    ABOVE = "above"
    BELOW = "below"
    REPAIR = "repairs"
    FIRST = "first"
    SECOND = "second"
    THIRD = "third"
    NEITHER = "neither"


NumberWord = tuple[str, Any]
"""Class of a number word and its value: D digit, T teen, Y tens, H hundred, K scale, k shorthand scale, F
denominator, P point, A and, X article, S sign, M double or triple."""

RoleTable = dict[str, tuple[tuple[tuple[str, ...], tuple[str, ...]], ...]]
"""First word -> (words, roles), longest first."""

PhraseTable = dict[str, tuple[tuple[tuple[str, ...], Kind, str], ...]]
"""First word -> (words, kind, payload), longest first."""


@dataclass(frozen=True, slots=True, eq=False)
class Vocabulary:
    """Everything that people say, ready for use. It is compared as itself, not by what it holds."""

    units: dict[str, Unit]
    unit_typed: dict[str, str]
    """Exact written form -> name of the unit; capitals count."""
    unit_pattern: re.Pattern[str]
    """Written forms that hold more than letters ('km/h', '°F'), looked for behind a figure."""
    numbers: dict[str, NumberWord]
    """Number word -> class and value."""
    homophones: dict[str, int]
    """What the recognizer writes for a digit, beside another number word only."""
    typed_scales: dict[str, int]
    """Written scale -> power of ten; capitals count."""
    phrases: PhraseTable
    """Multi-word forms by first word, longest first."""
    commands: dict[str, tuple[str, ...]]
    """Canonical command -> its forms, the first one named by help."""
    forms: dict[Kind, tuple[str, ...]]
    """Forms of each kind, as written in the tables."""
    letters: dict[str, str]
    """Spoken letter -> letter, in lower case."""
    letter_names: dict[str, str]
    """Letter -> how the tool says it."""
    identifier_carriers: tuple[tuple[str, ...], ...]
    """Words that may stand before a unit number, longest first."""
    identifier_behind: tuple[tuple[str, ...], ...]
    """What begins words behind a unit number that tell where the unit is, longest first."""
    identifier_marks: dict[str, str]
    """Spoken mark -> the mark."""
    unsaid: dict[str, str]
    """Word the speech model lacks -> words it has for it."""
    roles: RoleTable = field(default_factory=dict)
    """Words around an answer by first word, longest first, each with the roles it may have, by the names of
    ``grammars/roles.toml``."""
    wishes: dict[str, tuple[str, ...]] = field(default_factory=dict)
    """Canonical command, or ``around`` -> forms of free talk, which the recognizer does not listen for."""
    patterns: dict[str, tuple[str, ...]] = field(default_factory=dict)
    """Canonical command, or ``slots.`` and a name -> patterns of ``grammars/patterns.toml``."""
    looks: dict[str, tuple[str, ...]] = field(default_factory=dict)
    """Name of a choice -> words that tell it beside its own, as written in ``grammars/looks.toml``."""
    spellings: Spellings = field(default_factory=Spellings)
    """Words that are known, and how they are cut short."""
    questions: dict[str, tuple[str, ...]] = field(default_factory=dict)
    """What is asked -> how, as written in ``grammars/questions.toml``; words of any question among them."""
    reports: dict[str, tuple[str, ...]] = field(default_factory=dict)
    """What is reported -> how, as written in ``grammars/reports.toml``."""
    mending: dict[str, tuple[str, ...]] = field(default_factory=dict)
    """What tells that an earlier answer was wrong -> how, as written in ``grammars/mending.toml``."""
    hazards: dict[str, re.Pattern[str]] = field(default_factory=dict)
    """Parts of ``grammars/hazards.toml``: dangers, questions about them and questions at all, looked for in a
    sentence."""
    rolling: dict[str, re.Pattern[str]] = field(default_factory=dict)
    """The same of ``grammars/rolling.toml``: what a light does once the unit rolls."""
    done: dict[str, tuple[str, ...]] = field(default_factory=dict)
    """Parts of ``grammars/done.toml``: words that tell work as done, and those that take it back."""
    done_forms: dict[str, tuple[str, ...]] = field(default_factory=dict)
    """Verb of a step -> words that tell it as done beside its form in 'ed'."""
    spanish: dict[str, str] = field(default_factory=dict)
    """Spanish word -> the English one, as written in ``grammars/spanish.toml``."""
    spanish_phrases: dict[str, str] = field(default_factory=dict)
    """The same of several words."""
    deciding: dict[str, float] = field(default_factory=dict)
    """Weights and thresholds of deciding between hypotheses, by name; empty for those that are built in."""
    second_opinion: SecondOpinion | None = None
    """What a sentence may have been by its likeness to ``grammars/sayings``; None where there are none."""
    answers: Answers | None = None
    """Answers to questions with choices, as people give them (``grammars/answers``); None where there are none."""

    @classmethod
    def from_tables(cls, tables: Mapping[str, Mapping[str, Any]]) -> Vocabulary:
        """Compile the tables of ``grammars/``, keyed by file name without its ending.

        Raises:
            DocumentError: something is missing or contradicts itself; all findings are named.
        """
        reader = Reader(tables)
        units = reader.units()
        numbers = reader.numbers()
        homophones = reader.whole_numbers("numbers", "homophones")
        scales = reader.powers("numbers", "typed_scales")
        commands = reader.commands()
        forms = {kind: reader.forms(*_PLACES[kind]) for kind in _PLACES}
        letters, letter_names = reader.letters()
        carriers = reader.forms("spelling", "carriers")
        behind = reader.forms("spelling", "behind")
        marks = reader.marks("spelling", "marks", {"dash": "-", "slash": "/"})
        unsaid = reader.texts("spelling", "unsaid")
        roles = {name: reader.forms("roles", name) for name in tables.get("roles", {})}
        wishes = {name: reader.forms("wishes", name) for name in tables.get("wishes", {})}
        patterns = reader.patterns("patterns")
        looks = {name: reader.forms("looks", name) for name in tables.get("looks", {})}
        short = reader.lists("respelling", "short")
        questions = {name: reader.forms("questions", name) for name in tables.get("questions", {})}
        reports = {name: reader.forms("reports", name) for name in tables.get("reports", {})}
        mending = {name: reader.forms("mending", name) for name in tables.get("mending", {})}
        hazards = reader.sentence_forms("hazards")
        rolling = reader.sentence_forms("rolling")
        done, done_forms = reader.done("done")
        spanish = reader.texts("spanish", "words") if "spanish" in tables else {}
        spanish_phrases = reader.texts("spanish", "phrases") if "spanish" in tables else {}
        deciding = reader.measures("deciding")
        if reader.findings:
            raise DocumentError("grammars", reader.findings)
        typed = {form: unit.name for unit in units.values() for form in (*unit.typed, unit.name)}
        odd = sorted((form for form in typed if not form.isalpha()), key=len, reverse=True)
        return cls(
            units=units,
            unit_typed=typed,
            unit_pattern=re.compile(rf"\s?({'|'.join(map(re.escape, odd))})(?!\w)" if odd else r"(?!)"),
            numbers=numbers,
            homophones=homophones,
            typed_scales=scales,
            phrases=_compile(units, commands, forms),
            commands=commands,
            forms=forms,
            letters=letters,
            letter_names=letter_names,
            identifier_carriers=tuple(sorted((tuple(form.split()) for form in carriers), key=len, reverse=True)),
            identifier_behind=tuple(sorted((tuple(form.split()) for form in behind), key=len, reverse=True)),
            identifier_marks=marks,
            unsaid=unsaid,
            roles=_compile_roles(roles),
            wishes=wishes,
            patterns=patterns,
            looks=looks,
            spellings=spellings_of(_texts(tables), short),
            questions=questions,
            reports=reports,
            mending=mending,
            hazards=hazards,
            rolling=rolling,
            done=done,
            done_forms=done_forms,
            spanish=spanish,
            spanish_phrases=spanish_phrases,
            deciding=deciding,
        )

    def unit(self, name: str | None) -> Unit | None:
        """The unit of that name, None for None or a name that is not in the table."""
        return self.units.get(name) if name else None


_DISPLAYS = (Kind.OVER_RANGE, Kind.NOTHING, Kind.UNSTEADY)
_PLACES: dict[Kind, tuple[str, str]] = {
    kind: ("displays" if kind in _DISPLAYS else "speech", kind.value)
    for kind in Kind
    if kind not in (Kind.UNIT, Kind.COMMAND)
}
"""Each kind of phrase: the file of ``grammars/`` and the table in it that list its forms."""
_PICKS = {Kind.FIRST, Kind.SECOND, Kind.THIRD, Kind.NEITHER}


def _texts(tables: Mapping[str, Mapping[str, Any]]) -> Iterator[str]:
    """Every form of the grammars, and every word that is a name in them."""
    for name, parts in tables.items():
        if name in ("respelling", "deciding", "spanish", "done", "hazards", "rolling"):
            continue
        for part in parts.values():
            for key, value in part.items() if isinstance(part, Mapping) else ():
                yield key
                yield from (form for form in value if isinstance(form, str)) if isinstance(value, list) else ()


def _compile_roles(forms: Mapping[str, tuple[str, ...]]) -> RoleTable:
    table: dict[str, dict[tuple[str, ...], list[str]]] = {}
    for role, texts in forms.items():
        for text in texts:
            words = tuple(text.split())
            table.setdefault(words[0], {}).setdefault(words, []).append(role)
    return {
        first: tuple(sorted(((words, tuple(roles)) for words, roles in found.items()), key=lambda row: -len(row[0])))
        for first, found in table.items()
    }


def _compile(
    units: Mapping[str, Unit], commands: Mapping[str, tuple[str, ...]], forms: Mapping[Kind, tuple[str, ...]]
) -> PhraseTable:
    rows: list[tuple[tuple[str, ...], Kind, str]] = []
    for kind, texts in forms.items():
        if kind in _PICKS:
            continue
        rows += [(tuple(text.split()), kind, text) for text in texts]
    for unit in units.values():
        rows += [(tuple(name.split()), Kind.UNIT, unit.name) for name in names_of(unit)]
    for name, texts in commands.items():
        rows += [(tuple(text.split()), Kind.COMMAND, name) for text in texts]
    table: dict[str, dict[tuple[str, ...], tuple[tuple[str, ...], Kind, str]]] = {}
    for row in rows:
        table.setdefault(row[0][0], {}).setdefault(row[0], row)
    return {
        first: tuple(sorted(found.values(), key=lambda row: len(row[0]), reverse=True))
        for first, found in table.items()
    }
