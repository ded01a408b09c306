"""Where the minutes of a session went, from its decisions and the minutes that the procedure states.

Working minutes are those of the procedure: openings, checks, repairs and the steps of the proof, each time they were
done. How long a person took to type or to speak is not in them.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from enum import StrEnum

import numpy as np

from assistant.diagnosis.fault_model import Cure, Suspect, fault_model
from assistant.messages import Prompt, PromptKind, check_prompt
from assistant.messages.decisions import AccessOpened, Decision, FixDone, Observed, ProofStepDone
from assistant.phrasing.wording import at_place
from assistant.procedure.model import Procedure
from assistant.simulator.unit import plain


class Work(StrEnum):
    """Kinds of work, in the order in which they are listed."""

    OPENINGS = "getting there"
    CHECKS = "checks"
    AGAIN = "measuring again"
    REPAIRS = "the repair"
    IDLE = "repairs that cured nothing"
    PROOF = "proof of cure"


@dataclass(frozen=True, slots=True)
class Item:
    """One piece of work that was done."""

    kind: Work
    title: str
    """What it was, with its place."""
    minutes: float
    """Working minutes that the procedure gives it."""


@dataclass(frozen=True, slots=True)
class CostBreakdown:
    """Everything that was done, in order."""

    items: tuple[Item, ...]

    @property
    def minutes(self) -> float:
        """Working minutes in all."""
        return sum(item.minutes for item in self.items)

    def of(self, kind: Work) -> float:
        """Working minutes of one kind."""
        return sum(item.minutes for item in self.items if item.kind is kind)

    def count(self, kind: Work) -> int:
        """How many pieces of work of one kind."""
        return sum(item.kind is kind for item in self.items)


def cost_breakdown(procedure: Procedure, decisions: Iterable[Decision], cures: Sequence[Cure]) -> CostBreakdown:
    """Where the minutes of a session went.

    Args:
        procedure: what led it.
        decisions: its decisions, in order.
        cures: fixes that cured something; any other fix is named as one that cured nothing.
    """
    checks = {check.name: check for check in procedure.checks}
    fixes = {fix.name: fix for fix in procedure.fixes}
    steps = {step.name: step for step in procedure.proof.steps}
    items, left = list[Item](), list(cures)
    for decision in decisions:
        match decision:
            case AccessOpened():
                items.append(Item(Work.OPENINGS, at_place(decision.access, decision.place), decision.minutes))
            case Observed():
                kind = Work.AGAIN if decision.proof else Work.CHECKS
                items.append(Item(kind, at_place(decision.title, decision.place), checks[decision.check].minutes))
            case FixDone():
                cure = Cure(decision.fix, decision.place)
                useful = cure in left
                if useful:
                    left.remove(cure)
                kind = Work.REPAIRS if useful else Work.IDLE
                items.append(Item(kind, at_place(decision.title, decision.place), fixes[decision.fix].minutes))
            case ProofStepDone():
                items.append(Item(Work.PROOF, decision.step, steps[decision.step].minutes))
            case _:
                pass
    return CostBreakdown(tuple(items))


def least(procedure: Procedure, facts: dict[str, str], faults: Iterable[Suspect]) -> float:
    """Minutes that nobody can save, even knowing the fault: to reach it, repair it and verify it once."""
    seen = fault_model(procedure, facts)
    numbers = sorted({int(seen.cure_of[seen.suspect_index[fault]]) for fault in faults})
    needed = seen.cure_openings[numbers].any(axis=0) if numbers else np.zeros(len(seen.openings), dtype=np.bool_)
    return float(seen.opening_minutes[needed].sum() + seen.cure_minutes[numbers].sum() + seen.proof_minutes)


def minutes_of(procedure: Procedure, prompt: Prompt) -> float:
    """Working minutes that the answer to a prompt stands for; 0.0 for a question."""
    if prompt.overlaid is not None:
        return 0.0
    minutes: dict[PromptKind, dict[str, float]] = {
        PromptKind.CHECK: {check.name: check.minutes for check in procedure.checks},
        PromptKind.ACCESS: {access.name: access.minutes for access in procedure.access},
        PromptKind.FIX: {fix.name: fix.minutes for fix in procedure.fixes},
        PromptKind.PROOF: {step.name: step.minutes for step in procedure.proof.steps},
    }
    return minutes.get(prompt.kind, {}).get(prompt.name, 0.0)


def differences(shown: Sequence[tuple[Prompt, str]], decisions: Iterable[Decision]) -> tuple[str, ...]:
    """What was answered otherwise than the unit showed it, in words.

    Args:
        shown: the prompt and what the unit showed there, in order.
        decisions: what the session took the answers for.
    """
    latest, told = dict[Prompt, str](), list[str]()
    waiting = list(shown)
    for decision in decisions:
        if not isinstance(decision, Observed):
            continue
        prompt = check_prompt(decision.check, decision.place)
        for number, (name, seen) in enumerate(waiting):
            if name == prompt:
                latest[prompt] = seen
                del waiting[: number + 1]
                break
        there, said = latest.get(prompt), _said(decision)
        if there is not None and said is not None and not _same(said, there):
            told.append(f"{at_place(decision.title, decision.place)}: it showed {there}, you said {said}")
    return tuple(told)


def _same(said: str, there: str) -> bool:
    """Whether two answers are one, digits behind the point that say nothing left aside."""
    try:
        return Decimal(said) == Decimal(there)
    except InvalidOperation:
        return said == there


def _said(seen: Observed) -> str | None:
    """An observation as a simulated unit says it; None for one that cannot be compared."""
    if seen.choice is not None:
        return seen.choice
    if seen.display == "over_range":
        return "over range"
    if seen.display or seen.value is None:
        return None
    return plain(seen.value)
