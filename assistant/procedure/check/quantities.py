"""Units that do not fit: what is asked for, what the dial is set to, and what the reading is taken in."""

from __future__ import annotations

import re

from assistant.procedure.check.notes import Notes, Path
from assistant.procedure.model import Check, Question
from assistant.words.lexicon import Lexicon
from assistant.words.units import Unit


def inspect(notes: Notes, lexicon: Lexicon | None) -> None:
    """Note readings whose unit is not of the quantity that their words ask for."""
    if lexicon is None:
        return
    for path, where, row in notes.rows():
        if not isinstance(row, Check | Question) or row.unit not in lexicon.units:
            continue
        unit = lexicon.units[row.unit]
        _fits(notes, (*path, "ask"), f"{where} / ask", row.ask, unit, lexicon)
        if isinstance(row, Check) and row.leads is not None:
            _fits(notes, (*path, "leads"), f"{where} / leads", row.leads.dial, unit, lexicon)


def _fits(notes: Notes, path: Path, where: str, text: str, unit: Unit, lexicon: Lexicon) -> None:
    named = {word: other for other in lexicon.units.values() for word in (other.singular, other.plural)}
    words = set(re.findall(r"[a-z]+", text.lower()))
    found = {word: other.dimension for word, other in named.items() if word.lower() in words}
    if found and unit.dimension not in found.values():
        name = min(found)
        notes.add(
            path, where, f"This speaks of {name}, and the reading is taken in {unit.plural}. Change one of them."
        )
