"""The least expected minutes by exact recursion: the yardstick for small problems.

Every order of checks and fixes is tried, each check once, with the same rules and costs as the planner's board: a
part is replaced only when condemned or above the threshold, and a proof puts everything back. The work grows
exponentially with the number of checks and cures: keep both below about six.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from assistant.engine.lookahead import Best, give_up_minutes
from assistant.engine.outlook import Board, Situation
from assistant.engine.valuing import Sides

POSSIBLE = 1e-12
"""Branches below this share are left out."""


def exact_minutes(board: Board, situation: Situation) -> float:
    """Least expected minutes to a proven cure from here, joint with the probability of the situation."""
    return _Exact(board).best(situation).minutes


def exact_best(board: Board, situation: Situation) -> Best:
    """The action with the least expected minutes; ties break by file order, checks before fixes."""
    return _Exact(board).best(situation)


def policy_minutes(board: Board, situation: Situation, policy: Callable[[Board, Situation], Best]) -> float:
    """Expected minutes to a proven cure when a policy chooses every action, under the same rules."""
    mass = float(situation.weights.sum())
    if mass < POSSIBLE:
        return 0.0
    best = policy(board, situation)
    if best.task is not None:
        branches = (board.after_check(situation, int(row)) for row in np.flatnonzero(board.row_task == best.task))
        cost = float(board.costs(situation)[1][best.task]) * mass
        return cost + sum(policy_minutes(board, branch, policy) for branch in branches)
    if best.group is not None:
        cost = float(board.cure_minutes(situation.opened)[best.group]) * mass
        return cost + policy_minutes(board, board.after_fix(situation, best.group), policy)
    return give_up_minutes(board, situation)


class _Exact:
    """One recursion with what it has already worked out."""

    def __init__(self, board: Board) -> None:
        self.board = board
        self.known: dict[bytes, Best] = {}

    def best(self, situation: Situation) -> Best:
        mass = float(situation.weights.sum())
        if mass < POSSIBLE:
            return Best(None, None, 0.0)
        key = b"".join(
            part.tobytes()
            for part in (
                np.round(situation.weights / mass, 10),
                situation.opened,
                situation.licensed,
                situation.left,
            )
        )
        if key not in self.known:
            self.known[key] = self._work_out(situation, mass)
        kept = self.known[key]
        return Best(kept.task, kept.group, kept.minutes * mass)

    def _work_out(self, situation: Situation, mass: float) -> Best:
        """The best action a unit of probability, over all of them."""
        least = Best(None, None, float("inf"))
        minutes = self.board.costs(situation)[1]
        for task in np.flatnonzero(situation.left):
            if (self.board.before[task] & situation.left).any():
                continue
            rows = np.flatnonzero(self.board.row_task == task)
            after = sum(self.best(self.board.after_check(situation, int(row))).minutes for row in rows)
            total = float(minutes[task]) + after / mass
            if total < least.minutes - 1e-9:
                least = Best(int(task), None, total, int(task))
        now = self.board.cure_minutes(situation.opened)
        for group in np.flatnonzero(Sides(self.board, [situation]).allowed()[:, 0]):
            after = self.best(self.board.after_fix(situation, int(group))).minutes
            total = float(now[group]) + after / mass
            if total < least.minutes - 1e-9:
                least = Best(None, int(group), total)
        if least.task is None and least.group is None:
            return Best(None, None, give_up_minutes(self.board, situation) / mass)
        return least
