"""Gather what is wrong with a procedure, in the order of the file."""

from __future__ import annotations

from collections.abc import Set

from assistant.errors import Finding
from assistant.procedure.check import cautions, limits, logic, names, sentences, uses
from assistant.procedure.check.notes import Notes
from assistant.procedure.lines import Lines
from assistant.procedure.model import Procedure


def find_faults(
    procedure: Procedure, text: str, units: Set[str] | None = None, vocabulary: Set[str] | None = None
) -> list[Finding]:
    """Everything that is wrong with a procedure whose shape is right.

    Args:
        procedure: what the file says.
        text: the file's text, for line numbers.
        units: names of the units in ``grammars/units.toml``; None leaves units unchecked.
        vocabulary: words that the speech model has; None leaves words unchecked.

    Returns:
        Findings in the order of the file, none when the procedure is sound.
    """
    notes = Notes(procedure, Lines(text))
    names.inspect(notes)
    uses.inspect(notes)
    logic.inspect(notes)
    limits.inspect(notes, units)
    sentences.inspect(notes, vocabulary)
    cautions.inspect(notes)
    return notes.sorted()
