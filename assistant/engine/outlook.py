"""The arithmetic of a situation: what a check or a fix costs and what it would leave, in expected minutes.

A ``Board`` holds the numbers of one problem that do not change while looking ahead; a ``Situation`` holds those that
do. Weights in a situation are joint with what led there: they sum to the probability of getting there, so expected
minutes of branches simply add up.

The planner looks ahead over a base policy (see ``basis``).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from assistant.engine.basis import RATE, base_minutes, entropy, rate_of
from assistant.engine.likelihood import Flags, Floats
from assistant.engine.view import Indexes, View

CONDEMN_FLOOR = 0.3
"""A check that condemns counts only while its suspects keep this share: one slip against much else is no ground."""
SURE = 0.9
"""Probability of an outcome from which it counts as condemning; a reading too close to call condemns nothing."""
NEGLIGIBLE = 1e-7
"""Share below which a suspect is left out of the looking ahead (never out of the weights)."""
TRY_FLOOR = 0.02
"""Share below which no fix is worth its proof."""
TELLING = 0.002
"""Expected move of the shares (total variation) below which a check tells nothing worth asking."""
TRIES = 2
"""Times that one fix is done at most."""
ASKED = 2
"""Times that a repeatable check is asked at most on the same evidence."""

WIDTH = 24
"""Candidates valued at the first look, when there are more."""


@dataclass(frozen=True, eq=False)
class Situation:
    """Where a branch of the looking ahead stands."""

    weights: Floats
    """Joint weight of each live suspect; the sum is the probability of this branch."""
    opened: Flags
    """What is open."""
    licensed: Flags
    """Groups that a check has condemned or pointed at."""
    left: Flags
    """Candidate tasks that can still be done."""


@dataclass(frozen=True, eq=False)
class Valued:
    """Candidates with what they are worth."""

    minutes: Floats
    """Expected minutes of each candidate; infinite where it cannot be done or cannot change anything."""
    rows: Floats
    """Expected minutes after each of the board's rows, joint with its probability."""


@dataclass(frozen=True, eq=False)
class Board:
    """The numbers of one problem. Groups are the cures that still have a live suspect, in file order."""

    view: View
    """Where it comes from."""
    suspects: Indexes
    """Live suspects by position in the view, sorted by group."""
    starts: Indexes
    """First live suspect of each group."""
    groups: Indexes
    """Cure of each group by position in the view."""
    stuck: float
    """Share of suspects whose fix is not to be had."""
    closed: Floats
    """Minutes of each group's fix and its proof with all its openings to be made."""
    saved: Floats
    """Minutes that an opening saves each group's fix when it is open already, shape (openings, groups)."""
    free: Flags
    """Groups whose fix may be tried at any time."""
    repairs: Flags
    """Groups whose fix replaces no part."""
    tried: Flags
    """Groups whose fix was done already and did not cure: done again only when a check points at it again."""
    waits: Flags
    """Candidates that must come before each group's fix, shape (groups, candidates)."""
    tasks: Indexes
    """Candidate tasks by position in the view, in file order."""
    own_minutes: Floats
    """Minutes of each candidate alone."""
    own_needs: Flags
    """Openings of each candidate alone, shape (candidates, openings)."""
    before: Flags
    """Candidates that must come before each candidate, shape (candidates, candidates)."""
    rows: Floats
    """Likelihood rows of all candidates, outcomes that say the same taken together, shape (rows, live suspects)."""
    row_task: Indexes
    """Candidate of each row."""
    row_starts: Indexes
    """First row of each candidate."""
    row_licenses: Flags
    """Groups that each row condemns or points at, shape (rows, groups)."""
    threshold: float
    """Share above which a part may be replaced without a check that condemned it."""
    rate: float | None = RATE[1]
    """Minutes charged for a nat of what is not known yet; None: as if no check were left."""
    telling: float = TELLING
    """Expected move of the shares below which a check is not asked."""

    def grouped(self, weights: Floats) -> Floats:
        """Weights of suspects, last axis, summed by group."""
        return np.asarray(np.add.reduceat(weights, self.starts, axis=-1), dtype=np.float64)

    def task_needs(self, situation: Situation) -> Flags:
        """Openings of each candidate and of those that must still come before it."""
        if not self.before.any():
            return self.own_needs
        ahead = (self.before & situation.left).astype(np.float32) @ self.own_needs.astype(np.float32)
        return np.asarray(self.own_needs | (ahead > 0))

    def task_minutes(self, situation: Situation, opened: Flags, needs: Flags | None = None) -> Floats:
        """Minutes of each candidate with the openings to be made and those that must still come before it."""
        needs = self.task_needs(situation) if needs is None else needs
        minutes = self.own_minutes + (self.before & situation.left) @ self.own_minutes
        return np.asarray(minutes + (needs & ~opened) @ self.view.opening_minutes)

    def first_of(self, situation: Situation, task: int) -> int:
        """The candidate to do first for this one: itself, or the first of those that must still come before it."""
        ahead = np.flatnonzero(self.before[task] & situation.left)
        return next((int(other) for other in ahead if not (self.before[other] & situation.left).any()), task)

    def cure_minutes(self, opened: Flags) -> Floats:
        """Minutes of each group's fix with its openings and the proof; ``opened`` may have rows."""
        return np.asarray(self.closed - opened.astype(np.float64) @ self.saved, dtype=np.float64)

    def allowed(self, situation: Situation) -> Flags:
        """Groups whose fix may be done now."""
        masses = self.grouped(situation.weights)
        total = max(float(masses.sum()) + self.stuck_mass(situation), 1e-300)
        share = masses / total
        condemned = situation.licensed & (share >= CONDEMN_FLOOR)
        pointed = self.free | condemned | ((share >= self.threshold) & ~self.tried)
        waiting = (self.waits & situation.left).any(axis=1)
        return np.asarray(pointed & ~waiting & (share >= TRY_FLOOR))

    def stuck_mass(self, situation: Situation) -> float:
        """Joint weight of suspects whose fix is not to be had, taken in proportion."""
        return self.stuck * float(situation.weights.sum()) / max(1.0 - self.stuck, 1e-9)

    def wait_minutes(self, situation: Situation) -> Floats:
        """Minutes of the checks that must still come before each group's fix."""
        return np.asarray((self.waits & situation.left) @ self.own_minutes, dtype=np.float64)

    def rated(self, situation: Situation) -> Board:
        """The same board with the minutes a nat that its candidates ask for in this situation."""
        if not len(self.tasks):
            return self
        mass = max(float(situation.weights.sum()), 1e-300)
        after = np.add.reduceat(entropy(self.grouped(self.rows * situation.weights)), self.row_starts)
        gain = (float(entropy(self.grouped(situation.weights)[None, :])[0]) - after) / mass
        minutes = self.task_minutes(situation, situation.opened)
        return replace(self, rate=rate_of(minutes, np.where(situation.left, gain, 0.0)))

    def check_minutes(self, situation: Situation, width: int = WIDTH) -> Valued:
        """Expected minutes to a proven cure when a candidate is done next and the base policy follows.

        Where there are many candidates, only ``width`` of them are valued: those that promise the most by a cheaper
        measure, the entropy of the groups taken away a minute.
        """
        if not len(self.tasks):
            return Valued(np.zeros(0), np.zeros(0))
        needs = self.task_needs(situation)
        minutes = self.task_minutes(situation, situation.opened, needs)
        joint = self.grouped(self.rows * situation.weights)
        chance = joint.sum(axis=1)
        share = joint / np.maximum(chance, 1e-300)[:, None]
        grounds = self.row_licenses & (share >= CONDEMN_FLOOR)
        picked = self._picked(situation, share, chance, grounds, minutes, width)
        rows = np.flatnonzero(picked[self.row_task])
        expected, value = np.full(len(self.tasks), np.inf), np.full(len(self.row_task), np.inf)
        if not len(rows):
            return Valued(expected, value)
        fix = self.cure_minutes((needs | situation.opened)[self.row_task[rows]])
        waits = self.wait_minutes(situation)[None, :]
        if waits.any():
            done = self.waits.T[self.row_task[rows]]
            waits = np.maximum(waits - done * self.own_minutes[self.row_task[rows]][:, None], 0.0)
        last = int(situation.left.sum()) == 1
        value[rows] = base_minutes(joint[rows], fix + waits, None if last else self.rate)
        mass = float(situation.weights.sum())
        tasks = np.flatnonzero(picked)
        summed = np.bincount(self.row_task[rows], weights=value[rows], minlength=len(self.tasks))
        expected[tasks] = summed[tasks] + minutes[tasks] * mass
        return Valued(expected, value)

    def _picked(
        self, situation: Situation, share: Floats, chance: Floats, grounds: Flags, minutes: Floats, width: int
    ) -> Flags:
        """Candidates that can change anything, the most promising where there are more than ``width``."""
        mass = max(float(situation.weights.sum()), 1e-300)
        before = self.grouped(situation.weights) / mass
        news = (grounds & ~(situation.licensed | self.free)).any(axis=1) * chance
        moved = np.abs(share - before).sum(axis=1) * chance / 2
        held_up = self.waits[before >= TRY_FLOOR].any(axis=0)
        telling = (np.add.reduceat(news + moved, self.row_starts) > self.telling * mass) | held_up
        telling &= situation.left
        if int(telling.sum()) <= width:
            return np.asarray(telling)
        single = np.maximum(share.astype(np.float32), np.float32(1e-30))  # a screen needs no more digits
        spread = -np.einsum("rg,rg->r", single, np.log(single)).astype(np.float64) * chance / mass
        gain = float(-(before * np.log(np.maximum(before, 1e-300))).sum()) - np.add.reduceat(spread, self.row_starts)
        ground = np.add.reduceat((grounds * share).max(axis=1, initial=0.0) * chance / mass, self.row_starts)
        promise = np.where(telling, (gain + ground / 4) / np.maximum(minutes, 0.1), -np.inf)
        plain = np.where(telling, gain + ground / 4, -np.inf)
        picked = np.zeros(len(telling), dtype=np.bool_)
        picked[np.argsort(-np.round(promise, 12), kind="stable")[: width - width // 3]] = True
        picked[np.argsort(-np.round(plain, 12), kind="stable")[: width // 3]] = True
        return picked & telling

    def fix_minutes(self, situation: Situation, width: int = WIDTH, *, blind: bool = False) -> Floats:
        """Expected minutes to a proven cure when a group's fix is done next; infinite where not allowed.

        Of many allowed fixes only the ``width`` with the most probability over cost are valued. ``blind``: no check
        is left that tells.
        """
        expected = np.full(len(self.groups), np.inf)
        masses = self.grouped(situation.weights)
        now = self.cure_minutes(situation.opened)
        allowed = np.flatnonzero(self.allowed(situation))
        if not len(allowed):
            return expected
        chosen = allowed[np.argsort(-(masses / np.maximum(now, 1e-9))[allowed], kind="stable")[:width]]
        rest = np.repeat(masses[None, :], len(chosen), axis=0)
        rest[np.arange(len(chosen)), chosen] = 0.0
        fix = (self.closed + self.wait_minutes(situation))[None, :]
        after = base_minutes(rest, fix, None if blind else self.rate)
        expected[chosen] = float(masses.sum()) * now[chosen] + after
        return expected

    def after_check(self, situation: Situation, row: int) -> Situation:
        """The branch in which a candidate shows the outcome of this row."""
        task = int(self.row_task[row])
        left = situation.left & ~self.before[task]
        opened = situation.opened | self.task_needs(situation)[task]
        left[task] = False
        return Situation(
            situation.weights * self.rows[row],
            opened,
            situation.licensed | self.row_licenses[row],
            left,
        )

    def after_fix(self, situation: Situation, group: int) -> Situation:
        """The branch in which a fix did not cure: its suspects are out and everything is closed again."""
        weights = situation.weights.copy()
        stop = self.starts[group + 1] if group + 1 < len(self.starts) else len(weights)
        weights[self.starts[group] : stop] = 0.0
        return replace(situation, weights=weights, opened=np.zeros_like(situation.opened))

    def narrowed(self, situation: Situation, least: float) -> tuple[Board, Situation]:
        """The same problem with only the suspects above a share, the candidates left and the rows they have."""
        mass = float(situation.weights.sum())
        live = np.flatnonzero(situation.weights > least * mass)
        group_of = np.repeat(np.arange(len(self.starts)), np.diff(self.starts, append=len(self.suspects)))[live]
        kept, starts = np.unique(group_of, return_index=True)
        tasks = np.flatnonzero(situation.left)
        number_of = np.full(len(self.tasks), -1, dtype=np.int64)
        number_of[tasks] = np.arange(len(tasks))
        rows = np.flatnonzero(situation.left[self.row_task])
        row_task = number_of[self.row_task[rows]]
        board = replace(
            self,
            suspects=self.suspects[live],
            starts=starts.astype(np.int64),
            groups=self.groups[kept],
            closed=self.closed[kept],
            saved=self.saved[:, kept],
            free=self.free[kept],
            repairs=self.repairs[kept],
            tried=self.tried[kept],
            waits=self.waits[np.ix_(kept, tasks)],
            tasks=self.tasks[tasks],
            own_minutes=self.own_minutes[tasks],
            own_needs=self.own_needs[tasks],
            before=self.before[np.ix_(tasks, tasks)],
            rows=self.rows[np.ix_(rows, live)],
            row_task=row_task,
            row_starts=np.flatnonzero(np.diff(row_task, prepend=-1)).astype(np.int64),
            row_licenses=self.row_licenses[np.ix_(rows, kept)],
        )
        whole = np.ones(len(tasks), dtype=np.bool_)
        weights = situation.weights[live]
        scaled = weights * (mass / max(float(weights.sum()), 1e-300))
        return board, Situation(scaled, situation.opened, situation.licensed[kept], whole)
