"""The words of the answer alone, as the reader is given them: no number is joined over other words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from assistant.understanding.clauses.clause import HESITATION, Clause, Role, Spoken
from assistant.understanding.clauses.parts import AS, LEAD, LEFT_OVER, NUMBER, UNIT, Part

_SILENT_ROLES = frozenset(
    {LEAD, "filler", "tail", "asking_tail", "circumstance", "exact", "but", "now", "past", "numbered", "place"}
)
_ZEROS = {
    "zero_resistance": {"resistance"},
    "zero_voltage": {"voltage", "frequency"},
    "zero_current": {"current"},
    "zero_pressure": {"pressure"},
    "zero_any": {"voltage", "current", "pressure"},
}
_MILLI = f"{AS}milli"
"""A mil of a length may be a thousandth of an inch as well as a millimeter."""
_WRITTEN = {"open": "O L", "blank": "blank", "unsteady": "unsteady", "spread": "jumping between",
            "correction": "i mean", "taken_back": "scratch that", "hedge": "about"}  # fmt: skip
"""How the reader is told a role whose words it may not know."""


def put_together(text: str, found: Spoken, dimension: str) -> None:
    """The answer alone, for the reader."""
    letters: list[str] = []
    for clause in found.clauses:
        if clause.role not in (Role.ANSWER, Role.CIRCUMSTANCE):
            continue
        first = True
        for part, joint in _pieces(text, clause, found, dimension):
            if letters:
                _write(found, letters, ", " if first else joint, part.start)
            first = False
            other = _other_words(part)
            _write(found, letters, other or text[part.start : part.end], part.start, exact=not other)
    found.answer = "".join(letters)


def _joins(parts: Sequence[Part], at: int) -> bool:
    """Whether an 'and' stands between number words, so that it may be a part of the number."""
    behind = next((part for part in parts[at + 1 :] if part.text not in HESITATION), None)
    before = parts[at - 1] if at else None
    known = (NUMBER, UNIT)
    return before is not None and behind is not None and before.role in known and behind.role == NUMBER


def _other_words(part: Part) -> str:
    """What the reader is told instead of the words of a part; '' for the words themselves."""
    if part.role.startswith(AS):
        return part.role.removeprefix(AS)
    return _WRITTEN.get(part.role, "")


def _pieces(text: str, clause: Clause, found: Spoken, dimension: str) -> Iterator[tuple[Part, str]]:
    """The parts that the reader is given, each with what stands before it."""
    broken, before = False, Part("", "", 0, 0)
    removed = False
    for at, part in enumerate(clause.parts):
        if part.kind == "A" and part.role == NUMBER and not _joins(clause.parts, at):
            broken = removed = True
            continue
        if part.role in _ZEROS:
            if dimension in _ZEROS[part.role]:
                found.zero = True
            else:
                found.left_over.append(part.text)
        elif (part.role == "open" and dimension != "resistance") or (part.role == _MILLI and dimension == "length"):
            found.left_over.append(part.text)
            found.like_a_unit = found.like_a_unit or part.role == _MILLI
        elif part.role in _SILENT_ROLES:
            broken = broken or not all(word in HESITATION for word in part.text.split())
            removed = True
        elif part.role == LEFT_OVER and part.kind != "UNK":
            found.left_over.append(part.text)
            behind = before.role == NUMBER and not removed
            found.like_a_unit = found.like_a_unit or (behind and part.text.endswith("s"))
            broken = removed = True
        else:
            apart = broken and before.role == NUMBER and part.role == NUMBER
            yield part, ", " if apart else " " if removed or _other_words(part) else text[before.end : part.start]
            broken, removed, before = False, bool(_other_words(part)), part


def _write(found: Spoken, letters: list[str], text: str, start: int, *, exact: bool = False) -> None:
    letters.extend(text)
    found.origin.extend(range(start, start + len(text)) if exact else [start] * len(text))
