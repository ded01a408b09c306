"""What was observed, gathered by what was looked at: the looks at one thing, and which fixes lie between them.

What is there to be seen stays as it is; each look may be misread anew. So all looks at one task under the same
conditions belong together, and two that contradict speak against each other. A repeatable check (an intermittent) is
another matter each time.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from assistant.diagnosis.fault_model import Cure, FaultModel, Task
from assistant.diagnosis.likelihood import Flags, Floats, counted_as, misread, misread_rate
from assistant.messages.decisions import Decision, FixDone, ObservationWithdrawn, Observed, ProofFinished


@dataclass(frozen=True, slots=True)
class Look:
    """One observation."""

    shown: Mapping[str, float]
    """Outcome to probability, with outcomes renamed as they count; sums to 1."""
    fixes: int
    """How many fixes had been done before it."""


@dataclass(frozen=True, eq=False)
class Evidence:
    """The looks at one thing, as the planner and the posterior use them."""

    task: int
    """Position of its task in the fault model."""
    looks: tuple[Look, ...]
    """In order, at least one."""
    weights: Mapping[str, float]
    """Outcome to the probability that it is really there, by these looks alone; sums to 1. A single look is taken at
    its word."""

    @property
    def outcome(self) -> str:
        """The likeliest outcome."""
        return max(self.weights, key=lambda name: self.weights[name])

    @property
    def times(self) -> int:
        """How often it was looked at."""
        return len(self.looks)

    @property
    def clearness(self) -> float:
        """How sure the likeliest outcome is by its clearest look: two readings too close to call may share what made
        them so, and do not add up to one that is clear."""
        return min(self.weights[self.outcome], max(look.shown.get(self.outcome, 0.0) for look in self.looks))

    @property
    def settled(self) -> bool:
        """True when no look contradicts another."""
        return len({max(look.shown, key=lambda name: look.shown[name]) for look in self.looks}) == 1

    @property
    def key(self) -> tuple[object, ...]:
        """Equal for evidence that says the same."""
        return self.task, tuple((tuple(sorted(look.shown.items())), look.fixes) for look in self.looks)


def gathered(fault_model: FaultModel, events: Sequence[Decision]) -> tuple[Evidence, ...]:
    """All evidence, in the order of the last looks. Events of other kinds are passed over.

    What was withdrawn is as if it had never been observed.
    """
    withdrawn = {event.number for event in events if isinstance(event, ObservationWithdrawn)}
    kept: dict[tuple[int, tuple[tuple[str, str], ...], int], tuple[Look, ...]] = {}
    fixes = 0
    for event in events:
        if isinstance(event, FixDone):
            fixes += 1
        elif isinstance(event, Observed) and event.number not in withdrawn:
            task = fault_model.task_index.get(Task(event.check, event.place))
            shown = None if task is None else _counted(fault_model, task, event)
            if task is None or shown is None:
                continue
            anew = event.number if fault_model.checks[event.check].repeatable else 0
            key = (task, tuple(sorted((event.conditions or {}).items())), anew)
            kept[key] = (*kept.pop(key, ()), Look(shown, fixes))
    return tuple(_evidence(fault_model, key[0], looks) for key, looks in kept.items())


def standing(fault_model: FaultModel, events: Sequence[Decision]) -> tuple[Evidence, ...]:
    """The evidence without the looks before a fix that may have changed what there is to be seen."""
    since = np.zeros(len(fault_model.tasks), dtype=np.int64)
    for number, cure in enumerate(fixes_done(events), start=1):
        since[touched_tasks(fault_model, cure)] = number
    left = []
    for item in gathered(fault_model, events):
        looks = tuple(look for look in item.looks if look.fixes >= since[item.task])
        if len(looks) == len(item.looks):
            left.append(item)
        elif looks:
            left.append(_evidence(fault_model, item.task, looks))
    return tuple(left)


def touched_tasks(fault_model: FaultModel, cure: Cure) -> Flags:
    """Tasks whose observations a fix makes stale: those that name a fault which it takes away, shape (tasks,)."""
    number = fault_model.cure_index.get(cure)
    if number is None:
        return np.zeros(len(fault_model.tasks), dtype=np.bool_)
    cured = fault_model.cured_by[number]
    return np.array([bool((table.differs & cured).any()) for table in fault_model.tables], dtype=np.bool_)


def fixes_done(events: Sequence[Decision]) -> tuple[Cure, ...]:
    """The fixes done so far, in order, with repeats."""
    return tuple(Cure(event.fix, event.place) for event in events if isinstance(event, FixDone))


def proofs_failed(events: Sequence[Decision]) -> tuple[int, ...]:
    """For each proof that failed how many fixes had been done before it, in order."""
    fixes, failed = 0, []
    for event in events:
        if isinstance(event, FixDone):
            fixes += 1
        elif isinstance(event, ProofFinished) and not event.passed:
            failed.append(fixes)
    return tuple(failed)


def seen_likelihood(fault_model: FaultModel, task: int, looks: Sequence[Look]) -> Floats:
    """P(what some looks showed | outcome that is really there), shape (outcomes,): the product of the looks.

    What is there stays; each look may be misread anew. So a second look that shows the same makes a misreading much
    less likely and says nothing more about faults that show it now and then. What is judged by eye is judged alike
    the second time: looks that agree count once.
    """
    table = fault_model.tables[task]
    rate = misread_rate(fault_model.procedure, fault_model.checks[fault_model.tasks[task].check])
    as_read = misread(np.eye(len(table.outcomes)), rate)
    if fault_model.checks[fault_model.tasks[task].check].by_eye:
        looks = tuple({tuple(sorted(look.shown.items())): look for look in looks}.values())
    seen = np.ones(len(table.outcomes))
    for look in looks:
        seen *= np.sum([share * as_read[table.outcomes.index(name)] for name, share in look.shown.items()], axis=0)
    return seen


def _evidence(fault_model: FaultModel, task: int, looks: tuple[Look, ...]) -> Evidence:
    if len(looks) == 1:
        return Evidence(task, looks, looks[0].shown)
    seen = seen_likelihood(fault_model, task, looks)
    outcomes = fault_model.tables[task].outcomes
    order = sorted(range(len(outcomes)), key=lambda row: -seen[row])
    total = float(seen.sum())
    return Evidence(task, looks, {outcomes[row]: float(seen[row]) / total for row in order})


def _counted(fault_model: FaultModel, task: int, event: Observed) -> dict[str, float] | None:
    """Outcomes as they count; None when nothing of it is an outcome of the check."""
    check, outcomes = fault_model.checks[event.check], fault_model.tables[task].outcomes
    shown: dict[str, float] = {}
    for name, share in event.weights.items():
        counted = counted_as(check, name)
        if share > 0 and counted in outcomes:
            shown[counted] = shown.get(counted, 0.0) + share
    total = sum(shown.values())
    return {name: share / total for name, share in shown.items()} if total > 0 else None
