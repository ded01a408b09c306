"""A simulated technician: the input of a session on a simulated unit, and the record that mends the unit."""

from __future__ import annotations

from collections.abc import Collection
from random import Random
from typing import Protocol

from assistant.clock import ScriptedClock
from assistant.diagnosis.conditions import UNSURE
from assistant.diagnosis.fault_model import Cure, Suspect
from assistant.messages import Expectation, Fact, Heard, Hypothesis, InputEnded, Prompt, PromptKind, Source
from assistant.messages.decisions import Decision, FixDone, Record
from assistant.procedure.model import Procedure
from assistant.simulator.cost_breakdown import minutes_of

MOST = 600
"""Answers after which a session that does not end is given up."""
SKIP = "skip"
"""Said at a check that is passed by."""


class Unit(Protocol):
    """A unit that is not there: what is asked of it, and what is done to it."""

    @property
    def procedure(self) -> Procedure:
        """What leads the session."""
        ...

    @property
    def suspects(self) -> tuple[Suspect, ...]:
        """What is wrong, by name and place, in order."""
        ...

    @property
    def cured(self) -> bool:
        """True once nothing is wrong any more."""
        ...

    def answer(self, expectation: Expectation) -> str:
        """What the technician says to a prompt."""
        ...

    def fix(self, cure: Cure) -> bool:
        """Do a fix; True when it cured something."""
        ...


class Technician:
    """Answers each prompt at once with what the unit shows, and lets the time pass that the work would take.

    Args:
        unit: what is worked on.
        clock: moved on by the minutes of what each prompt asks for.
        unsure: facts that are answered 'not sure'.
        skips: chance that a check is passed by.
        seed: for the skips.
    """

    def __init__(
        self,
        unit: Unit,
        clock: ScriptedClock,
        *,
        unsure: Collection[str] = (),
        skips: float = 0.0,
        seed: int = 0,
    ) -> None:
        self._unit, self._clock, self._unsure, self._skips = unit, clock, frozenset(unsure), skips
        self._rng = Random(seed)  # noqa: S311 - a simulation, not a secret
        self.said: list[tuple[Prompt, str]] = []
        """Each prompt and what was answered, in order."""

    def listen(self, expectation: Expectation, seconds: float | None) -> Fact:  # noqa: ARG002 - never silent
        """One answer; the end of the input when the session goes on for ever."""
        if len(self.said) >= MOST:
            return InputEnded(self._clock.now())
        words = self._words(expectation)
        self.said.append((expectation.prompt, words))
        if words != SKIP:
            self._clock.advance(60 * minutes_of(self._unit.procedure, expectation.prompt))
        return Heard(self._clock.now(), (Hypothesis(words),), Source.TYPED)

    def close(self) -> None:
        """Nothing to let go of."""

    def _words(self, expectation: Expectation) -> str:
        prompt = expectation.prompt
        asked = None if prompt.overlaid is not None else prompt.kind
        if asked is PromptKind.FACT and prompt.name in self._unsure:
            return UNSURE
        if asked is PromptKind.CHECK and self._skips and self._rng.random() < self._skips:
            return SKIP
        # what is mended is mended once the record says so, not when it is asked for
        return "next" if asked is PromptKind.FIX else self._unit.answer(expectation)


class Writer(Protocol):
    """What keeps the record of the session."""

    def append(self, record: Record, said: tuple[str, ...], at: float) -> int:
        """Write one entry and return its number."""
        ...


class UnitRecord:
    """Keeps a session's decisions; once an entry stands, what it says was mended is mended on the unit too.

    Args:
        unit: the simulated unit.
        writer: what keeps the record besides; None to keep it in memory alone.
    """

    def __init__(self, unit: Unit, writer: Writer | None = None) -> None:
        self._unit, self._writer, self._count = unit, writer, 0
        self.decisions: list[Decision] = []
        """Every decision of the session, in order."""
        self.fixes: list[tuple[Cure, bool]] = []
        """Fixes done, in order, each with True when it cured something."""

    @property
    def cures(self) -> list[Cure]:
        """Fixes that cured something."""
        return [cure for cure, cured in self.fixes if cured]

    def append(self, record: Record, said: tuple[str, ...], at: float) -> int:
        """Write one entry and do to the unit what was done."""
        self._count = self._count + 1 if self._writer is None else self._writer.append(record, said, at)
        self.decisions += record.decisions
        for decision in record.decisions:
            if isinstance(decision, FixDone):
                cure = Cure(decision.fix, decision.place)
                self.fixes.append((cure, self._unit.fix(cure)))
        return self._count
