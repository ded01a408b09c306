"""An utterance in clauses, each with its role: which one answers, and why the others do not.

Roles come before values. A clause that says what should be, what was, what is not, what somebody asks or where else
it was read is no answer, whatever number it holds; the answer is what the other clauses say. The words around the
value are taken out of them, so that the reader sees the answer alone and never joins two numbers over other words.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from itertools import pairwise

from assistant.numerals.tokenizer import NUMBER_KINDS, Item
from assistant.numerals.vocabulary import Kind, Vocabulary
from assistant.understanding.roles import AS, LEAD, LEFT_OVER, MARKERS, NUMBER, PAUSE, SHOWN, UNIT, Part, parts_of

HESITATION = frozenset({"uh", "um", "er", "erm", "ah", "hm", "hmm", "mm", "eh"})
_WEIGHTY = (NUMBER_KINDS - {"A", "X"}) | {Kind.COMMAND.value, Kind.REPAIR.value}
"""Kinds of items that a longer form must not leave to the reader."""
_DIVIDING = MARKERS - {"moving", "vague", "rated", "numbered", "taken_back", "place", "other_place"}
"""Roles that begin a clause of their own behind a value."""
_RELATIVE = frozenset({"off", "up", "down", "after", "since", "until", "out", "low", "high", "within"})
"""Words that make the number behind them a difference, or a time."""
_COMPARED = frozenset(
    {
        "low",
        "high",
        "short",
        "shy",
        "over",
        "under",
        "more",
        "less",
        "higher",
        "lower",
        "too low",
        "too high",
        "down",
        "up",
        "light",
    }
)
"""Words that make the number and unit before them a difference."""
_STATEMENT = frozenset({
    "it", "it's", "it'd", "i", "i'm", "i've", "we", "we're", "we've", "he", "he's", "she", "she's", "that's",
    "there's", "this", "the", "here",
})  # fmt: skip
"""Words with which a new statement begins behind a value."""
_SILENT_ROLES = frozenset(
    {LEAD, "filler", "tail", "asking_tail", "circumstance", "exact", "but", "now", "past", "numbered", "place"}
)
_STOPS = re.compile(r"[?!;:…—]|\.(?!\d)")
_ZEROS = {
    "zero_resistance": {"resistance"},
    "zero_voltage": {"voltage", "frequency"},
    "zero_current": {"current"},
    "zero_pressure": {"pressure"},
    "zero_any": {"voltage", "current", "pressure"},
}
_WRITTEN = {"open": "O L", "blank": "blank", "unsteady": "unsteady", "spread": "jumping between",
            "correction": "i mean", "taken_back": "scratch that", "hedge": "about"}  # fmt: skip
"""How the reader is told a role whose words it may not know."""


class Role(StrEnum):
    """What a clause does."""

    ANSWER = "answer"
    CIRCUMSTANCE = "circumstance"
    """No value in it: how or where it was read, or nothing at all."""
    EXPECTATION = "expectation"
    QUESTION = "question"
    NEGATION = "negation"
    EARLIER = "earlier"
    OTHER_PLACE = "other_place"
    TALK = "talk"
    """To somebody else, or about something else."""
    UNREAL = "unreal"


@dataclass(slots=True)
class Clause:
    """Some parts of an utterance that belong together."""

    parts: list[Part] = field(default_factory=list)
    asked: bool = False
    """True when it ends with a question mark."""
    tight: bool = False
    """True when nothing but words divides it from the clause before: no comma, no 'but'."""
    role: Role = Role.ANSWER

    @property
    def valued(self) -> bool:
        """Whether it holds a number, or words for what the meter shows."""
        return any(_valued(part) for part in self.parts)

    def has(self, *roles: str) -> bool:
        """Whether a part of it has one of these roles."""
        return any(part.role in roles for part in self.parts)


@dataclass(slots=True)
class Spoken:
    """An utterance with its clauses, and the answer in it alone."""

    clauses: list[Clause]
    refused: str = ""
    """Why nothing in it is an answer: ``question``, ``expectation``, ``earlier``, ``negation``, ``other_place``,
    ``talk``, ``unreal``, ``moving``, ``vague``; '' when something may be."""
    doubt: str = ""
    """Why a yes is wanted before the answer counts; '' when every word is explained."""
    answer: str = ""
    """The words of the answer alone, as the reader is given them."""
    origin: list[int] = field(default_factory=list)
    """Offset in the utterance of each character of ``answer``."""
    left_over: list[str] = field(default_factory=list)
    """Words without a role."""
    like_a_unit: bool = False
    """True when a word without a role stands where a unit would: 'seven bananas'."""
    zero: bool = False
    """True when words say that there is none of what is measured."""
    marked: bool = False
    """True when a word of the utterance changes what a value counts for."""


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
    parts = parts_of(text, items, vocabulary)
    parts = [_named_here(part, place) for part in parts]
    _number_names(parts)
    clauses = _clauses(text, parts)
    for clause in clauses:
        clause.role = _role(clause)
    plain = all(clause.role in (Role.ANSWER, Role.CIRCUMSTANCE) and not _relative(clause) for clause in clauses)
    found = Spoken(
        clauses, marked=not plain or any(part.role in MARKERS for part in parts) or _overruled(parts, items)
    )
    _decide(found)
    if not found.refused:
        _put_together(text, found, dimension)
    return found


def _overruled(parts: Sequence[Part], items: Sequence[Item]) -> bool:
    """Whether a longer form holds a word that the reader would take for a command, a repair or a digit."""
    kept = {part.start for part in parts if part.kind}
    return any(item.kind in _WEIGHTY and item.start not in kept for item in items)


def _named_here(part: Part, place: str) -> Part:
    """A place that the prompt itself names is no other place."""
    if part.role != "place" or not place:
        return part
    return part._replace(role="circumstance") if set(part.text.split()) <= {*place.split(), "the", "side"} else part


def _number_names(parts: list[Part]) -> None:
    """'pin seven': the number names the part and is no reading."""
    for at, part in enumerate(parts[:-1]):
        if part.role == "numbered" and parts[at + 1].role == NUMBER and parts[at + 1].kind in "DTYG":
            parts[at + 1] = parts[at + 1]._replace(role="numbered")
        elif part.role == "numbered":
            parts[at] = part._replace(role="circumstance")


def _clauses(text: str, parts: Sequence[Part]) -> list[Clause]:
    """Divided at pauses, at 'but' and its like, and where a new statement or another role begins behind a value."""
    found = [Clause()]
    for at, part in enumerate(parts):
        gap = text[parts[at - 1].end : part.start] if at else text[: part.start]
        if _STOPS.search(gap) and found[-1].parts:
            found[-1].asked = "?" in gap
            found.append(Clause())
        clause = found[-1]
        if part.role == PAUSE and not _goes_on(parts, at):
            found.append(Clause())
            continue
        if part.role == "but" and clause.parts and _divides(parts, at):
            found.append(Clause([part]))
            continue
        if clause.valued and part.role in _DIVIDING:
            found.append(Clause([part], tight=True))
            continue
        if clause.valued and part.role in (LEAD, "now", "place", "other_place") and _states(part, parts, at):
            found.append(Clause([part], tight=True))
            continue
        clause.parts.append(part)
    if parts and "?" in text[parts[-1].end :]:
        found[-1].asked = True
    return [clause for clause in found if clause.parts]


def _goes_on(parts: Sequence[Part], at: int) -> bool:
    """Whether a comma or a pause stands inside a number: 'one thousand, two hundred'."""
    before = parts[at - 1] if at else None
    after = parts[at + 1] if at + 1 < len(parts) else None
    return (
        before is not None
        and after is not None
        and before.role == NUMBER
        and after.role == NUMBER
        and (before.kind in "KPASM" or after.kind == "P")
    )


def _divides(parts: Sequence[Part], at: int) -> bool:
    """'And', 'or' and 'then' divide only where something is said behind them."""
    return any(part.role not in ("filler", PAUSE) for part in parts[at + 1 :])


def _states(part: Part, parts: Sequence[Part], at: int) -> bool:
    """Whether a statement with a value of its own begins here, behind a value."""
    if part.role == LEAD and part.text.split()[0] not in _STATEMENT:
        return False
    return any(_valued(later) for later in parts[at + 1 :])


def _valued(part: Part) -> bool:
    return (part.role == NUMBER and part.kind not in "XAS") or part.role in SHOWN


def _role(clause: Clause) -> Role:
    """The role of one clause by the strongest marker in it."""
    if clause.has("talk", "elsewhere"):
        return Role.TALK
    if (clause.asked and not _only_manner(clause)) or clause.has("question") or _asks(clause):
        return Role.QUESTION
    if clause.has("unreal"):
        return Role.UNREAL
    if clause.has("negation"):
        return Role.NEGATION
    if clause.has("expectation", "rated"):
        return Role.EXPECTATION
    if clause.has("other_place") or _elsewhere(clause):
        return Role.OTHER_PLACE
    if clause.has("earlier") and not clause.has("now"):
        return Role.EARLIER
    return Role.ANSWER if clause.valued else Role.CIRCUMSTANCE


def _only_manner(clause: Clause) -> bool:
    """'got that?', 'okay?': nothing about the reading is asked."""
    return all(part.role == "filler" for part in clause.parts)


def _elsewhere(clause: Clause) -> bool:
    """A place that the prompt does not name; 'right' at an end says 'isn't it' or 'well then'."""
    places = [at for at, part in enumerate(clause.parts) if part.role == "place"]
    if len(clause.parts) > 1 and places == [len(clause.parts) - 1] and clause.parts[-1].text in ("right", "left"):
        return False  # 'five millimeters left': asked about
    return bool(places) and (clause.valued or len(clause.parts) > len(places))


def _asks(clause: Clause) -> bool:
    """'is twelve hundred good': a question without a question word."""
    parts = [part for part in clause.parts if part.role != "filler" or "asking_tail" in part.roles]
    return (
        len(parts) > 2
        and parts[0].text in ("is", "are", "would", "was", "will", "can", "does")
        and "asking_tail" in parts[-1].roles
    )


def _decide(found: Spoken) -> None:
    """Which clauses answer, or why none does."""
    clauses = found.clauses
    for role in (Role.TALK, Role.QUESTION, Role.UNREAL):
        if any(clause.role is role for clause in clauses):
            found.refused = role.value
            return
    for before, clause in pairwise(clauses):
        no_answer = clause.role not in (Role.ANSWER, Role.CIRCUMSTANCE)
        if no_answer and not clause.valued and before.role is Role.ANSWER:
            if clause.tight:
                before.role = clause.role
            else:
                found.doubt = clause.role.value
    _by_time(clauses)
    answers = [clause for clause in clauses if clause.role is Role.ANSWER]
    others = [clause for clause in clauses if clause.role not in (Role.ANSWER, Role.CIRCUMSTANCE)]
    if not answers:
        _without_answer(found, [clause for clause in others if clause.valued])
        return
    found.refused = _why_not(clauses, answers, others)
    if not found.refused:
        found.doubt = _why_doubted(clauses, others) or found.doubt


def _why_not(clauses: Sequence[Clause], answers: Sequence[Clause], others: Sequence[Clause]) -> str:
    """Why the clauses that answer are no answer after all; '' when they are."""
    if any(clause.role is Role.OTHER_PLACE and clause.valued for clause in others):
        return Role.OTHER_PLACE.value
    if any(clause.has("moving") for clause in clauses):
        return "moving"
    return "vague" if any(clause.has("vague") or _relative(clause) for clause in answers) else ""


def _why_doubted(clauses: Sequence[Clause], others: Sequence[Clause]) -> str:
    """Why a yes is wanted before the answer counts; '' when none is."""
    if any(clause.role is Role.NEGATION and clause.valued for clause in others):
        return Role.NEGATION.value
    if any(clause.has("open", Kind.OVER_RANGE) for clause in clauses) and any(_shut(clause) for clause in clauses):
        return "contradiction"
    return "place" if any(clause.has("numbered", "place") for clause in clauses) else ""


def _shut(clause: Clause) -> bool:
    return any(part.text in ("closed", "shut") for part in clause.parts)


def _relative(clause: Clause) -> bool:
    """'up two hundred', 'two volts low': how far it is from something, not what it is."""
    for before, part in pairwise(clause.parts):
        if part.role == NUMBER and before.text in _RELATIVE:
            return True
        if before.role == UNIT and part.text in _COMPARED:
            return True
    return False


def _by_time(clauses: Sequence[Clause]) -> None:
    """'twelve, now it's nine': what stands before the 'now' was earlier."""
    valued = [clause for clause in clauses if clause.role is Role.ANSWER]
    if len(valued) > 1 and any(clause.has("now") for clause in valued):
        for clause in valued:
            if not clause.has("now"):
                clause.role = Role.EARLIER


def _without_answer(found: Spoken, valued: Sequence[Clause]) -> None:
    """Only clauses that are no answer hold a value: the one that was perhaps read just now is asked about."""
    if not valued:
        return
    last = valued[-1]
    marks = [part for part in last.parts if part.role in MARKERS]
    past = last.role is Role.EARLIER and len(valued) == 1 and all("past" in part.roles for part in marks)
    if past:
        last.role = Role.ANSWER
        found.doubt = Role.EARLIER.value
    else:
        found.refused = "moving" if last.has("moving") else last.role.value


def _put_together(text: str, found: Spoken, dimension: str) -> None:
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
        elif part.role == "open" and dimension != "resistance":
            found.left_over.append(part.text)
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
