"""What an utterance is divided into: clauses, each with its role, and what the division comes to."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from assistant.understanding.clauses.parts import NUMBER, SHOWN, Part

HESITATION = frozenset({"uh", "um", "er", "erm", "ah", "hm", "hmm", "mm", "eh"})


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
        return any(shows(part) for part in self.parts)

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


def shows(part: Part) -> bool:
    """Whether a part is a number, or words for what the meter shows."""
    return (part.role == NUMBER and part.kind not in "XAS") or part.role in SHOWN
