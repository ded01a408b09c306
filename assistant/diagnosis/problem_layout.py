"""Laying out the problem: which suspects, cures and checks matter now, and their numbers side by side."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from assistant.diagnosis.constants import ASKED, BARELY, CONDEMNS, LOOKS, NEGLIGIBLE, POINTS, TRIES
from assistant.diagnosis.evidence import Evidence, seen_likelihood
from assistant.diagnosis.fault_model import FaultModel, Indexes, Precedence
from assistant.diagnosis.likelihood import Flags, Floats, misread, misread_rate
from assistant.diagnosis.outcome_rows import OutcomeRows
from assistant.diagnosis.problem import Belief, Problem
from assistant.diagnosis.progress import Progress


def lay_out(
    fault_model: FaultModel, weights: Floats, done: Progress, *, again: bool = False
) -> tuple[Problem, Belief]:
    """The problem that is left, and the belief it starts from.

    Args:
        fault_model: what applies on the unit.
        weights: weight of each suspect, in the fault model's order.
        done: what was done so far.
        again: every check answered once may be taken once more, against a misreading; else only those that
            showed a fault, where a misreading would cost the most and a second look tells the most.
    """
    barred = _barred(fault_model, done)
    live = np.flatnonzero((weights > NEGLIGIBLE * BARELY) & ~barred[fault_model.cure_of])
    live = live[np.argsort(fault_model.cure_of[live], kind="stable")]
    groups, starts = np.unique(fault_model.cure_of[live], return_index=True)
    stuck = float(weights[barred[fault_model.cure_of]].sum())
    twice = _doubted(fault_model, done, every=again)
    tasks = np.array(sorted({*_candidates(fault_model, done).tolist(), *twice}), dtype=np.int64)
    answered = _answered(fault_model, done)
    check_precedence = _check_precedence(fault_model, tasks, answered)
    rows, row_task, condemns = _rows(fault_model, tasks, live, twice)
    opened = np.array([opening in done.opened for opening in fault_model.openings], dtype=np.bool_)
    saved = fault_model.cure_openings[groups] * fault_model.opening_minutes
    problem = Problem(
        fault_model=fault_model,
        suspects=live,
        group_of=np.searchsorted(groups, fault_model.cure_of[live]),
        starts=starts.astype(np.int64),
        groups=groups,
        stuck=stuck,
        closed=saved.sum(axis=1) + fault_model.cure_minutes[groups] + fault_model.proof_minutes,
        saved=saved,
        free=_free(fault_model, groups, done) & (not done.unseen),
        repairs=~_parts(fault_model)[groups],
        tried=_tried(fault_model, groups, done),
        cured=_cured(fault_model, groups, live),
        fix_precedence=_fix_precedence(fault_model, tasks, groups, answered),
        tasks=tasks,
        own_minutes=fault_model.task_minutes[tasks],
        own_needs=fault_model.task_openings[tasks],
        check_precedence=check_precedence,
        rows=rows,
        row_task=row_task,
        row_starts=np.flatnonzero(np.diff(row_task, prepend=-1)).astype(np.int64),
        row_condemns=condemns,
        threshold=fault_model.procedure.replace_above - 1e-6,
    )
    start = Belief(
        weights[live], opened, condemned_groups(fault_model, groups, done), np.ones(len(tasks), dtype=np.bool_)
    )
    return problem, start


def condemned_groups(fault_model: FaultModel, groups: Indexes, done: Progress) -> Flags:
    """Groups that standing evidence condemns (a part) or points at (a repair without one)."""
    condemned = np.zeros(len(fault_model.cures), dtype=np.bool_)
    for item in () if done.unseen else done.evidence:
        condemned |= condemned_by(fault_model, item)
    return condemned[groups]


def condemned_by(fault_model: FaultModel, item: Evidence) -> Flags:
    """Cures that one observation condemns (a part) or points at (a repair without one), shape (cures,)."""
    row = fault_model.tables[item.task].row(item.outcome)
    if row is None:
        return np.zeros(len(fault_model.cures), dtype=np.bool_)
    shown = _condemns(fault_model, item.task)[row]
    return np.asarray(shown & (item.clearness >= np.where(_parts(fault_model), CONDEMNS, POINTS)))


@lru_cache(maxsize=32)
def _parts(fault_model: FaultModel) -> Flags:
    """True for a cure that uses up a part, shape (cures,)."""
    return np.array([fault_model.fixes[cure.fix].part is not None for cure in fault_model.cures], dtype=np.bool_)


def _barred(fault_model: FaultModel, done: Progress) -> Flags:
    if not (done.declined or done.tried):
        return np.zeros(len(fault_model.cures), dtype=np.bool_)
    tries = Counter(done.tried)
    return np.array([cure in done.declined or tries[cure] >= TRIES for cure in fault_model.cures], dtype=np.bool_)


def _free(fault_model: FaultModel, groups: Indexes, done: Progress) -> Flags:
    """Trials not done yet: a trial that did not cure needs a check that points at it again."""
    trials = _trials(fault_model)[groups]
    return np.asarray(trials & ~_tried(fault_model, groups, done))


def _tried(fault_model: FaultModel, groups: Indexes, done: Progress) -> Flags:
    if not done.tried:
        return np.zeros(len(groups), dtype=np.bool_)
    return np.array([fault_model.cures[int(number)] in done.tried for number in groups], dtype=np.bool_)


def _cured(fault_model: FaultModel, groups: Indexes, live: Indexes) -> Flags | None:
    """Suspects that each group's fix takes away; None where none takes away more than its own."""
    if np.count_nonzero(fault_model.cured_by) == len(fault_model.suspects):
        return None
    return np.asarray(fault_model.cured_by[np.ix_(groups, live)])


@lru_cache(maxsize=32)
def _trials(fault_model: FaultModel) -> Flags:
    """True for a cure that may be tried on suspicion, shape (cures,)."""
    return np.array([fault_model.fixes[cure.fix].trial for cure in fault_model.cures], dtype=np.bool_)


def _answered(fault_model: FaultModel, done: Progress) -> Flags:
    answered = np.zeros(len(fault_model.tasks), dtype=np.bool_)
    answered[[item.task for item in done.evidence]] = True
    return answered


def _candidates(fault_model: FaultModel, done: Progress) -> Indexes:
    shown: dict[int, set[str]] = {}
    for item in done.evidence:
        shown.setdefault(item.task, set()).add(item.outcome)
    contradict = np.zeros(len(fault_model.tasks), dtype=np.bool_)
    contradict[[task for task, outcomes in shown.items() if len(outcomes) > 1]] = True
    times = np.bincount([item.task for item in done.evidence], minlength=len(fault_model.tasks))
    most = np.where(contradict, LOOKS, ASKED)
    kept = times < np.where(_repeatable(fault_model), most, 1)
    if done.skipped:
        kept &= np.array([task not in done.skipped for task in fault_model.tasks], dtype=np.bool_)
    return np.flatnonzero(kept)


@lru_cache(maxsize=32)
def _repeatable(fault_model: FaultModel) -> Flags:
    """True for a task whose answer may change from one time to the next, shape (tasks,)."""
    return np.array([fault_model.checks[task.check].repeatable for task in fault_model.tasks], dtype=np.bool_)


def _missing(precedence: Precedence, number_of: Sequence[int], answered: Sequence[bool]) -> list[int]:
    """Candidates that must come first: of each group of alternatives the first, unless one is answered."""
    missing = []
    for group in precedence:
        if any(answered[task] for task in group):
            continue
        first = next((number_of[task] for task in group if number_of[task] >= 0), None)
        if first is not None:
            missing.append(first)
    return missing


def _check_precedence(fault_model: FaultModel, tasks: Indexes, answered: Flags) -> Flags:
    number_of, known = _numbers(fault_model, tasks), answered.tolist()
    precedence = np.zeros((len(tasks), len(tasks)), dtype=np.bool_)
    found: dict[int, list[int]] = {}
    for number, task in enumerate(tasks.tolist()):
        if fault_model.task_precedence[task]:
            found[number] = _missing(fault_model.task_precedence[task], number_of, known)
    for number, first in found.items():
        waiting, seen = list(first), {number}
        while waiting:
            other = waiting.pop()
            if other not in seen:
                seen.add(other)
                precedence[number, other] = True
                waiting += found.get(other, ())
    return precedence


def _fix_precedence(fault_model: FaultModel, tasks: Indexes, groups: Indexes, answered: Flags) -> Flags:
    number_of, known = _numbers(fault_model, tasks), answered.tolist()
    precedence = np.zeros((len(groups), len(tasks)), dtype=np.bool_)
    for number, group in enumerate(groups.tolist()):
        if fault_model.cure_precedence[group]:
            precedence[number, _missing(fault_model.cure_precedence[group], number_of, known)] = True
    return precedence


def _numbers(fault_model: FaultModel, tasks: Indexes) -> list[int]:
    """Candidate of each task, -1 for none."""
    number_of = np.full(len(fault_model.tasks), -1, dtype=np.int64)
    number_of[tasks] = np.arange(len(tasks))
    return list(number_of.tolist())


@lru_cache(maxsize=4096)
def _condemns(fault_model: FaultModel, task: int) -> Flags:
    """Cures that outcomes of a task condemn (a part) or point at (a repair), shape (outcomes, cures)."""
    table = fault_model.tables[task]
    check = fault_model.checks[fault_model.tasks[task].check]
    shown = np.zeros((len(table.outcomes), len(fault_model.cures)), dtype=np.bool_)
    parts = _parts(fault_model)
    for row, outcome in enumerate(table.outcomes):
        cures = fault_model.cure_of[table.points[row]]
        if outcome not in check.condemns:
            cures = cures[~parts[cures]]
        shown[row, cures] = True
    return shown


@dataclass(frozen=True, eq=False)
class _Whole:
    """Rows of all tasks over all suspects, which depend on nothing but the fault model."""

    rows: OutcomeRows
    """The rows."""
    task: Indexes
    """Task of each row."""
    condemns: Flags
    """Cures that each row condemns or points at, shape (rows, cures)."""
    merged: tuple[tuple[int, ...], ...]
    """Outcomes of its task that each row takes together."""


@lru_cache(maxsize=32)
def _whole(fault_model: FaultModel) -> _Whole:
    base: list[float] = []
    task_of: list[int] = []
    condemns: list[Flags] = []
    merged: list[tuple[int, ...]] = []
    suspect: list[Indexes] = []
    chance: list[Floats] = []
    for task, table in enumerate(fault_model.tables):
        shown = _condemns(fault_model, task)
        named = np.flatnonzero(table.differs)
        for outcomes in _same(table.chance, shown):
            base.append(float(table.base[outcomes].sum()))
            task_of.append(task)
            condemns.append(shown[outcomes[0]])
            merged.append(tuple(outcomes))
            suspect.append(named)
            chance.append(table.chance[np.ix_(np.array(outcomes), named)].sum(axis=0))
    row = np.repeat(np.arange(len(base)), [len(one) for one in suspect])
    return _Whole(
        OutcomeRows(
            len(fault_model.suspects),
            np.array(base),
            row.astype(np.int64),
            np.concatenate([np.zeros(0, dtype=np.int64), *suspect]),
            np.concatenate([np.zeros(0), *chance]),
        ),
        np.array(task_of, dtype=np.int64),
        np.array(condemns, dtype=np.bool_).reshape(len(condemns), len(fault_model.cures)),
        tuple(merged),
    )


def _rows(
    fault_model: FaultModel, tasks: Indexes, live: Indexes, again: Mapping[int, Evidence]
) -> tuple[OutcomeRows, Indexes, Flags]:
    """Likelihood rows of the candidates; outcomes that say the same of every suspect are taken together."""
    whole = _whole(fault_model)
    number_of = np.full(len(fault_model.tasks), -1, dtype=np.int64)
    number_of[tasks] = np.arange(len(tasks))
    kept = np.flatnonzero(number_of[whole.task] >= 0)
    rows = whole.rows
    if again:
        rows = OutcomeRows(rows.suspects, rows.base.copy(), rows.row, rows.suspect, rows.chance.copy())
        for task, item in again.items():
            of_suspects, usual = _next_look(fault_model, item)
            for row in np.flatnonzero(whole.task == task).tolist():
                outcomes = list(whole.merged[row])
                own = slice(int(whole.rows.begins[row]), int(whole.rows.begins[row + 1]))
                rows.base[row] = usual[outcomes].sum()
                rows.chance[own] = of_suspects[np.ix_(np.array(outcomes), rows.suspect[own])].sum(axis=0)
    rows = rows.of_rows(kept).of_suspects(live, len(fault_model.suspects))
    return rows, number_of[whole.task[kept]], whole.condemns[kept]


def _doubted(fault_model: FaultModel, done: Progress, *, every: bool) -> dict[int, Evidence]:
    """Evidence of checks that may be looked at once more: ``every`` one, or what showed a fault. What was looked at
    twice only where the looks contradict each other; what was too close to call was read twice already, and the same
    meter tells no more of it, nor does the same eye of what it judged."""
    times = Counter(item.task for item in done.evidence)
    return {
        item.task: item
        for item in done.evidence
        if times[item.task] == 1
        and (item.times == 1 or (item.times < LOOKS and not item.settled))
        and fault_model.tasks[item.task] not in done.skipped
        and not fault_model.checks[fault_model.tasks[item.task].check].repeatable
        and not (fault_model.checks[fault_model.tasks[item.task].check].by_eye and item.settled)
        and not _too_close(fault_model, item)
        and (
            every
            or not item.settled
            or item.outcome != fault_model.checks[fault_model.tasks[item.task].check].otherwise
        )
    }


def _too_close(fault_model: FaultModel, item: Evidence) -> bool:
    """Whether a reading lies so near its limit that it counts as both, or never stood still."""
    reading = fault_model.checks[fault_model.tasks[item.task].check].kind == "reading"
    return reading and item.settled and (len(item.looks[-1].shown) > 1 or item.outcome == "unsteady")


def _next_look(fault_model: FaultModel, item: Evidence) -> tuple[Floats, Floats]:
    """P(what the next look shows | suspect, what the looks before showed), shape (outcomes, suspects), and the same
    when no fault that the check names is there."""
    table = fault_model.tables[item.task]
    seen = seen_likelihood(fault_model, item.task, item.looks)
    there = seen[:, None] * np.column_stack([table.declared, table.plain])
    there /= np.maximum(there.sum(axis=0), 1e-300)
    check = fault_model.checks[fault_model.tasks[item.task].check]
    shown = misread(there, misread_rate(fault_model.procedure, check))
    return shown[:, :-1], shown[:, -1]


def _same(chance: Floats, shown: Flags) -> Sequence[list[int]]:
    kept: dict[bytes, list[int]] = {}
    for row, (likelihood, condemned) in enumerate(zip(chance, shown, strict=True)):
        kept.setdefault(np.round(likelihood, 12).tobytes() + condemned.tobytes(), []).append(row)
    return list(kept.values())
