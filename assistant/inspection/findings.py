"""Gather what is wrong with a procedure, in the order of the file."""

from __future__ import annotations

from collections.abc import Set

from assistant.errors import Finding
from assistant.inspection import answers, cautions, limits, logic, names, quantities, sentences, uses
from assistant.inspection.notes import Notes
from assistant.numerals.vocabulary import Vocabulary
from assistant.procedure.lines import Lines
from assistant.procedure.model import Procedure


def find_faults(
    procedure: Procedure,
    text: str,
    units: Set[str] | None = None,
    model_words: Set[str] | None = None,
    vocabulary: Vocabulary | None = None,
) -> list[Finding]:
    """Everything that is wrong with a procedure whose shape is right.

    Args:
        procedure: what the file says.
        text: the file's text, for line numbers.
        units: names of the units in ``grammars/units.toml``; None leaves units unchecked.
        model_words: words that the speech model has; None leaves words unchecked.
        vocabulary: what people say at every prompt; None leaves commands and what a unit is called unchecked.

    Returns:
        Findings in the order of the file, none when the procedure is sound.
    """
    notes = Notes(procedure, Lines(text))
    names.inspect(notes)
    uses.inspect(notes)
    logic.inspect(notes)
    limits.inspect(notes, units)
    quantities.inspect(notes, vocabulary)
    sentences.inspect(notes)
    answers.inspect(notes, model_words, vocabulary)
    cautions.inspect(notes)
    return notes.sorted()
