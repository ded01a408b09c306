"""What is still suspected: weights of the suspects given what was observed and done, in order.

Single faults first: weight = prior x product of P(outcome | suspect) over the evidence that stands. When no single
fault explains the evidence, pairs of faults are weighed beside them, and each suspect reports its share.

What stands:

* the last observation of a task under the same conditions; showing the same again speaks against a misreading
  and says nothing else new (see ``repeat_likelihood``), unless the check is repeatable (an intermittent), where every
  answer counts;
* nothing that was withdrawn;
* what a fix touched (observations of a check that names a fault which that fix cures, at its place) counts no more if
  the fix mended something: it was said about a unit that is no longer so. If the fix was done for nothing, it still
  counts. Both are weighed side by side (see ``_after_fixes``).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from assistant.diagnosis.constants import NOT_CURED, SECOND_FAULT, SURPRISE
from assistant.diagnosis.fault_model import Cure, FaultModel, Suspect, Task
from assistant.diagnosis.likelihood import Flags, Floats, counted_as, misread, misread_rate
from assistant.messages.decisions import Decision, FixDone, ObservationWithdrawn, Observed


@dataclass(frozen=True, eq=False)
class Evidence:
    """One observation that stands, as the planner and the weights use it."""

    task: int
    """Position of its task in the fault model."""
    weights: Mapping[str, float]
    """Outcome to probability, with outcomes renamed as they count; sums to 1."""
    observed: Observed
    """Where it comes from."""
    times: int = 1
    """How often in a row this task showed this outcome since a fix last touched it: a second look is no new
    evidence about the unit, but it tells a fault from a misreading."""

    @property
    def outcome(self) -> str:
        """The likeliest outcome."""
        return max(self.weights, key=lambda name: self.weights[name])


@dataclass(frozen=True, eq=False)
class Dropped:
    """One observation that a fix touched."""

    evidence: Evidence
    """The observation."""
    after: int
    """How many fixes had been done when it was made."""


def standing(fault_model: FaultModel, events: Sequence[Decision]) -> tuple[Evidence, ...]:
    """The observations that still count, in order. Events of other kinds are passed over."""
    return gathered(fault_model, events)[0]


def gathered(fault_model: FaultModel, events: Sequence[Decision]) -> tuple[tuple[Evidence, ...], tuple[Dropped, ...]]:
    """The observations that still count, and those that count only where no fix that touched them mended anything."""
    withdrawn = {event.number for event in events if isinstance(event, ObservationWithdrawn)}
    kept: dict[tuple[object, ...], Evidence] = {}
    shown: dict[int, Evidence] = {}
    made: dict[int, int] = {}
    dropped: list[Dropped] = []
    fixes = 0
    for event in events:
        if isinstance(event, FixDone):
            touched = touched_tasks(fault_model, Cure(event.fix, event.place))
            dropped += [Dropped(item, made[item.observed.number]) for item in kept.values() if touched[item.task]]
            kept = {key: evidence for key, evidence in kept.items() if not touched[evidence.task]}
            shown = {task: evidence for task, evidence in shown.items() if not touched[task]}
            fixes += 1
        elif isinstance(event, Observed) and event.number not in withdrawn:
            evidence = _evidence(fault_model, event)
            if evidence is None:
                continue
            before = shown.get(evidence.task)
            if before is not None and before.outcome == evidence.outcome:
                evidence = replace(evidence, times=before.times + 1)
            shown[evidence.task] = evidence
            made[event.number] = fixes
            key: tuple[object, ...] = (evidence.task, tuple(sorted((event.conditions or {}).items())))
            if fault_model.checks[event.check].repeatable:
                key = (*key, event.number)
            kept.pop(key, None)
            kept[key] = evidence
    return tuple(kept.values()), tuple(dropped)


def touched_tasks(fault_model: FaultModel, cure: Cure) -> Flags:
    """Tasks whose observations a fix makes stale: those that name a fault which it cures, shape (tasks,)."""
    touched = np.zeros(len(fault_model.tasks), dtype=np.bool_)
    number = fault_model.cure_index.get(cure)
    if number is None:
        return touched
    cured = fault_model.cure_of == number
    for index, table in enumerate(fault_model.tables):
        touched[index] = bool((table.differs & cured).any())
    return touched


def fixed(events: Sequence[Decision]) -> tuple[Cure, ...]:
    """The cures done so far, in order, with repeats."""
    return tuple(Cure(event.fix, event.place) for event in events if isinstance(event, FixDone))


def posterior(
    fault_model: FaultModel,
    events: Sequence[Decision],
    prior_factors: Mapping[tuple[str, str | None], float] | None = None,
) -> dict[Suspect, float]:
    """Weights of all suspects, summing to 1.

    Args:
        fault_model: what applies on the unit.
        events: decisions in order; ``Observed``, ``ObservationWithdrawn`` and ``FixDone`` count.
        prior_factors: (fault, place) to a factor on its prior, taken from the unit's history.
    """
    weights = _after_fixes(fault_model, *gathered(fault_model, events), fixed(events), prior_factors)
    return dict(zip(fault_model.suspects, weights.tolist(), strict=True))


def _after_fixes(
    fault_model: FaultModel,
    evidence: Sequence[Evidence],
    dropped: Sequence[Dropped],
    cures: Sequence[Cure],
    factors: Mapping[tuple[str, str | None], float] | None,
) -> Floats:
    """Posterior of all suspects, whether a fix mended a first of two faults or was done for nothing.

    One fault all along: every observation counts, and each fix done was the wrong one or did not take. Or one fix
    mended a fault and a second one is left: what that fix touched counts for the first fault alone.
    """
    if not dropped:
        return posterior_given(fault_model, evidence, cures, factors)[0]
    every = [item.evidence for item in dropped]
    chances, level = posterior_given(fault_model, [*every, *evidence], cures, factors)
    parts = [(chances, level + float(np.log(1 - SECOND_FAULT)))]
    for number, cure in enumerate(cures):
        touched = touched_tasks(fault_model, cure)
        gone = [item.evidence for item in dropped if item.after <= number and touched[item.evidence.task]]
        own = fault_model.cure_of == fault_model.cure_index.get(cure, -1)
        if not gone or not own.any():
            continue
        before = _priors(fault_model, cures[:number], factors or {})
        shown = np.array([np.log(np.maximum(_column(fault_model, item), 1e-300)) for item in gone]).sum(axis=0)
        first = float(np.logaddexp.reduce((np.log(np.maximum(before, 1e-300)) + shown)[own]))
        left = [item for item in every if not any(item is other for other in gone)]
        chances, level = posterior_given(fault_model, [*left, *evidence], cures, factors)
        parts.append((chances, level + first + float(np.log(SECOND_FAULT))))
    top = max(level for _, level in parts)
    mixed = np.sum([chances * np.exp(level - top) for chances, level in parts], axis=0)
    return np.asarray(mixed / mixed.sum(), dtype=np.float64)


def posterior_given(
    fault_model: FaultModel,
    evidence: Sequence[Evidence],
    cures: Sequence[Cure] = (),
    prior_factors: Mapping[tuple[str, str | None], float] | None = None,
) -> tuple[Floats, float]:
    """The same from evidence and the cures done, as an array in file order; with the log of its chance."""
    priors = _priors(fault_model, cures, prior_factors or {})
    if not evidence or not len(priors):
        return priors, 0.0
    shown = np.array([_column(fault_model, item) for item in evidence])
    logs = np.log(np.maximum(shown, 1e-300))
    total = logs.sum(axis=0)
    singles, level = _normalized(np.log(np.maximum(priors, 1e-300)) + total)
    alive = priors > 0
    surprise = float(logs[:, alive].max(axis=1).sum() - total[alive].max()) if alive.any() else 0.0
    if surprise < SURPRISE:
        return singles, level
    base = np.array([_base(fault_model, item) for item in evidence])
    differs = np.array([fault_model.tables[item.task].differs for item in evidence])
    return _with_pairs(priors, logs, singles, level, base, differs)


def _priors(
    fault_model: FaultModel, cures: Sequence[Cure], factors: Mapping[tuple[str, str | None], float]
) -> Floats:
    priors = fault_model.priors.copy()
    for number, suspect in enumerate(fault_model.suspects):
        priors[number] *= max(0.0, factors.get((suspect.fault, suspect.place), 1.0))
    for cure in cures:
        number = fault_model.cure_index.get(cure, -1)
        priors[fault_model.cure_of == number] *= NOT_CURED
    total = priors.sum()
    return priors / total if total > 0 else np.full(len(priors), 1.0 / max(1, len(priors)))


def _evidence(fault_model: FaultModel, event: Observed) -> Evidence | None:
    number = fault_model.task_index.get(Task(event.check, event.place))
    if number is None:
        return None
    check = fault_model.checks[event.check]
    weights: dict[str, float] = {}
    for name, share in event.weights.items():
        counted = counted_as(check, name)
        if share > 0 and fault_model.tables[number].row(counted) is not None:
            weights[counted] = weights.get(counted, 0.0) + share
    total = sum(weights.values())
    if total <= 0:
        return None
    return Evidence(number, {name: share / total for name, share in weights.items()}, event)


def repeat_likelihood(fault_model: FaultModel, item: Evidence) -> Floats:
    """P(what was observed | what is really there to be seen), for every outcome of its check.

    What is there stays; each look may be misread anew. So a second look that shows the same makes a misreading much
    less likely and says nothing more about faults that show it now and then.
    """
    table = fault_model.tables[item.task]
    count = len(table.outcomes)
    shown = misread(
        np.eye(count), misread_rate(fault_model.procedure, fault_model.checks[fault_model.tasks[item.task].check])
    )
    seen = np.zeros(count)
    for name, share in item.weights.items():
        row = table.row(name)
        if row is not None:
            seen += share * shown[row]
    return np.asarray(seen**item.times, dtype=np.float64)


def _column(fault_model: FaultModel, item: Evidence) -> Floats:
    """P(what was observed | suspect) for every suspect."""
    return np.asarray(repeat_likelihood(fault_model, item) @ fault_model.tables[item.task].declared, dtype=np.float64)


def _base(fault_model: FaultModel, item: Evidence) -> float:
    """P(what was observed) when no fault that the check names is there."""
    return float(repeat_likelihood(fault_model, item) @ fault_model.tables[item.task].plain)


def _normalized(logs: Floats) -> tuple[Floats, float]:
    """Log weights brought to probabilities that sum to 1, and the log of their sum."""
    top = float(logs.max())
    chances = np.exp(logs - top)
    total = float(chances.sum())
    return chances / total, top + float(np.log(total))


def _with_pairs(
    priors: Floats, logs: Floats, singles: Floats, single_level: float, base: Floats, differs: Flags
) -> tuple[Floats, float]:
    """Shares over single faults and pairs, and the log of their chance.

    A pair shows what that member shows whose column differs from the base; where both differ, either (the mean).
    Suspects that no observation tells apart are taken as one class, so that only a few pairs of classes are weighed.
    The share of a pair is divided evenly: both members must be cured.
    """
    kinds, classes = np.unique(np.vstack([logs, differs.astype(np.float64)]).T, axis=0, return_inverse=True)
    classes = classes.reshape(-1)
    count = len(base)
    shown, apart = np.exp(kinds[:, :count]), kinds[:, count:] > 0.5
    mass = np.bincount(classes, weights=priors, minlength=len(kinds))
    squares = np.bincount(classes, weights=priors**2, minlength=len(kinds))
    ways = np.outer(mass, mass)
    np.fill_diagonal(ways, np.maximum(mass**2 - squares, 0.0))
    total_ways = float(ways.sum())
    if total_ways <= 0:
        return singles, single_level
    score = np.log(np.maximum(ways / total_ways, 1e-300)) + np.log(SECOND_FAULT)
    for number in range(count):
        first, second = shown[:, None, number], shown[None, :, number]
        first_differs, second_differs = apart[:, None, number], apart[None, :, number]
        both = np.where(
            first_differs & second_differs,
            (first + second) / 2,
            np.where(first_differs, first, np.where(second_differs, second, base[number])),
        )
        score += np.log(np.maximum(both, 1e-300))
    pairs, pair_level = _normalized(score.reshape(-1))
    pairs = pairs.reshape(ways.shape)
    by_class = (pairs.sum(axis=1) + pairs.sum(axis=0)) / 2
    shared = np.divide(by_class, mass, out=np.zeros_like(mass), where=mass > 0)[classes] * priors
    level = np.logaddexp(single_level + np.log(1 - SECOND_FAULT), pair_level)
    mixed = singles * np.exp(single_level + np.log(1 - SECOND_FAULT) - level) + shared * np.exp(pair_level - level)
    return np.asarray(mixed / mixed.sum(), dtype=np.float64), float(level)
