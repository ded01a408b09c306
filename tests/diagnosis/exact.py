"""The least expected minutes by exact recursion: the yardstick for small problems.

Every order of checks and fixes is tried, each check once, with the same rules and costs as the planner's board: a
part is replaced only when condemned or above the threshold, and a proof puts everything back. The work grows
exponentially with the number of checks and cures: keep both below about six.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from assistant.diagnosis.looking_ahead.action_values import BeliefBatch
from assistant.diagnosis.looking_ahead.lookahead import Best, give_up_minutes
from assistant.diagnosis.problem import Belief, Problem
from tests.diagnosis.problems import after_check

POSSIBLE = 1e-12
"""Branches below this share are left out."""


def exact_minutes(problem: Problem, belief: Belief) -> float:
    """Least expected minutes to a proven cure from here, joint with the probability of the situation."""
    return _Exact(problem).best(belief).minutes


def exact_best(problem: Problem, belief: Belief) -> Best:
    """The action with the least expected minutes; ties break by file order, checks before fixes."""
    return _Exact(problem).best(belief)


def policy_minutes(problem: Problem, belief: Belief, policy: Callable[[Problem, Belief], Best]) -> float:
    """Expected minutes to a proven cure when a policy chooses every action, under the same rules."""
    mass = float(belief.weights.sum())
    if mass < POSSIBLE:
        return 0.0
    best = policy(problem, belief)
    if best.task is not None:
        branches = (after_check(problem, belief, int(row)) for row in np.flatnonzero(problem.row_task == best.task))
        cost = float(problem.costs(belief)[1][best.task]) * mass
        return cost + sum(policy_minutes(problem, branch, policy) for branch in branches)
    if best.group is not None:
        cost = float(problem.cure_minutes(belief.opened)[best.group]) * mass
        return cost + policy_minutes(problem, problem.after_fix(belief, best.group), policy)
    return give_up_minutes(problem, belief)


class _Exact:
    """One recursion with what it has already worked out."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.known: dict[bytes, Best] = {}

    def best(self, belief: Belief) -> Best:
        mass = float(belief.weights.sum())
        if mass < POSSIBLE:
            return Best(None, None, 0.0)
        key = b"".join(
            part.tobytes()
            for part in (
                np.round(belief.weights / mass, 10),
                belief.opened,
                belief.condemned,
                belief.left,
            )
        )
        if key not in self.known:
            self.known[key] = self._work_out(belief, mass)
        kept = self.known[key]
        return Best(kept.task, kept.group, kept.minutes * mass)

    def _work_out(self, belief: Belief, mass: float) -> Best:
        """The best action a unit of probability, over all of them."""
        least = Best(None, None, float("inf"))
        minutes = self.problem.costs(belief)[1]
        for task in np.flatnonzero(belief.left):
            if (self.problem.check_precedence[task] & belief.left).any():
                continue
            rows = np.flatnonzero(self.problem.row_task == task)
            after = sum(self.best(after_check(self.problem, belief, int(row))).minutes for row in rows)
            total = float(minutes[task]) + after / mass
            if total < least.minutes - 1e-9:
                least = Best(int(task), None, total, int(task))
        now = self.problem.cure_minutes(belief.opened)
        for group in np.flatnonzero(BeliefBatch(self.problem, [belief]).allowed()[:, 0]):
            after = self.best(self.problem.after_fix(belief, int(group))).minutes
            total = float(now[group]) + after / mass
            if total < least.minutes - 1e-9:
                least = Best(None, int(group), total)
        if least.task is None and least.group is None:
            return Best(None, None, give_up_minutes(self.problem, belief) / mass)
        return least
