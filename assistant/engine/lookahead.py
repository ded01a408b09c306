"""The best next action on a board, looking one or two actions ahead over the base policy.

How far is a matter of size, never of the clock, so that the same inputs give the same choice on every machine.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from assistant.engine.likelihood import Floats
from assistant.engine.outlook import Board, Situation

WORK = 400_000
"""Cells (rows x groups) that the second look may touch."""
BEAM = 6
"""Actions at most that are looked at twice."""
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


def best_of(board: Board, situation: Situation) -> Best:
    """The best action from here."""
    if not len(board.groups):
        return Best(None, None, 0.0)
    checks, _ = board.check_minutes(situation)
    fixes = board.fix_minutes(situation)
    beam = _beam(board)
    if beam > 1:
        checks, fixes = _again(board, situation, checks, fixes, beam)
    return _least(board, situation, checks, fixes)


def least_minutes(board: Board, situation: Situation) -> float:
    """Expected minutes when the best single action is taken and the base policy follows."""
    checks, _ = board.check_minutes(situation)
    fixes = board.fix_minutes(situation)
    least = min(float(checks.min(initial=np.inf)), float(fixes.min(initial=np.inf)))
    return least if np.isfinite(least) else give_up_minutes(board, situation)


def give_up_minutes(board: Board, situation: Situation) -> float:
    """Minutes charged when nothing is left to do."""
    from assistant.engine.outlook import GIVE_UP

    return GIVE_UP * (float(situation.weights.sum()) + board.stuck_mass(situation))


def _beam(board: Board) -> int:
    cells = max(1, board.rows.shape[0] * max(len(board.groups), board.rows.shape[1] // 4))
    return int(min(BEAM, WORK // (cells * 3)))


def _again(board: Board, situation: Situation, checks: Floats, fixes: Floats, beam: int) -> tuple[Floats, Floats]:
    """Values of the best few actions with the best single action on each outcome; the others are left out."""
    deeper_checks, deeper_fixes = np.full_like(checks, np.inf), np.full_like(fixes, np.inf)
    minutes = board.task_minutes(situation, situation.opened)
    mass = float(situation.weights.sum())
    for task in np.argsort(checks, kind="stable")[:beam]:
        if np.isfinite(checks[task]):
            rows = np.flatnonzero(board.row_task == task)
            after = sum(least_minutes(board, board.after_check(situation, int(row))) for row in rows)
            deeper_checks[task] = minutes[task] * mass + after
    now = board.cure_minutes(situation.opened)
    for group in np.argsort(fixes, kind="stable")[: max(1, beam // 2)]:
        if np.isfinite(fixes[group]):
            after_fix = board.after_fix(situation, int(group))
            rest = least_minutes(board, after_fix) if after_fix.weights.sum() > 0 else 0.0
            deeper_fixes[group] = now[group] * mass + rest
    return deeper_checks, deeper_fixes


def _least(board: Board, situation: Situation, checks: Floats, fixes: Floats) -> Best:
    task = _first_least(checks)
    group = _first_least(fixes)
    if task is None and group is None:
        return Best(None, None, give_up_minutes(board, situation))
    if task is not None and (group is None or checks[task] <= fixes[group] + TIE):
        return Best(board.first_of(situation, task), None, float(checks[task]))
    return Best(None, group, float(fixes[group])) if group is not None else Best(None, None, np.inf)


def _first_least(values: Floats) -> int | None:
    if not len(values) or not np.isfinite(values.min()):
        return None
    return int(np.flatnonzero(values <= values.min() + TIE)[0])
