"""An utterance in clauses, each with its role: which one answers, and why the others do not.

Roles come before values. A clause that says what should be, what was, what is not, what somebody asks or where else
it was read is no answer, whatever number it holds; the answer is what the other clauses say. The words around the
value are taken out of them, so that the reader sees the answer alone and never joins two numbers over other words.
"""

from __future__ import annotations

from collections.abc import Sequence

from assistant.numerals.tokenizer import NUMBER_KINDS, Item
from assistant.numerals.vocabulary import Kind, Vocabulary
from assistant.understanding.clauses.answer_alone import put_together
from assistant.understanding.clauses.clause import Role, Spoken
from assistant.understanding.clauses.deciding import decide, relative, role_of
from assistant.understanding.clauses.dividing import divided, settled
from assistant.understanding.clauses.parts import MARKERS, Part, parts_of

_WEIGHTY = (NUMBER_KINDS - {"A", "X"}) | {Kind.COMMAND.value, Kind.REPAIR.value}
"""Kinds of items that a longer form must not leave to the reader."""


def spoken(
    text: str, items: Sequence[Item], vocabulary: Vocabulary, *, dimension: str = "", place: str = ""
) -> Spoken:
    """Divide an utterance into clauses and give each its role.

    Args:
        text: as heard or typed.
        items: its items, from the tokenizer.
        vocabulary: the compiled grammars.
        dimension: that of the prompt's unit; '' without one.
        place: where the prompt asks, such as ``left rear``; words of it name no other place.
    """
    parts = settled(text, parts_of(text, items, vocabulary), place, dimension)
    clauses = divided(text, parts)
    for clause in clauses:
        clause.role = role_of(clause)
    plain = all(clause.role in (Role.ANSWER, Role.CIRCUMSTANCE) and not relative(clause) for clause in clauses)
    marked = not plain or any(part.role in MARKERS for part in parts) or _overruled(parts, items)
    found = Spoken(clauses, marked=marked)
    decide(found)
    if not found.refused:
        put_together(text, found, dimension)
    return found


def _overruled(parts: Sequence[Part], items: Sequence[Item]) -> bool:
    """Whether a longer form holds a word that the reader would take for a command, a repair or a digit."""
    kept = {part.start for part in parts if part.kind}
    return any(item.kind in _WEIGHTY and item.start not in kept for item in items)
