"""The best next action on a board, looking one or two actions ahead over the base policy.

How far is a matter of size, never of the clock, so that the same inputs give the same choice on every machine.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from assistant.engine.basis import GIVE_UP
from assistant.engine.likelihood import Floats
from assistant.engine.outlook import Board, Situation
from assistant.engine.valuing import Sides, Valued

WORK = 1_000_000
"""Cells (rows x suspects) that the second look may touch, so that a step takes some tens of milliseconds."""
CELLS = 400_000
"""Cells (rows x suspects x situations) worked on at once, so that they stay near the processor."""
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
    situation = replace(situation, costs=board.costs(situation))
    sides = Sides(replace(board, rate=None) if board.rows.size < TINY else board, [situation])
    if board.rows.size >= TINY:
        sides.rated()
    valued = sides.valued()
    if valued.told[0] and board.rows.size < WORK // 8:
        looks = 2 if board.rows.size < TINY else 1
        valued = _again(sides.board, [situation], valued, looks, BEAM)
    return _least(board, situation, valued.checks[0], valued.fixes[0])


def least_minutes(board: Board, situations: Sequence[Situation], looks: int = 1) -> Floats:
    """Expected minutes of each when the best action is taken, ``looks`` actions deep, and the base policy follows."""
    if not situations:
        return np.zeros(0)
    at_once = max(1, CELLS // max(1, board.rows.size))
    if len(situations) > at_once:
        parts = [situations[start : start + at_once] for start in range(0, len(situations), at_once)]
        return np.concatenate([least_minutes(board, part, looks) for part in parts])
    near, there = board.narrowed(situations, TAIL)
    valued = Sides(near, there).valued(NARROW)
    if looks > 1:
        valued = _again(near, there, valued, looks - 1, DEEP_BEAM)
    least = valued.least
    for number in np.flatnonzero(~np.isfinite(least)).tolist():
        least[number] = give_up_minutes(board, situations[number])
    return least


def give_up_minutes(board: Board, situation: Situation) -> float:
    """Minutes charged when nothing is left to do."""
    return GIVE_UP * (float(situation.weights.sum()) + board.stuck_mass(situation))


def _again(board: Board, situations: Sequence[Situation], valued: Valued, looks: int, beam: int) -> Valued:
    """Values of the best few actions with the best single action on each outcome; the others are left out."""
    checks, fixes = valued.checks.copy(), valued.fixes.copy()
    later: list[Situation] = []
    of_checks: list[tuple[int, int, int]] = []
    of_fixes: list[tuple[int, int, int]] = []
    for number in np.flatnonzero(valued.told).tolist():
        situation = situations[number]
        mass = float(situation.weights.sum())
        checks[number], fixes[number] = np.inf, np.inf
        for task in _worth_it(board, valued.checks[number], beam):
            checks[number, task] = board.costs(situation)[1][task] * mass
            rows = np.flatnonzero(board.row_task == task)
            for row, branch in zip(rows, board.branches(situation, task, rows), strict=True):
                if float(branch.weights.sum()) < LIKELY * mass:
                    checks[number, task] += valued.rows[number, row]
                else:
                    of_checks.append((len(later), number, task))
                    later.append(branch)
        now = board.cure_minutes(situation.opened)
        for group in np.argsort(valued.fixes[number], kind="stable")[:2].tolist():
            if np.isfinite(valued.fixes[number, group]):
                fixes[number, group] = now[group] * mass
                after = board.after_fix(situation, group)
                if after.weights.sum() > TAIL * mass:
                    of_fixes.append((len(later), number, group))
                    later.append(after)
    least = least_minutes(board, later, looks)
    for values, places in ((checks, of_checks), (fixes, of_fixes)):
        for place, side, column in places:
            values[side, column] += least[place]
    return replace(valued, checks=checks, fixes=fixes)


def _worth_it(board: Board, checks: Floats, beam: int) -> Iterator[int]:
    """The candidates to look at twice, the best first, while the work allows more."""
    enough = float(checks.min()) * (HOPELESS[0] if board.rows.size < SMALL else HOPELESS[1])
    budget = WORK
    for task in np.argsort(checks, kind="stable")[:beam]:
        if checks[task] > enough or budget <= 0:
            return
        budget -= int((board.row_task == task).sum()) * (board.rows.size + OVERHEAD)
        yield int(task)


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
