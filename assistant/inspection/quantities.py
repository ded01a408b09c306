"""Units that do not fit: what is asked for, what the dial is set to, and what the reading is taken in."""

from __future__ import annotations

import re

from assistant.inspection.notes import Notes, Path
from assistant.numerals.units import Unit
from assistant.numerals.vocabulary import Vocabulary
from assistant.procedure.model import Check, Question


def inspect(notes: Notes, vocabulary: Vocabulary | None) -> None:
    """Note readings whose unit is not of the quantity that their words ask for."""
    if vocabulary is None:
        return
    for path, where, row in notes.rows():
        if not isinstance(row, Check | Question) or row.unit not in vocabulary.units:
            continue
        unit = vocabulary.units[row.unit]
        _fits(notes, (*path, "ask"), f"{where} / ask", row.ask, unit, vocabulary)
        if isinstance(row, Check) and row.leads is not None:
            _fits(notes, (*path, "leads"), f"{where} / leads", row.leads.dial, unit, vocabulary)


def _fits(notes: Notes, path: Path, where: str, text: str, unit: Unit, vocabulary: Vocabulary) -> None:
    named = {word: other for other in vocabulary.units.values() for word in (other.singular, other.plural)}
    words = set(re.findall(r"[a-z]+", text.lower()))
    found = {word: other.dimension for word, other in named.items() if word.lower() in words}
    if found and unit.dimension not in found.values():
        name = min(found)
        notes.add(
            path, where, f"This speaks of {name}, and the reading is taken in {unit.plural}. Change one of them."
        )
