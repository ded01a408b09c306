"""The numbers of a problem, and what a check or a fix leads to.

A ``Problem`` holds the numbers of one problem that do not change while looking ahead; a ``Belief`` holds those that
do. Weights in a belief are joint with what led there: they sum to the probability of getting there, so expected
minutes of branches simply add up.

The planner looks ahead over a base policy (see ``base_policy``); ``action_values`` says what each next action is
worth.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from assistant.diagnosis.constants import BARELY, NAT_MINUTES, TELLING
from assistant.diagnosis.fault_model import FaultModel, Indexes
from assistant.diagnosis.likelihood import Flags, Floats
from assistant.diagnosis.outcome_rows import GroupedRows, OutcomeRows, grouped_rows


@dataclass(frozen=True, eq=False)
class Belief:
    """Where a branch of the looking ahead stands."""

    weights: Floats
    """Joint weight of each live suspect; the sum is the probability of this branch."""
    opened: Flags
    """What is open."""
    condemned: Flags
    """Groups that a check has condemned or pointed at."""
    left: Flags
    """Candidate tasks that can still be done."""
    costs: tuple[Flags, Floats] | None = None
    """Openings and minutes of each candidate here, where they were worked out (see ``Problem.costs``)."""


@dataclass(frozen=True, eq=False)
class Problem:
    """The numbers of one problem. Groups are the cures that still have a live suspect, in file order."""

    fault_model: FaultModel
    """Where it comes from."""
    suspects: Indexes
    """Live suspects by position in the fault model, sorted by group."""
    group_of: Indexes
    """Group of each live suspect, rising."""
    starts: Indexes
    """First live suspect of each group."""
    groups: Indexes
    """Cure of each group by position in the fault model."""
    stuck: float
    """Share of suspects whose fix is not to be had."""
    closed: Floats
    """Minutes of each group's fix and its proof with all its openings to be made."""
    saved: Floats
    """Minutes that an opening saves each group's fix when it is open already, shape (groups, openings)."""
    free: Flags
    """Groups whose fix may be tried at any time."""
    repairs: Flags
    """Groups whose fix replaces no part."""
    tried: Flags
    """Groups whose fix was done already and did not cure: done again only when a check points at it again."""
    cured: Flags | None
    """Suspects that each group's fix takes away, shape (groups, suspects); None where each takes only its own."""
    fix_precedence: Flags
    """Candidates that must come before each group's fix, shape (groups, candidates)."""
    tasks: Indexes
    """Candidate tasks by position in the fault model, in file order."""
    own_minutes: Floats
    """Minutes of each candidate alone."""
    own_needs: Flags
    """Openings of each candidate alone, shape (candidates, openings)."""
    check_precedence: Flags
    """Candidates that must come before each candidate, shape (candidates, candidates)."""
    rows: OutcomeRows
    """Likelihoods of all candidates' outcomes; those that say the same are taken together as one row."""
    row_task: Indexes
    """Candidate of each row."""
    row_starts: Indexes
    """First row of each candidate."""
    row_condemns: Flags
    """Cures that each row condemns or points at, shape (rows, cures): those of the whole fault model."""
    threshold: float
    """Share above which a part may be replaced without a check that condemned it."""
    nat_price: float | None = NAT_MINUTES[1]
    """Minutes charged for a nat of what is not known yet; None: as if no check were left."""
    telling: float = TELLING
    """Expected move of the shares below which a check is not asked."""

    @property
    def size(self) -> int:
        """Suspects times rows: how large the problem is, for how far to look ahead."""
        return len(self.suspects) * len(self.row_task)

    @property
    def work(self) -> int:
        """Numbers that one pass over a belief touches."""
        return len(self.rows.row) + len(self.row_task)

    @cached_property
    def grouped_rows(self) -> GroupedRows:
        """The rows with their cells."""
        return grouped_rows(self.rows, self.group_of)

    def grouped(self, weights: Floats) -> Floats:
        """Weights of suspects, first axis, summed by group."""
        if len(self.starts) == len(weights):
            return weights
        sums = weights[self.starts]
        sizes = np.diff(self.starts, append=len(weights))
        for member in range(1, int(sizes.max(initial=1))):  # a few passes along the memory beat one across it
            larger = sizes > member
            sums[larger] += weights[self.starts[larger] + member]
        return sums

    def costs(self, belief: Belief) -> tuple[Flags, Floats]:
        """Each candidate's openings and minutes to do it, with what must still be opened and come before it."""
        if belief.costs is not None:
            return belief.costs
        needs, minutes = self.own_needs, self.own_minutes
        ahead = self.check_precedence & belief.left
        waiting = np.flatnonzero(ahead.any(axis=1))
        if len(waiting):
            counted = ahead[waiting].astype(np.float64)
            needs, minutes = needs.copy(), minutes.copy()
            needs[waiting] |= counted @ self.own_needs > 0
            minutes[waiting] += counted @ self.own_minutes
        return needs, np.asarray(minutes + (needs & ~belief.opened) @ self.fault_model.opening_minutes)

    def first_of(self, belief: Belief, task: int) -> int:
        """The candidate to do first for this one: itself, or the first of those that must still come before it."""
        ahead = np.flatnonzero(self.check_precedence[task] & belief.left)
        return next((int(other) for other in ahead if not (self.check_precedence[other] & belief.left).any()), task)

    def cure_minutes(self, opened: Flags) -> Floats:
        """Minutes of each group's fix with its openings and the proof, shape (groups,); one column for each row of
        ``opened`` when it has rows."""
        closed = self.closed if opened.ndim == 1 else self.closed[:, None]
        return np.asarray(closed - self.saved @ opened.T.astype(np.float64), dtype=np.float64)

    def stuck_mass(self, belief: Belief) -> float:
        """Joint weight of suspects whose fix is not to be had, taken in proportion."""
        return self.stuck * float(belief.weights.sum()) / max(1.0 - self.stuck, 1e-9)

    def branches(self, belief: Belief, task: int, rows: Iterable[int]) -> Iterator[Belief]:
        """The branches in which a candidate shows the outcome of one of its rows."""
        left = belief.left & ~self.check_precedence[task]
        left[task] = False
        after = replace(belief, opened=belief.opened | self.costs(belief)[0][task], left=left, costs=None)
        after = replace(after, costs=self.costs(after))
        for row in rows:
            condemned = belief.condemned | self.row_condemns[row, self.groups]
            yield replace(after, weights=belief.weights * self.rows.column(row), condemned=condemned)

    def after_fix(self, belief: Belief, group: int) -> Belief:
        """The branch in which a fix did not cure: its suspects are out and everything is closed again."""
        weights = belief.weights.copy()
        stop = self.starts[group + 1] if group + 1 < len(self.starts) else len(weights)
        weights[self.starts[group] : stop] = 0.0
        if self.cured is not None:
            weights[self.cured[group]] = 0.0
        return replace(belief, weights=weights, opened=np.zeros_like(belief.opened), costs=None)

    def narrowed(self, beliefs: Sequence[Belief], least: float) -> tuple[Problem, list[Belief]]:
        """The same problem for all of these, with only the suspects above a share of any of them.

        In each one, suspects at or below the share weigh nothing and the others make up for them.
        """
        weights = np.array([belief.weights for belief in beliefs])
        mass = weights.sum(axis=1, keepdims=True)
        kept = weights > least * mass * BARELY
        live = np.flatnonzero(kept.any(axis=0))
        weights = (weights * kept)[:, live]
        weights *= mass / np.maximum(weights.sum(axis=1, keepdims=True), 1e-300)
        group_of = self.group_of[live]
        starts = np.flatnonzero(group_of != np.concatenate(([-1], group_of[:-1])))
        groups = group_of[starts]
        problem = replace(
            self,
            suspects=self.suspects[live],
            group_of=np.cumsum(group_of != np.concatenate((group_of[:1], group_of[:-1]))),
            starts=starts,
            groups=self.groups[groups],
            closed=self.closed[groups],
            saved=self.saved[groups],
            free=self.free[groups],
            repairs=self.repairs[groups],
            tried=self.tried[groups],
            cured=None if self.cured is None else self.cured[np.ix_(groups, live)],
            fix_precedence=self.fix_precedence[groups],
            rows=self.rows.of_suspects(live, len(self.suspects)),
        )
        return problem, [
            replace(one, weights=row, condemned=one.condemned[groups])
            for one, row in zip(beliefs, weights, strict=True)
        ]
