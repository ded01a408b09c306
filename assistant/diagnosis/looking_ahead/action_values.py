"""What each next check or fix is worth, in expected minutes to a proven cure, for many beliefs side by side.

The looking ahead comes to a few dozen beliefs at a time that differ only in their weights and in what is done and
open. Their arrays lie side by side, so that the work for all of them is one pass over the memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from assistant.diagnosis.constants import BARELY, CONDEMN_FLOOR, GROUND_NATS, TRY_FLOOR
from assistant.diagnosis.likelihood import Flags, Floats
from assistant.diagnosis.looking_ahead.base_policy import blind_minutes, entropy, entropy_without, nat_price
from assistant.diagnosis.outcome_rows import JointRows
from assistant.diagnosis.problem import Belief, Problem


@dataclass(frozen=True, eq=False)
class ActionValues:
    """Actions with what they are worth, joint with the probability of their belief."""

    checks: Floats
    """Expected minutes of each candidate; infinite where it cannot be done or cannot change anything, shape
    (beliefs, candidates)."""
    rows: Floats
    """Expected minutes after each of the problem's rows, shape (beliefs, rows)."""
    fixes: Floats
    """Expected minutes of each group's fix; infinite where not allowed, shape (beliefs, groups)."""
    told: Flags
    """True where some check tells, shape (beliefs,)."""

    @property
    def least(self) -> Floats:
        """The least of each belief; infinite where nothing is left to do, shape (beliefs,)."""
        both = np.minimum(self.checks.min(axis=1, initial=np.inf), self.fixes.min(axis=1, initial=np.inf))
        return np.asarray(both, dtype=np.float64)


class BeliefBatch:
    """Beliefs of one problem side by side.

    Args:
        problem: their problem.
        beliefs: at least one.
    """

    def __init__(self, problem: Problem, beliefs: Sequence[Belief]) -> None:
        self.problem = problem
        self.weights = np.array([one.weights for one in beliefs]).T
        self.condemned = np.array([one.condemned for one in beliefs]).T
        self.opened = np.array([one.opened for one in beliefs])
        self.left = np.array([one.left for one in beliefs])
        costs = [problem.costs(one) for one in beliefs]
        self.needs = np.array([needs for needs, _ in costs])
        self.minutes = np.array([minutes for _, minutes in costs])
        self.mass = self.weights.sum(axis=0)
        self.masses = problem.grouped(self.weights)
        self.joint = JointRows(problem.grouped_rows, self.weights, self.masses)
        self.chance = self.joint.chance.T

    def priced(self) -> None:
        """Charge the minutes a nat that the candidates of the first belief ask for."""
        if not len(self.problem.tasks):
            return
        mass = max(float(self.mass[0]), 1e-300)
        after = np.add.reduceat(self.joint.entropy[:, 0], self.problem.row_starts)
        gain = np.where(self.left[0], (float(entropy(self.masses[:, 0])) - after) / mass, 0.0)
        self.problem = replace(self.problem, nat_price=nat_price(self.minutes[0], gain))

    def valued(self, width: int) -> ActionValues:
        """What every action is worth when the base policy follows.

        Where there are many candidates, only ``width`` of them are valued: those that promise the most by a cheaper
        measure, the entropy of the groups taken away a minute.
        """
        checks, rows = self._checks(width)
        told = np.asarray(np.isfinite(checks).any(axis=1))
        return ActionValues(checks, rows, self._fixes(told), told)

    def _checks(self, width: int) -> tuple[Floats, Floats]:
        problem = self.problem
        expected, value = np.full(self.left.shape, np.inf), np.full(self.chance.shape, np.inf)
        if not len(problem.tasks):
            return expected, value
        picked = self._picked(width)
        branch, task = np.nonzero(picked)
        if not len(branch):
            return expected, value
        number = np.zeros(picked.shape, dtype=np.int64)
        number[branch, task] = np.arange(len(branch))
        side, row = np.nonzero(picked[:, problem.row_task])
        of_rows = problem.row_task[row]
        pair = number[side, of_rows]
        fix = problem.cure_minutes(self.needs[branch, task] | self.opened[branch])
        precedence = self._precedence_minutes()
        if precedence is not None:
            due = problem.fix_precedence[:, task] * problem.own_minutes[task]
            fix += np.maximum(precedence[:, branch] - due, 0.0)
        if problem.nat_price is None:
            after = blind_minutes(self.joint.dense(row, side), fix[:, pair])
        else:
            after = self.joint.expected(row, side, pair, fix) + problem.nat_price * self.joint.entropy[row, side]
            last = np.flatnonzero((self.left.sum(axis=1) == 1)[side])
            if len(last):
                after[last] = blind_minutes(self.joint.dense(row[last], side[last]), fix[:, pair[last]])
        value[side, row] = after
        summed = np.bincount(pair, weights=after, minlength=len(branch))
        expected[branch, task] = summed + self.minutes[branch, task] * self.mass[branch]
        return expected, value

    def _picked(self, width: int) -> Flags:
        """Candidates that can change anything, the most promising where there are more than ``width``."""
        problem, joint = self.problem, self.joint
        cells = joint.grouped
        mass = np.maximum(self.mass, 1e-300)[:, None]
        before = self.masses / mass[:, 0]
        grounds = problem.row_condemns[cells.row, problem.groups[cells.group]][:, None]
        grounds = grounds & (joint.cells >= CONDEMN_FLOOR * BARELY * joint.chance[cells.row])
        fresh = grounds & ~(self.condemned | problem.free[:, None])[cells.group]
        news = joint.moved() + joint.chance * (cells.highest(fresh.astype(np.float64)) > 0)
        telling = np.add.reduceat(news.T, problem.row_starts, axis=1) > problem.telling * mass * BARELY
        if problem.fix_precedence.any():
            telling |= (before >= TRY_FLOOR * BARELY).T.astype(np.float64) @ problem.fix_precedence > 0
        telling &= self.left
        many = np.flatnonzero(telling.sum(axis=1) > width)
        if not len(many):
            return np.asarray(telling)
        after = np.add.reduceat(joint.entropy[:, many].T, problem.row_starts, axis=1)
        gain = (entropy(self.masses[:, many])[:, None] - after) / mass[many]
        ground = cells.highest(np.where(grounds, joint.cells, 0.0))[:, many].T
        plain = gain + GROUND_NATS * np.add.reduceat(ground, problem.row_starts, axis=1) / mass[many]
        picked = np.zeros(plain.shape, dtype=np.bool_)
        wanted = ((plain / np.maximum(self.minutes[many], 0.1), width - width // 3), (plain, width // 3))
        for promise, count in wanted:
            order = np.argsort(-np.round(np.where(telling[many], promise, -np.inf), 6), axis=1, kind="stable")
            np.put_along_axis(picked, order[:, :count], True, axis=1)
        telling[many] &= picked
        return np.asarray(telling)

    def _fixes(self, told: Flags) -> Floats:
        problem = self.problem
        allowed = self.allowed()
        expected = np.full(allowed.T.shape, np.inf)
        if not allowed.any():
            return expected
        now = problem.cure_minutes(self.opened)
        precedence = self._precedence_minutes()
        fix = (
            np.broadcast_to(problem.closed[:, None], now.shape)
            if precedence is None
            else problem.closed[:, None] + precedence
        )
        after = np.zeros(allowed.shape)
        blind = ~told if problem.nat_price is not None else np.ones_like(told)
        if problem.nat_price is not None:
            cost = self.masses * fix
            after = cost.sum(axis=0) - cost + problem.nat_price * entropy_without(self.masses)
            for one in self._takes_more(allowed):
                rest = self._rest(one)
                after[one] = (rest * fix).sum(axis=0) + problem.nat_price * entropy(rest)
        group, side = np.nonzero(allowed & blind)
        if len(group):
            rest = self.masses[:, side]
            rest[group, np.arange(len(group))] = 0.0
            for one in self._takes_more(allowed & blind):
                own = group == one
                rest[:, own] = self._rest(one)[:, side[own]]
            after[group, side] = blind_minutes(rest, fix[:, side])
        group, side = np.nonzero(allowed)
        expected[side, group] = self.mass[side] * now[group, side] + after[group, side]
        return expected

    def _takes_more(self, wanted: Flags) -> list[int]:
        """Wanted groups whose fix takes away faults of other groups as well."""
        cured = self.problem.cured
        if cured is None:
            return []
        sizes = np.diff(self.problem.starts, append=len(self.weights))
        return list(np.flatnonzero(wanted.any(axis=1) & (cured.sum(axis=1) > sizes)).tolist())

    def _rest(self, group: int) -> Floats:
        """Masses of the groups that are left when a group's fix is done, shape (groups, beliefs)."""
        cured = self.problem.cured
        gone = np.zeros(len(self.weights), dtype=np.bool_) if cured is None else cured[group]
        return self.problem.grouped(np.where(gone[:, None], 0.0, self.weights))

    def allowed(self) -> Flags:
        """Groups whose fix may be done now, shape (groups, beliefs)."""
        problem = self.problem
        share = self.masses / np.maximum(self.mass * (1.0 + problem.stuck / max(1.0 - problem.stuck, 1e-9)), 1e-300)
        pointed = self.condemned & (share >= CONDEMN_FLOOR * BARELY)
        pointed |= problem.free[:, None] | ((share >= problem.threshold) & ~problem.tried[:, None])
        pointed &= share >= TRY_FLOOR * BARELY
        if problem.fix_precedence.any():
            pointed &= ~(problem.fix_precedence @ self.left.T)
        return np.asarray(pointed)

    def _precedence_minutes(self) -> Floats | None:
        """Minutes of the checks that must still come before each group's fix; None where none must."""
        precedence = self.problem.fix_precedence
        if not precedence.any():
            return None
        return np.asarray(precedence.astype(np.float64) @ (self.left * self.problem.own_minutes).T)
