"""A unit with hidden faults that answers a session's prompts in a technician's words and numbers."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from fractions import Fraction
from math import prod
from random import Random

from assistant.diagnosis.conditions import UNSURE
from assistant.diagnosis.fault_model import Cure, FaultModel, Suspect, Task, fault_model
from assistant.diagnosis.likelihood import counted_as
from assistant.diagnosis.limits import limits_of
from assistant.errors import DefectError
from assistant.messages import Expectation, Overlaid, Prompt, PromptKind
from assistant.procedure.model import Check, LimitSet, Procedure
from assistant.simulator.units import done, draw_ends, draw_outcome, draw_slip, draw_value, with_meter


class SimulatedUnit:
    """A truck or trailer that is not there: what it shows follows from its faults, and fixes change it.

    A check that has no drawn answer yet is answered once and then again the same, until a fix changes the unit; a
    repeatable check is drawn anew each time.
    """

    def __init__(
        self,
        procedure: Procedure,
        facts: Mapping[str, str],
        faults: Iterable[Suspect],
        *,
        seed: int = 0,
        meter_error: float = 0.0,
        slip: float = 0.0,
        odd: Mapping[Task, str] | None = None,
    ) -> None:
        """A unit with these facts and faults.

        Args:
            procedure: what will be asked.
            facts: answers to its facts; 'not sure' and missing ones are answered so.
            faults: what is wrong, by fault and place.
            seed: the same seed gives the same answers.
            meter_error: readings are off by up to this share.
            slip: chance that a check is answered wrongly.
            odd: checks that show this outcome whatever is wrong; a survey names no faults that could.

        Raises:
            DefectError: a fault cannot be real on a unit with these facts.
        """
        self.procedure = procedure
        self.facts = dict(facts)
        self.faults = set(faults)
        self.fault_model: FaultModel = fault_model(procedure, self.facts)
        for fault in self.faults:
            if fault not in self.fault_model.suspect_index:
                raise DefectError(f"'{fault.fault}' at {fault.place} cannot be real on a unit with these facts.")
        self.meter_error = meter_error
        self.slip = slip
        self.odd = dict(odd or {})
        self.fixes_done: list[Cure] = []
        self.useful: list[Cure] = []
        """Fixes that cured something, in order."""
        self.asked: list[Prompt] = []
        self._misses: dict[int, bool] = {}
        """Fixes done to whether the proof after them misses what is still wrong."""
        self._rng = Random(seed)  # noqa: S311 - a simulation, not a secret
        self._answers: dict[Task, str] = {}
        self._shown: dict[Task, str] = {}
        self._last = ""

    @property
    def suspects(self) -> tuple[Suspect, ...]:
        """What is wrong now, in order."""
        return tuple(sorted(self.faults, key=lambda suspect: (suspect.fault, suspect.place or "")))

    @property
    def cured(self) -> bool:
        """True once nothing is wrong any more."""
        return not self.faults

    def answer(self, expectation: Expectation) -> str:
        """What the technician says to this prompt.

        Raises:
            DefectError: the prompt is not one that a session asks.
        """
        prompt = expectation.prompt
        self.asked.append(prompt)
        if prompt.overlaid is not None:
            overlaid = {Overlaid.CONFIRM: "yes", Overlaid.CHOOSE: self._last, Overlaid.SKIP: "not on this unit"}
            return overlaid[prompt.overlaid]
        match prompt.kind:
            case PromptKind.CAUTION:
                return "yes"
            case PromptKind.OFFER:
                return "no"
            case PromptKind.FACT:
                return self._fact(prompt.name)
            case PromptKind.CHECK:
                self._last = self._check(Task(prompt.name, prompt.place))
                return self._last
            case PromptKind.FIX:
                self.fix(Cure(prompt.name, prompt.place))
                return done(expectation)
            case PromptKind.PROOF:
                return self._proof(prompt.name)
            case PromptKind.READY | PromptKind.ACCESS | PromptKind.CLOSE:
                return "next"
        raise DefectError(f"A simulated unit has no answer to the prompt '{expectation.prompt}'.")

    def has(self, task: Task) -> bool:
        """False for a check that a unit with these facts has no place for, asked because a fact was not sure."""
        return task in self.fault_model.task_index

    def outcome(self, task: Task) -> str:
        """What a check that this unit has shows now, with the slip of the hand.

        What is really there stays until a fix, but for a repeatable check (an intermittent); each look slips anew.
        """
        if task in self.odd:
            return self.odd[task]
        table = self.fault_model.tables[self.fault_model.task_index[task]]
        healthy = self.fault_model.checks[task.check].healthy
        if healthy and not self.faults:
            return draw_slip(table.outcomes, healthy[0], self.slip, self._rng)
        shown = table.shown_by([self.fault_model.suspect_index[fault] for fault in sorted(self.faults)])
        if task not in self._shown or self.fault_model.checks[task.check].repeatable:
            self._shown[task] = draw_outcome(table.outcomes, shown, 0.0, self._rng)
        return draw_slip(table.outcomes, self._shown[task], self.slip, self._rng)

    def fix(self, cure: Cure) -> bool:
        """Do a fix; True when it cured something."""
        self.fixes_done.append(cure)
        number = self.fault_model.cure_index.get(cure)
        cured = {
            fault
            for fault in self.faults
            if number is not None and self.fault_model.cured_by[number, self.fault_model.suspect_index[fault]]
        }
        self.faults -= cured
        if cured:
            self.useful.append(cure)
        self._answers.clear()
        self._shown.clear()
        return bool(cured)

    def _fact(self, name: str) -> str:
        question = next((question for question in self.procedure.facts if question.name == name), None)
        value = self.facts.get(name, UNSURE)
        if value != UNSURE:
            return value
        if question is None or question.kind == "identifier":
            return "4019"
        if question.unsure:
            return UNSURE
        return question.choices[0].name if question.choices else UNSURE

    def _check(self, task: Task) -> str:
        check = next(check for check in self.procedure.checks if check.name == task.check)
        if not self.has(task):
            return "skip"
        if check.repeatable or self.slip or task not in self._answers:
            self._answers[task] = self._words(task)
        return self._answers[task]

    def _words(self, task: Task) -> str:
        check = next(check for check in self.procedure.checks if check.name == task.check)
        outcome = self.outcome(task)
        if check.kind != "reading":
            return outcome
        if outcome == "over_range" or (outcome == "good" and counted_as(check, "over_range") == "good"):
            return "over range"
        if outcome == "unsteady":
            ends = draw_ends(self._limited(check, task.place), self._rng)
            return f"jumping between {plain(ends[0])} and {plain(ends[1])}"
        limited = self._limited(check, task.place)
        if outcome == "good" and (self.fixes_done or not self.faults):
            limited = _healthy(limited)
        drawn = draw_value(limited, outcome, self._rng)
        if check.unit == "in":
            return sixteenths(drawn)
        return plain(with_meter(drawn, self.meter_error, self._rng, check.unit))

    def _limited(self, check: Check, place: str | None) -> Check:
        """The check with the limits that hold on this unit, where they depend on its facts or on the place."""
        if not check.limits_when:
            return check
        now = limits_of(check, self.facts, place)
        low, high = now.low, now.high
        limits = LimitSet(low=low, high=high, source=now.source, over_range=check.limits and check.limits.over_range)
        typical = check.typical
        if typical is not None:
            bottom, top = max(typical[0], low or typical[0]), min(typical[1], high or typical[1])
            typical = (bottom, top) if bottom < top else None
        return check.model_copy(update={"limits": limits, "typical": typical})

    def _proof(self, name: str) -> str:
        step = next(step for step in self.procedure.proof.steps if step.name == name)
        if step.kind == "do" or not step.choices:
            return "next"
        passes = self.cured or self._missed_by_proof()
        wanted = [option.name for option in step.choices if (option.name in step.passes) == passes]
        return wanted[0] if wanted else step.choices[0].name

    def _missed_by_proof(self) -> bool:
        """Whether the proof passes although something is still wrong: drawn once after each fix."""
        misses = self.procedure.proof.misses
        chance = prod(misses.get(fault.fault, 0.0) for fault in self.faults)
        done = len(self.fixes_done)
        if done not in self._misses:
            self._misses[done] = chance > 0 and self._rng.random() < chance
        return self._misses[done]


def _healthy(check: Check) -> Check:
    """The check with what is usual for limits: what was renewed, or has nothing wrong, reads as a healthy one."""
    limits = check.limits
    if limits is None or limits.usual is None:
        return check
    low, high = limits.usual
    return check.model_copy(update={"limits": limits.model_copy(update={"low": low, "high": high})})


def sixteenths(value: Decimal) -> str:
    """Inches as a rule in sixteenths reads: ``1 3/16``; any other value as a decimal."""
    whole, part = int(value // 1), Fraction(value % 1)
    if value < 0 or 16 % part.denominator:
        return plain(value)
    if not part:
        return str(whole)
    return f"{whole} {part}" if whole else str(part)


def plain(value: Decimal) -> str:
    """A value as a unit shows it, without trailing zeros."""
    text = format(value.normalize() if value == value.to_integral_value() else value, "f")
    return text if "." not in text else text.rstrip("0").rstrip(".") or "0"
