"""A simulated technician: the input of a session on a simulated unit, and the record that mends the unit."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass
from random import Random
from typing import Protocol

from assistant.clock import ScriptedClock
from assistant.diagnosis.conditions import UNSURE
from assistant.diagnosis.fault_model import Cure, Suspect
from assistant.messages import Expectation, Fact, Heard, Hypothesis, InputEnded, Overlaid, Prompt, PromptKind, Source
from assistant.messages.decisions import Decision, FixDone, Record
from assistant.procedure.model import Procedure
from assistant.simulator.cost_breakdown import minutes_of
from assistant.simulator.units import done

MOST = 600
"""Answers after which a session that does not end is given up."""
SKIP = "skip"
"""Said at a check that is passed by."""
DONT_KNOW = "don't know"
NO_PART = "waiting for the part"
"""Why a repair is put off."""
CANT_REACH = "can't reach it"
"""Why something is not opened."""
FINDING = "there is oil on the hub"
"""What he finds and notes of his own accord."""


@dataclass(frozen=True, slots=True)
class Habits:
    """What a technician does beside answering; each a chance, 0 to 1."""

    skips: float = 0.0
    """That a check is passed by."""
    unknown: float = 0.0
    """That he does not know what a check shows."""
    refuses: float = 0.0
    """That he will not open something: it cannot be reached."""
    no_part: float = 0.0
    """That a part is not in stock; then it is not for the rest of the session."""
    notes: float = 0.0
    """That he notes something of his own at a check."""


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


Hears = Callable[[str, Expectation, Random], tuple[tuple[Hypothesis, ...], float] | None]
"""What is heard of an answer in noise, best first, and the noise in decibels; None when it is heard as said."""


class Technician:
    """Answers each prompt at once with what the unit shows, and lets the time pass that the work would take.

    Args:
        unit: what is worked on.
        clock: moved on by the minutes of what each prompt asks for.
        unsure: facts that are answered 'not sure'.
        habits: what he does beside answering.
        seed: for his habits, and for what is misheard.
        hears: what is heard of him; None hears every word.
    """

    def __init__(
        self,
        unit: Unit,
        clock: ScriptedClock,
        *,
        unsure: Collection[str] = (),
        habits: Habits = Habits(),
        seed: int = 0,
        hears: Hears | None = None,
    ) -> None:
        self._unit, self._clock, self._unsure, self._habits = unit, clock, frozenset(unsure), habits
        self._missing: dict[str, bool] = {}
        self._reason = ""
        self._rng = Random(seed)  # noqa: S311 - a simulation, not a secret
        self._hears, self._noise = hears, Random(seed + 1)  # noqa: S311 - likewise
        self._wrongly = False
        self.misheard: list[tuple[Prompt, str, str]] = []
        """Each prompt, what was said there and what was heard instead, in order."""
        self.said: list[tuple[Prompt, str]] = []
        """Each prompt and what was answered, in order."""

    def listen(self, expectation: Expectation, seconds: float | None) -> Fact:  # noqa: ARG002 - never silent
        """One answer; the end of the input when the session goes on for ever."""
        if len(self.said) >= MOST:
            return InputEnded(self._clock.now())
        words = self._words(expectation)
        self.said.append((expectation.prompt, words))
        if words not in (SKIP, DONT_KNOW):
            self._clock.advance(60 * minutes_of(self._unit.procedure, expectation.prompt))
        found = None if self._hears is None else self._heard(words, expectation)
        if found is not None:
            return Heard(self._clock.now(), found[0], Source.MICROPHONE, found[1])
        return Heard(self._clock.now(), (Hypothesis(words),), Source.TYPED)

    def _heard(self, words: str, expectation: Expectation) -> tuple[tuple[Hypothesis, ...], float] | None:
        """What is heard instead of these words, if it is. What he is asked back about, he says slowly."""
        if self._hears is None or expectation.prompt.overlaid is not None:
            return None
        if expectation.prompt.kind is PromptKind.FACT:
            return None  # a session on a unit that is not there would look for places that this one lacks
        found = self._hears(words, expectation, self._noise)
        self._wrongly = found is not None
        if found is not None:
            self.misheard.append((expectation.prompt, words, found[0][0].words))
        return found

    def close(self) -> None:
        """Nothing to let go of."""

    def _words(self, expectation: Expectation) -> str:
        prompt = expectation.prompt
        asked = None if prompt.overlaid is not None else prompt.kind
        if prompt.overlaid is Overlaid.SKIP and self._reason:
            reason, self._reason = self._reason, ""
            return reason
        if prompt.overlaid is Overlaid.CONFIRM and self._wrongly:
            self._wrongly = False
            return "no"
        if asked is PromptKind.NOTE:
            return FINDING
        if asked is PromptKind.FACT and prompt.name in self._unsure:
            return UNSURE
        if asked is PromptKind.CHECK and (own := self._at_a_check()):
            return own
        if asked is PromptKind.ACCESS and self._happens(self._habits.refuses):
            self._reason = CANT_REACH
            return SKIP
        if asked is PromptKind.FIX:
            # what is mended is mended once the record says so, not when it is asked for
            return "no" if self._lacks_part(prompt.name) else done(expectation)
        return self._unit.answer(expectation)

    def _at_a_check(self) -> str:
        """What he does at a check instead of answering it; '' for nothing."""
        if self._happens(self._habits.skips):
            return SKIP
        if self._happens(self._habits.unknown):
            return DONT_KNOW
        noted = self.said and self.said[-1][0].kind is PromptKind.NOTE
        return "note" if not noted and self._happens(self._habits.notes) else ""

    def _lacks_part(self, fix: str) -> bool:
        """True for a fix whose part is not in stock, today and for the whole session."""
        part = next(one.part for one in self._unit.procedure.fixes if one.name == fix)
        if part is None:
            return False
        if part not in self._missing:
            self._missing[part] = self._happens(self._habits.no_part)
        self._reason = NO_PART if self._missing[part] else ""
        return self._missing[part]

    def _happens(self, chance: float) -> bool:
        return chance > 0 and self._rng.random() < chance


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
