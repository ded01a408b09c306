"""What a session works with and never changes: the procedure, the words, the meter and what history says."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Protocol, TypeVar

from assistant.errors import DefectError
from assistant.messages import Choice, FoundBefore, Talk
from assistant.numerals.vocabulary import Vocabulary
from assistant.procedure.model import Access, Caution, Check, Fix, Procedure, ProofStep
from assistant.verdict.uncertainty import Meter


@dataclass(frozen=True, slots=True)
class Context:
    """Everything a step needs beside the state and the fact."""

    procedure: Procedure
    """The procedure that leads the session."""
    vocabulary: Vocabulary
    """What people say, from ``grammars/``."""
    meter: Meter | None = None
    """The meter in hand, None when its accuracy is not known."""
    unit_number: str = ""
    """Number of the truck or trailer; '' when it is to be asked."""
    air_fahrenheit: Decimal | None = None
    """Air temperature in degrees Fahrenheit, kept with every reading; None when not known."""
    weights: Mapping[tuple[str, str | None], float] = field(default_factory=dict)
    """Multipliers of suspects (fault, place) that the unit's history gives."""
    talk: Talk = Talk.USUAL
    """How much is said at the beginning."""
    found_before: FoundBefore | None = None
    """What an earlier session on the unit found and left to be mended."""
    last_facts: Mapping[str, str] = field(default_factory=dict)
    """What the last sessions of the unit named at the start knew of it."""
    last_seen: str = ""
    """When that was, as it is said: ``in March``."""
    own_words: str = ""
    """What is wrong in the person's own words, told before the session began; '' when it was not."""
    asks_words: bool = False
    """True when they were not told before and are asked for at the beginning."""
    told_facts: Mapping[str, str] = field(default_factory=dict)
    """Facts that these words tell, to be asked back in one sentence."""
    simulated: bool = False
    """True where nobody works on a real unit, as in practice: there work takes no time of the session's."""
    asks_history: bool = False
    """True when the history of a unit whose number is told in the session is looked up then."""

    def check(self, name: str) -> Check:
        """The check of that name."""
        return _named(self.procedure.checks, name, "check", self.procedure.name)

    def fix(self, name: str) -> Fix:
        """The fix of that name."""
        return _named(self.procedure.fixes, name, "fix", self.procedure.name)

    def places_named(self, group: str | None = None) -> tuple[Choice, ...]:
        """Places of the procedure, those of one group or all, each with its other names."""
        every = self.procedure.places
        return tuple(Choice(place.name, place.also) for place in every if group is None or place.group == group)

    def access(self, name: str) -> Access:
        """The access of that name."""
        return _named(self.procedure.access, name, "access", self.procedure.name)

    def caution(self, name: str) -> Caution:
        """The caution of that name."""
        return _named(self.procedure.cautions, name, "caution", self.procedure.name)

    def proof_step(self, name: str) -> ProofStep:
        """The step of the proof of that name."""
        return _named(self.procedure.proof.steps, name, "proof step", self.procedure.name)


class _HasName(Protocol):
    """A row of a procedure that goes by its name."""

    @property
    def name(self) -> str:
        """Its name."""


_Row = TypeVar("_Row", bound=_HasName)


def _named(rows: Iterable[_Row], name: str, kind: str, where: str) -> _Row:
    """The row of that name.

    Raises:
        DefectError: there is none; a record may name what its procedure does not have.
    """
    for row in rows:
        if row.name == name:
            return row
    raise DefectError(f"there is no {kind} '{name}' in {where}")
