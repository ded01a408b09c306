"""Clauses to roles: which one answers, and why the others do not."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from assistant.numerals.vocabulary import Kind
from assistant.understanding.clauses.clause import Clause, Role, Spoken
from assistant.understanding.clauses.parts import LEAD, LEFT_OVER, MARKERS, NUMBER, UNIT

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


def role_of(clause: Clause) -> Role:
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


_MOOD = frozenset({"or what", "or not", "or no"})


def _asks(clause: Clause) -> bool:
    """'is twelve hundred good', 'four hundred good or bad': a question without a question word."""
    if any("asking_tail" in part.roles and " or " in part.text and part.text not in _MOOD for part in clause.parts):
        return True
    parts = [part for part in clause.parts if part.role != "filler" or "asking_tail" in part.roles]
    return (
        len(parts) > 2
        and parts[0].text in ("is", "are", "would", "was", "will", "can", "does")
        and "asking_tail" in parts[-1].roles
    )


def decide(found: Spoken) -> None:
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
    _by_exactness(found)
    answers = [clause for clause in clauses if clause.role is Role.ANSWER]
    others = [clause for clause in clauses if clause.role not in (Role.ANSWER, Role.CIRCUMSTANCE)]
    if not answers:
        _without_answer(found, [clause for clause in others if clause.valued])
        return
    found.refused = _why_not(clauses, answers, others)
    if not found.refused:
        found.doubt = _why_doubted(clauses, others) or found.doubt


_THIS_ONE = frozenset({"this one", "this one's", "this side", "this", "mine", "here"})
"""Words that tell the reading that is asked for from one told beside it."""


def _why_not(clauses: Sequence[Clause], answers: Sequence[Clause], others: Sequence[Clause]) -> str:
    """Why the clauses that answer are no answer after all; '' when they are."""
    here = any(part.text in _THIS_ONE for clause in answers for part in clause.parts)
    if any(clause.role is Role.OTHER_PLACE and clause.valued for clause in others) and not here:
        return Role.OTHER_PLACE.value
    if any(clause.has("moving") for clause in clauses):
        return "moving"
    return "vague" if any(clause.has("vague") or relative(clause) for clause in answers) else ""


def _why_doubted(clauses: Sequence[Clause], others: Sequence[Clause]) -> str:
    """Why a yes is wanted before the answer counts; '' when none is."""
    for role in (Role.NEGATION, Role.OTHER_PLACE):
        if any(clause.role is role and clause.valued for clause in others):
            return role.value
    if any(clause.has("open", Kind.OVER_RANGE) for clause in clauses) and any(_shut(clause) for clause in clauses):
        return "contradiction"
    return "place" if any(clause.has("numbered", "place") for clause in clauses) else ""


def _shut(clause: Clause) -> bool:
    return any(part.text in ("closed", "shut") for part in clause.parts)


def relative(clause: Clause) -> bool:
    """'up two hundred', 'two volts low': how far it is from something, not what it is."""
    for at, (before, part) in enumerate(pairwise(clause.parts)):
        if part.role == NUMBER and before.text in _RELATIVE and not _of_a_verb(clause, at):
            return True
        if before.role == UNIT and part.text in _COMPARED:
            return True
    return False


_WRITES = frozenset({"chalk", "jot", "mark", "put", "write", "note", "log", "pencil", "take", "chalking", "jotting"})
_BEING = frozenset({
    "is", "it's", "she's", "he's", "that's", "are", "was", "were", "be", "by", "about", "way", "it", "moved", "off",
    "she", "he", "still", "just", "maybe", "already", "now", "i'm", "we're", "they're", "a", "went", "goes",
})  # fmt: skip


def _of_a_verb(clause: Clause, at: int) -> bool:
    """'Jot down twelve oh two', 'she pokes out two and an eighth': the word belongs to what is done."""
    word = clause.parts[at - 1].text.split()[-1] if at else ""
    if clause.parts[at].text == "out":
        return bool(word) and word not in _BEING and clause.parts[at - 1].role in (LEAD, LEFT_OVER)
    return clause.parts[at].text in ("up", "down") and word in _WRITES


def _by_time(clauses: Sequence[Clause]) -> None:
    """'twelve, now it's nine': what stands before the 'now' was earlier."""
    valued = [clause for clause in clauses if clause.role is Role.ANSWER]
    if len(valued) > 1 and any(clause.has("now") for clause in valued):
        for clause in valued:
            if not clause.has("now"):
                clause.role = Role.EARLIER


def _by_exactness(found: Spoken) -> None:
    """'Almost five, four nine eight': the exact figure behind the rounded one is the reading; a yes is wanted."""
    valued = [clause for clause in found.clauses if clause.role is Role.ANSWER and clause.valued]
    if len(valued) != 2 or valued[1].tight:
        return
    rounded, exact = valued
    hedges = ("hedge", Kind.APPROXIMATE.value)
    if rounded.has(*hedges) and not exact.has(*hedges, "correction", "place", "but", Kind.REPAIR.value):
        rounded.role = Role.EARLIER
        found.doubt, found.marked = "two_values", True


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
