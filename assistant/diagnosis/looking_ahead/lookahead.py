"""The best next action of a problem, looking one or two actions ahead over the base policy.

How far is a matter of size, never of the clock, so that the same inputs give the same choice on every machine.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from assistant.diagnosis.constants import (
    BARELY,
    BEAM,
    CELLS,
    DEEP_BEAM,
    EVEN,
    GIVE_UP,
    HOPELESS,
    LIKELY,
    NARROW,
    OVERHEAD,
    SMALL,
    TAIL,
    TIE,
    TINY,
    WIDTH,
    WORK,
)
from assistant.diagnosis.likelihood import Floats
from assistant.diagnosis.looking_ahead.action_values import ActionValues, BeliefBatch
from assistant.diagnosis.problem import Belief, Problem


@dataclass(frozen=True, slots=True)
class Best:
    """The best action: a candidate task, a group's fix, or neither."""

    task: int | None
    """Candidate to do next."""
    group: int | None
    """Group whose fix to do next."""
    minutes: float
    """Expected minutes to a proven cure, joint with the probability of the belief."""
    aim: int | None = None
    """Candidate for whose sake ``task`` comes first, when it must; else ``task`` itself."""


def best_of(problem: Problem, belief: Belief) -> Best:
    """The best action from here."""
    if not len(problem.groups):
        return Best(None, None, 0.0)
    belief = replace(belief, costs=problem.costs(belief))
    tiny = problem.size < TINY
    action_values = BeliefBatch(replace(problem, nat_price=None) if tiny else problem, [belief])
    if not tiny:
        action_values.priced()
    valued = action_values.valued(WIDTH)
    if valued.told[0]:
        depth = 2 if tiny else 1
        valued = _again(action_values.problem, [belief], valued, depth, BEAM)
    return _least(problem, belief, valued.checks[0], valued.fixes[0])


def least_minutes(problem: Problem, beliefs: Sequence[Belief], depth: int = 1) -> Floats:
    """Expected minutes of each when the best action is taken, ``depth`` actions deep, and the base policy follows."""
    if not beliefs:
        return np.zeros(0)
    at_once = max(1, CELLS // max(1, problem.work))
    if len(beliefs) > at_once:
        parts = [beliefs[start : start + at_once] for start in range(0, len(beliefs), at_once)]
        return np.concatenate([least_minutes(problem, part, depth) for part in parts])
    near, there = problem.narrowed(beliefs, TAIL)
    valued = BeliefBatch(near, there).valued(NARROW)
    if depth > 1:
        valued = _again(near, there, valued, depth - 1, DEEP_BEAM)
    least = valued.least
    for number in np.flatnonzero(~np.isfinite(least)).tolist():
        least[number] = give_up_minutes(problem, beliefs[number])
    return least


def give_up_minutes(problem: Problem, belief: Belief) -> float:
    """Minutes charged when nothing is left to do."""
    return GIVE_UP * (float(belief.weights.sum()) + problem.stuck_mass(belief))


def _again(problem: Problem, beliefs: Sequence[Belief], valued: ActionValues, depth: int, beam: int) -> ActionValues:
    """Values of the best few actions with the best single action on each outcome; the others are left out."""
    checks, fixes = valued.checks.copy(), valued.fixes.copy()
    later: list[Belief] = []
    of_checks: list[tuple[int, int, int]] = []
    of_fixes: list[tuple[int, int, int]] = []
    for number in np.flatnonzero(valued.told).tolist():
        belief = beliefs[number]
        mass = float(belief.weights.sum())
        checks[number], fixes[number] = np.inf, np.inf
        for task in _worth_it(problem, valued.checks[number], beam):
            checks[number, task] = problem.costs(belief)[1][task] * mass
            rows = np.flatnonzero(problem.row_task == task)
            for row, branch in zip(rows, problem.branches(belief, task, rows), strict=True):
                if float(branch.weights.sum()) < LIKELY * mass * BARELY:
                    checks[number, task] += valued.rows[number, row]
                else:
                    of_checks.append((len(later), number, task))
                    later.append(branch)
        now = problem.cure_minutes(belief.opened)
        for group in _rising(valued.fixes[number])[:2]:
            if np.isfinite(valued.fixes[number, group]):
                fixes[number, group] = now[group] * mass
                after = problem.after_fix(belief, group)
                if after.weights.sum() > TAIL * mass * BARELY:
                    of_fixes.append((len(later), number, group))
                    later.append(after)
    least = least_minutes(problem, later, depth)
    for values, places in ((checks, of_checks), (fixes, of_fixes)):
        for place, side, column in places:
            values[side, column] += least[place]
    return replace(valued, checks=checks, fixes=fixes)


def _worth_it(problem: Problem, checks: Floats, beam: int) -> Iterator[int]:
    """The candidates to look at twice, the best first, while the work allows more."""
    enough = float(checks.min()) * (HOPELESS[0] if problem.size < SMALL else HOPELESS[1])
    budget = WORK
    for task in _rising(checks)[:beam]:
        if checks[task] > enough + TIE or budget <= 0:
            return
        budget -= int((problem.row_task == task).sum()) * (problem.work + OVERHEAD)
        yield task


def _rising(values: Floats) -> list[int]:
    """Places of rising values; equal ones, as far as the arithmetic of any processor goes, in file order."""
    return list(np.argsort(np.round(values, EVEN), kind="stable").tolist())


def _least(problem: Problem, belief: Belief, checks: Floats, fixes: Floats) -> Best:
    task = _first_least(checks)
    group = _first_least(fixes)
    if task is not None and (group is None or checks[task] <= fixes[group] + TIE):
        return Best(problem.first_of(belief, task), None, float(checks[task]), task)
    if group is not None:
        return Best(None, group, float(fixes[group]))
    return Best(None, None, give_up_minutes(problem, belief))


def _first_least(values: Floats) -> int | None:
    if not len(values) or not np.isfinite(values.min()):
        return None
    return int(np.flatnonzero(values <= values.min() + TIE)[0])
