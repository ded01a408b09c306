"""The best next action on a board, looking one or two actions ahead over the base policy.

How far is a matter of size, never of the clock, so that the same inputs give the same choice on every machine.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from assistant.engine.basis import GIVE_UP
from assistant.engine.likelihood import Floats
from assistant.engine.outlook import Board, Situation, Valued

WORK = 1_000_000
"""Cells (rows x suspects) that the second look may touch, so that a step takes some tens of milliseconds."""
OVERHEAD = 20_000
"""What one branch costs beside its cells, in cells."""
BEAM = 6
"""Checks at most that are looked at twice."""
SMALL = 4_000
"""Cells up to which a problem is small."""
TINY = 150
"""Cells up to which a third look is taken."""
DEEP_BEAM = 3
"""Checks at most that the third look takes."""
HOPELESS = (1.5, 1.12)
"""Checks worth this many times the best at the first look are not looked at twice, on small and other problems."""
NARROW = 8
"""Candidates valued at the second look, when there are more."""
LIKELY = 0.01
"""Outcomes below this share of the branch are not looked at twice."""
TAIL = 1e-4
"""Suspects below this share of a branch are left out of its second look."""
TIE = 1e-9
"""Expected minutes closer than this are equal: file order decides."""


@dataclass(frozen=True, slots=True)
class Best:
    """The best action: a candidate task, a group's fix, or neither."""

    task: int | None
    """Candidate to do next."""
    group: int | None
    """Group whose fix to do next."""
    minutes: float
    """Expected minutes to a proven cure, joint with the probability of the situation."""
    aim: int | None = None
    """Candidate for whose sake ``task`` comes first, when it must; else ``task`` itself."""


def best_of(board: Board, situation: Situation) -> Best:
    """The best action from here."""
    if not len(board.groups):
        return Best(None, None, 0.0)
    board = replace(board, rate=None) if board.rows.size < TINY else board.rated(situation)
    valued = board.check_minutes(situation)
    checks = valued.minutes
    fixes = board.fix_minutes(situation, blind=not np.isfinite(checks).any())
    if np.isfinite(checks).any() and board.rows.size < WORK // 8:
        looks = 2 if board.rows.size < TINY else 1
        checks, fixes = _again(board, situation, valued, fixes, looks, BEAM)
    return _least(board, situation, checks, fixes)


def least_minutes(board: Board, situation: Situation, looks: int = 1) -> float:
    """Expected minutes when the best action is taken, ``looks`` actions deep, and the base policy follows."""
    near, there = board.narrowed(situation, TAIL)
    valued = near.check_minutes(there, NARROW)
    checks = valued.minutes
    fixes = near.fix_minutes(there, 3, blind=not np.isfinite(checks).any())
    if looks > 1 and np.isfinite(checks).any():
        checks, fixes = _again(near, there, valued, fixes, looks - 1, DEEP_BEAM)
    least = min(float(checks.min(initial=np.inf)), float(fixes.min(initial=np.inf)))
    return least if np.isfinite(least) else give_up_minutes(board, situation)


def give_up_minutes(board: Board, situation: Situation) -> float:
    """Minutes charged when nothing is left to do."""
    return GIVE_UP * (float(situation.weights.sum()) + board.stuck_mass(situation))


def _again(
    board: Board, situation: Situation, valued: Valued, fixes: Floats, looks: int, beam: int
) -> tuple[Floats, Floats]:
    """Values of the best few actions with the best single action on each outcome; the others are left out."""
    checks = valued.minutes
    deeper_checks, deeper_fixes = np.full_like(checks, np.inf), np.full_like(fixes, np.inf)
    minutes = board.task_minutes(situation, situation.opened)
    mass = float(situation.weights.sum())
    budget = WORK
    hopeless = HOPELESS[0] if board.rows.size < SMALL else HOPELESS[1]
    for task in np.argsort(checks, kind="stable")[:beam]:
        if checks[task] > hopeless * checks.min() or (budget <= 0 and np.isfinite(deeper_checks).any()):
            break
        after = 0.0
        for row in np.flatnonzero(board.row_task == task):
            branch = board.after_check(situation, int(row))
            if float(branch.weights.sum()) < LIKELY * mass:
                after += float(valued.rows[row])
                continue
            after += least_minutes(board, branch, looks)
            budget -= board.rows.size + OVERHEAD
        deeper_checks[task] = minutes[task] * mass + after
    now = board.cure_minutes(situation.opened)
    for group in np.argsort(fixes, kind="stable")[:2]:
        if np.isfinite(fixes[group]):
            after_fix = board.after_fix(situation, int(group))
            rest = least_minutes(board, after_fix, looks) if after_fix.weights.sum() > TAIL * mass else 0.0
            deeper_fixes[group] = now[group] * mass + rest
    return deeper_checks, deeper_fixes


def _least(board: Board, situation: Situation, checks: Floats, fixes: Floats) -> Best:
    task = _first_least(checks)
    group = _first_least(fixes)
    if task is not None and (group is None or checks[task] <= fixes[group] + TIE):
        return Best(board.first_of(situation, task), None, float(checks[task]), task)
    if group is not None:
        return Best(None, group, float(fixes[group]))
    return Best(None, None, give_up_minutes(board, situation))


def _first_least(values: Floats) -> int | None:
    if not len(values) or not np.isfinite(values.min()):
        return None
    return int(np.flatnonzero(values <= values.min() + TIE)[0])
