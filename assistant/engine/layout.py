"""Laying out the board: which suspects, cures and checks matter now, and their numbers side by side."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from assistant.engine.likelihood import Flags, Floats, slip_of, slipped
from assistant.engine.outlook import ASKED, NEGLIGIBLE, SURE, TRIES, Board, Situation
from assistant.engine.progress import Progress
from assistant.engine.suspects import Evidence, looks
from assistant.engine.view import Before, Indexes, View


def lay_out(view: View, weights: Floats, done: Progress, *, again: bool = False) -> tuple[Board, Situation]:
    """The problem that is left, and the situation it starts from.

    Args:
        view: what applies on the unit.
        weights: weight of each suspect, in the view's order.
        done: what was done so far.
        again: every check answered once may be taken once more, against a slip of the hand; else only those that
            showed a fault, where a slip of the hand would cost the most and a second look tells the most.
    """
    barred = _barred(view, done)
    live = np.flatnonzero((weights > NEGLIGIBLE) & ~barred[view.cure_of])
    live = live[np.argsort(view.cure_of[live], kind="stable")]
    groups, starts = np.unique(view.cure_of[live], return_index=True)
    stuck = float(weights[barred[view.cure_of]].sum())
    twice = _taken_once(view, done, every=again)
    tasks = np.array(sorted({*_candidates(view, done).tolist(), *twice}), dtype=np.int64)
    answered = _answered(view, done)
    before = _before(view, tasks, answered)
    rows, row_task, licenses = _rows(view, tasks, live, groups, twice)
    opened = np.array([opening in done.opened for opening in view.openings], dtype=np.bool_)
    saved = view.cure_openings[groups] * view.opening_minutes
    board = Board(
        view=view,
        suspects=live,
        group_of=np.searchsorted(groups, view.cure_of[live]),
        starts=starts.astype(np.int64),
        groups=groups,
        stuck=stuck,
        closed=saved.sum(axis=1) + view.cure_minutes[groups] + view.proof_minutes,
        saved=saved,
        free=_free(view, groups, done),
        repairs=~_parts(view)[groups],
        tried=_tried(view, groups, done),
        waits=_waits(view, tasks, groups, answered),
        tasks=tasks,
        own_minutes=view.task_minutes[tasks],
        own_needs=view.task_openings[tasks],
        before=before,
        rows=rows,
        row_task=row_task,
        row_starts=np.flatnonzero(np.diff(row_task, prepend=-1)).astype(np.int64),
        row_licenses=licenses,
        threshold=view.procedure.replace_above - 1e-6,
    )
    start = Situation(weights[live], opened, licensed_groups(view, groups, done), np.ones(len(tasks), dtype=np.bool_))
    return board, start


def licensed_groups(view: View, groups: Indexes, done: Progress) -> Flags:
    """Groups that standing evidence condemns (a part) or points at (a repair without one)."""
    licensed = np.zeros(len(view.cures), dtype=np.bool_)
    for item in done.evidence:
        licensed |= condemned_by(view, item)
    return licensed[groups]


def condemned_by(view: View, item: Evidence) -> Flags:
    """Cures that one observation condemns (a part) or points at (a repair without one), shape (cures,)."""
    row = view.tables[item.task].row(item.outcome)
    if row is None:
        return np.zeros(len(view.cures), dtype=np.bool_)
    shown = _licenses(view, item.task)[row]
    return np.asarray(shown & (item.weights[item.outcome] >= np.where(_parts(view), SURE, 0.5)))


@lru_cache(maxsize=32)
def _parts(view: View) -> Flags:
    """True for a cure that uses up a part, shape (cures,)."""
    return np.array([view.fixes[cure.fix].part is not None for cure in view.cures], dtype=np.bool_)


def _barred(view: View, done: Progress) -> Flags:
    if not (done.declined or done.tried):
        return np.zeros(len(view.cures), dtype=np.bool_)
    tries = Counter(done.tried)
    return np.array([cure in done.declined or tries[cure] >= TRIES for cure in view.cures], dtype=np.bool_)


def _free(view: View, groups: Indexes, done: Progress) -> Flags:
    """Trials not done yet: a trial that did not cure needs a check that points at it again."""
    trials = _trials(view)[groups]
    return np.asarray(trials & ~_tried(view, groups, done))


def _tried(view: View, groups: Indexes, done: Progress) -> Flags:
    if not done.tried:
        return np.zeros(len(groups), dtype=np.bool_)
    return np.array([view.cures[int(number)] in done.tried for number in groups], dtype=np.bool_)


@lru_cache(maxsize=32)
def _trials(view: View) -> Flags:
    """True for a cure that may be tried on suspicion, shape (cures,)."""
    return np.array([view.fixes[cure.fix].trial for cure in view.cures], dtype=np.bool_)


def _answered(view: View, done: Progress) -> Flags:
    answered = np.zeros(len(view.tasks), dtype=np.bool_)
    answered[[item.task for item in done.evidence]] = True
    return answered


def _candidates(view: View, done: Progress) -> Indexes:
    times = np.bincount([item.task for item in done.evidence], minlength=len(view.tasks))
    kept = times < np.where(_repeatable(view), ASKED, 1)
    if done.skipped:
        kept &= np.array([task not in done.skipped for task in view.tasks], dtype=np.bool_)
    return np.flatnonzero(kept)


@lru_cache(maxsize=32)
def _repeatable(view: View) -> Flags:
    """True for a task whose answer may change from one time to the next, shape (tasks,)."""
    return np.array([view.checks[task.check].repeatable for task in view.tasks], dtype=np.bool_)


def _missing(before: Before, number_of: Sequence[int], answered: Sequence[bool]) -> list[int]:
    """Candidates that must come first: of each group of alternatives the first, unless one is answered."""
    missing = []
    for group in before:
        if any(answered[task] for task in group):
            continue
        first = next((number_of[task] for task in group if number_of[task] >= 0), None)
        if first is not None:
            missing.append(first)
    return missing


def _before(view: View, tasks: Indexes, answered: Flags) -> Flags:
    number_of, known = _numbers(view, tasks), answered.tolist()
    before = np.zeros((len(tasks), len(tasks)), dtype=np.bool_)
    found: dict[int, list[int]] = {}
    for number, task in enumerate(tasks.tolist()):
        if view.task_after[task]:
            found[number] = _missing(view.task_after[task], number_of, known)
    for number, first in found.items():
        waiting, seen = list(first), {number}
        while waiting:
            other = waiting.pop()
            if other not in seen:
                seen.add(other)
                before[number, other] = True
                waiting += found.get(other, ())
    return before


def _waits(view: View, tasks: Indexes, groups: Indexes, answered: Flags) -> Flags:
    number_of, known = _numbers(view, tasks), answered.tolist()
    waits = np.zeros((len(groups), len(tasks)), dtype=np.bool_)
    for number, group in enumerate(groups.tolist()):
        if view.cure_after[group]:
            waits[number, _missing(view.cure_after[group], number_of, known)] = True
    return waits


def _numbers(view: View, tasks: Indexes) -> list[int]:
    """Candidate of each task, -1 for none."""
    number_of = np.full(len(view.tasks), -1, dtype=np.int64)
    number_of[tasks] = np.arange(len(tasks))
    return list(number_of.tolist())


@lru_cache(maxsize=4096)
def _licenses(view: View, task: int) -> Flags:
    """Cures that outcomes of a task condemn (a part) or point at (a repair), shape (outcomes, cures)."""
    table = view.tables[task]
    check = view.checks[view.tasks[task].check]
    shown = np.zeros((len(table.outcomes), len(view.cures)), dtype=np.bool_)
    parts = _parts(view)
    for row, outcome in enumerate(table.outcomes):
        cures = view.cure_of[table.points[row]]
        if outcome not in check.condemns:
            cures = cures[~parts[cures]]
        shown[row, cures] = True
    return shown


@dataclass(frozen=True, eq=False)
class _Whole:
    """Rows of all tasks over all suspects, which depend on nothing but the view.

    Shapes: rows (suspects, rows), task (rows,), licenses (cures, rows).
    """

    rows: Floats
    task: Indexes
    licenses: Flags


@lru_cache(maxsize=32)
def _whole(view: View) -> _Whole:
    rows: list[Floats] = []
    row_task: list[int] = []
    licenses: list[Flags] = []
    for task, table in enumerate(view.tables):
        shown = _licenses(view, task)
        for merged in _same(table.chance, shown):
            rows.append(table.chance[merged].sum(axis=0))
            licenses.append(shown[merged[0]])
            row_task.append(task)
    return _Whole(
        np.ascontiguousarray(np.array(rows).reshape(-1, len(view.suspects)).T),
        np.array(row_task, dtype=np.int64),
        np.ascontiguousarray(np.array(licenses, dtype=np.bool_).reshape(-1, len(view.cures)).T),
    )


def _rows(
    view: View, tasks: Indexes, live: Indexes, groups: Indexes, twice: Mapping[int, Evidence]
) -> tuple[Floats, Indexes, Flags]:
    """Likelihood rows of the candidates; outcomes that say the same of every suspect are taken together."""
    whole = _whole(view)
    number_of = np.full(len(view.tasks), -1, dtype=np.int64)
    number_of[tasks] = np.arange(len(tasks))
    row_task = number_of[whole.task]
    kept = np.flatnonzero(row_task >= 0)
    rows, licenses = whole.rows[live], whole.licenses[groups]
    if len(kept) < len(row_task):
        rows, row_task, licenses = rows[:, kept], row_task[kept], licenses[:, kept]
    for task, item in twice.items():
        of_task = row_task == number_of[task]
        rows[:, of_task] = _second_look(view, item, int(of_task.sum()))[:, live].T
    return rows, row_task, licenses


def _taken_once(view: View, done: Progress, *, every: bool) -> dict[int, Evidence]:
    """Evidence of checks answered once that may be taken once more: ``every`` one, or what showed a fault."""
    times = Counter(item.task for item in done.evidence)
    return {
        item.task: item
        for item in done.evidence
        if times[item.task] == 1
        and item.times == 1
        and view.tasks[item.task] not in done.skipped
        and not view.checks[view.tasks[item.task].check].repeatable
        and (every or item.outcome != view.checks[view.tasks[item.task].check].otherwise)
    }


def _second_look(view: View, item: Evidence, count: int) -> Floats:
    """P(a second look's outcome | suspect, what the first look showed), in the rows of ``_whole``."""
    table = view.tables[item.task]
    there = looks(view, item)[:, None] * table.declared
    there /= np.maximum(there.sum(axis=0), 1e-300)
    shown = slipped(there, slip_of(view.procedure, view.checks[view.tasks[item.task].check]))
    merged = _same(table.chance, _licenses(view, item.task))
    return np.array([shown[rows].sum(axis=0) for rows in merged]).reshape(count, -1)


def _same(chance: Floats, shown: Flags) -> Sequence[list[int]]:
    kept: dict[bytes, list[int]] = {}
    for row, (likelihood, licensed) in enumerate(zip(chance, shown, strict=True)):
        kept.setdefault(np.round(likelihood, 12).tobytes() + licensed.tobytes(), []).append(row)
    return list(kept.values())
