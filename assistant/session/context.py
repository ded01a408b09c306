"""What a session works with and never changes: the procedure, the words, the meter and what history says."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from assistant.errors import DefectError
from assistant.numerals.vocabulary import Vocabulary
from assistant.procedure.model import Check, Fix, Procedure, ProofStep
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
    asks_history: bool = False
    """True when the history of a unit whose number is told in the session is looked up then."""

    def check(self, name: str) -> Check:
        """The check of that name."""
        for check in self.procedure.checks:
            if check.name == name:
                return check
        raise DefectError(f"there is no check '{name}' in {self.procedure.name}")

    def fix(self, name: str) -> Fix:
        """The fix of that name."""
        for fix in self.procedure.fixes:
            if fix.name == name:
                return fix
        raise DefectError(f"there is no fix '{name}' in {self.procedure.name}")

    def proof_step(self, name: str) -> ProofStep:
        """The step of the proof of that name."""
        for step in self.procedure.proof.steps:
            if step.name == name:
                return step
        raise DefectError(f"there is no step '{name}' in the proof of {self.procedure.name}")
