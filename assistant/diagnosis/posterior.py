"""What is still suspected, given what was observed and done, in order: Bayes' rule over faults and pairs of faults.

A unit has one fault, or with probability ``SECOND_FAULT`` two, drawn by their priors. A check shows what the fault
declares (with two, what that one shows which the check names; where it names both, either). A fix takes a fault that
it cures away, but for one time in twenty (``NOT_CURED``), and what shows that fault is then drawn anew; everything
else stays as it was. The unit is not cured yet: at least one fault is left. A proof that failed speaks against what
the proof may miss; how likely a proof that passed missed what is still there, says ``missed``.

``posterior`` says how likely each suspect is the one to be cured next: of a pair, the likelier member counts first.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from assistant.diagnosis.constants import NOT_CURED, SECOND_FAULT
from assistant.diagnosis.evidence import Evidence, Look, fixes_done, gathered, proofs_failed, seen_likelihood
from assistant.diagnosis.fault_model import Cure, FaultModel, Indexes, Suspect
from assistant.diagnosis.likelihood import Floats
from assistant.messages.decisions import Decision

Factors = Mapping[tuple[str, str | None], float]
TINY = 1e-300
"""Stands for nothing where a logarithm is taken."""
STRETCH = 64
"""Rows of a square table that are worked on at once."""


@dataclass(frozen=True, eq=False)
class Joint:
    """What may be wrong now, as probabilities that sum to 1 together."""

    singles: Floats
    """One fault is left, shape (suspects,)."""
    pairs: Floats
    """Two are left, symmetric with each pair in both places at half its probability, shape (suspects, suspects)."""

    @property
    def present(self) -> Floats:
        """Probability that each suspect is there now, shape (suspects,)."""
        return np.asarray(self.singles + 2 * self.pairs.sum(axis=1))

    @property
    def next_cured(self) -> Floats:
        """Probability that each suspect is the one to be cured next, shape (suspects,): sums to 1.

        A pair counts for its members in proportion to how likely each is there at all: where one is as good as sure,
        it is the one to mend first, whatever the other may be.
        """
        present = np.maximum(self.present, TINY)
        chances = self.singles.copy()
        for start in range(0, len(present), STRETCH):  # a stretch at a time stays near the processor
            own = present[start : start + STRETCH, None]
            part = self.pairs[start : start + STRETCH] / (own + present)
            chances[start : start + STRETCH] += 2 * own[:, 0] * part.sum(axis=1)
        return chances


def posterior(
    fault_model: FaultModel, events: Sequence[Decision], prior_factors: Factors | None = None
) -> dict[Suspect, float]:
    """How likely each suspect is the one to be cured next; sums to 1.

    Args:
        fault_model: what applies on the unit.
        events: decisions in order; ``Observed``, ``ObservationWithdrawn`` and ``FixDone`` count.
        prior_factors: (fault, place) to a factor on its prior, taken from the unit's history; (fault, None) counts
            for all places that are not named.
    """
    if not fault_model.suspects:
        return {}
    weighed = joint(
        fault_model, gathered(fault_model, events), fixes_done(events), prior_factors, proofs_failed(events)
    )
    chances = weighed.next_cured
    return dict(zip(fault_model.suspects, (chances / chances.sum()).tolist(), strict=True))


def joint(
    fault_model: FaultModel,
    evidence: Sequence[Evidence],
    fixes: Sequence[Cure] = (),
    prior_factors: Factors | None = None,
    failed: Sequence[int] = (),
) -> Joint:
    """What may be wrong now, one fault or two, given the evidence and the fixes that did not cure the unit.

    Args:
        fault_model: what applies on the unit, with at least one suspect.
        evidence: all of it, from ``gathered``.
        fixes: done so far, in order, with repeats.
        prior_factors: see ``posterior``.
        failed: for each proof that failed how many fixes had been done before it.
    """
    return _Weighing(fault_model, evidence, fixes, _priors(fault_model, prior_factors or {}), failed).joint()


def missed(fault_model: FaultModel, events: Sequence[Decision], prior_factors: Factors | None = None) -> float:
    """How likely something is still there although the proof that follows these decisions passed.

    Args:
        fault_model: what applies on the unit.
        events: decisions in order up to the proof, with a fix among them.
        prior_factors: see ``posterior``.
    """
    misses, fixes = fault_model.proof_misses, fixes_done(events)
    if not misses.any() or not fixes:
        return 0.0
    priors = _priors(fault_model, prior_factors or {})
    weighing = _Weighing(fault_model, gathered(fault_model, events), fixes, priors, proofs_failed(events))
    left = weighing.joint()
    passes = float(left.singles @ misses + misses @ left.pairs @ misses)
    gone = np.exp(np.logaddexp.reduce([-np.inf, *weighing.all_gone()]) - weighing.log_left)
    return passes / (passes + float(gone))


def _priors(fault_model: FaultModel, factors: Factors) -> Floats:
    priors = fault_model.priors.copy()
    if factors:
        for number, suspect in enumerate(fault_model.suspects):
            anywhere = factors.get((suspect.fault, None), 1.0)
            priors[number] *= max(0.0, factors.get((suspect.fault, suspect.place), anywhere))
    total = priors.sum()
    return priors / total if total > 0 else np.full(len(priors), 1.0 / max(1, len(priors)))


class _Weighing:
    """Weighs all that may have been wrong from the beginning. Weights are logarithms."""

    def __init__(
        self,
        fault_model: FaultModel,
        evidence: Sequence[Evidence],
        fixes: Sequence[Cure],
        priors: Floats,
        failed: Sequence[int] = (),
    ) -> None:
        self.fault_model = fault_model
        self.evidence = evidence
        self.failed = failed if fault_model.proof_misses.any() else ()
        self.log_left = 0.0
        """Logarithm of the weight of all that may be left, once ``joint`` was worked out."""
        self.log_prior = np.log(np.maximum(priors, TINY))
        self.differs = np.array([fault_model.tables[item.task].differs for item in evidence], dtype=np.bool_)
        cures = [fault_model.cure_index.get(cure, -1) for cure in fixes]
        self.tried: dict[int, tuple[int, ...]] = {}
        """Suspect to the fixes that could have cured it, counted from 1."""
        known = [cure for cure in cures if cure >= 0]
        for number in np.flatnonzero(fault_model.cured_by[known].any(axis=0)).tolist():
            self.tried[number] = tuple(
                at for at, cure in enumerate(cures, start=1) if cure >= 0 and fault_model.cured_by[cure, number]
            )
        self.untried = np.setdiff1d(np.arange(len(priors)), np.array(list(self.tried), dtype=np.int64))
        unlike = 1.0 - float((priors**2).sum())
        self.log_pair = float(np.log(2 * SECOND_FAULT / unlike)) if SECOND_FAULT * unlike > 1e-12 else -np.inf
        self.log_single = float(np.log(1 - SECOND_FAULT))
        self.alone = self.log_prior.copy()
        """Prior and likelihood of each suspect alone, over the likelihood of nothing that any check names."""
        self.plain = 0.0
        """Likelihood of nothing that any check names."""
        self.beside: dict[tuple[int, int], float] = {}
        """Pairs of which a fix done could have cured either."""
        self.with_tried: dict[int, Floats] = {}
        """The same for each suspect that a fix done could have cured, with all that none could have, by position."""

    def joint(self) -> Joint:
        """Everything weighed, brought to probabilities."""
        named, correction = self.without_fixes()
        singles = self.alone + self.log_single + self.failures(slice(None))
        for number, tries in self.tried.items():
            shown = self.shown_by(number, None, np.zeros(0, dtype=np.int64))[0] - self.plain
            singles[number] = self.log_prior[number] + self.log_single + len(tries) * np.log(NOT_CURED) + shown
            singles[number] += self.failures(number)
        if self.log_pair == -np.inf:
            weights = np.exp(singles - singles.max())
            self.log_left = float(np.log(weights.sum()) + singles.max()) + self.plain
            return Joint(weights / weights.sum(), np.zeros((len(weights), len(weights))))
        for number in self.tried:
            self.with_a_fix(number, singles)
        top = float(singles.max())
        half = np.exp(self.alone + (self.log_pair - top) / 2)
        pairs = np.outer(half, half)
        own = self.alone[named]
        pairs[np.ix_(named, named)] = np.exp(np.add.outer(own, own) + correction + self.log_pair - top)
        both = np.flatnonzero(self.fault_model.proof_misses)
        pairs[np.ix_(both, both)] *= np.exp(self.failures(both, both))
        np.fill_diagonal(pairs, 0.0)
        fixed = list(self.tried)
        pairs[fixed] = 0.0
        pairs[:, fixed] = 0.0
        for number, log in self.with_tried.items():
            pairs[number, self.untried] = pairs[self.untried, number] = np.exp(log - top)
        for (one, other), log_both in self.beside.items():
            pairs[one, other] = pairs[other, one] = np.exp(log_both - top)
        weights = np.exp(singles - top)
        total = float(weights.sum() + pairs.sum() / 2)
        self.log_left = float(np.log(total)) + top + self.plain
        pairs /= 2 * total
        return Joint(weights / total, pairs)

    def without_fixes(self) -> tuple[Indexes, Floats]:
        """Weighs what no fix done could have cured: what is there to be seen never changed.

        Returns:
            The suspects that some evidence names, and what their pairs are likelier than by each one alone.
        """
        named = np.flatnonzero(self.differs.any(axis=0)) if len(self.evidence) else np.zeros(0, dtype=np.int64)
        position = np.zeros(len(self.log_prior), dtype=np.int64)
        position[named] = np.arange(len(named))
        correction = np.zeros((len(named), len(named)))
        for row, item in enumerate(self.evidence):
            by_suspect, by_none = self.chances(item, item.looks)
            none = float(np.log(max(by_none, TINY)))
            own = np.flatnonzero(self.differs[row])
            gain = np.log(np.maximum(by_suspect[own], TINY)) - none
            self.alone[own] += gain
            self.plain += none
            either = np.log(np.maximum(np.add.outer(by_suspect[own], by_suspect[own]) / 2, TINY)) - none
            correction[np.ix_(position[own], position[own])] += either - np.add.outer(gain, gain)
        return named, correction

    def with_a_fix(self, first: int, singles: Floats) -> None:
        """Pairs of a suspect that a fix done could have cured: it is gone since one of the fixes, or still there."""
        others = self.untried
        for worked in (None, *self.tried[first]) if len(others) else ():
            log = self.shown_by(first, worked, others) - self.plain + self.odds(first, worked)
            log += self.log_pair + self.log_prior[first] + self.log_prior[others]
            log = log + self.failures_beside(first, worked, others)
            if worked is not None:
                singles[others] = np.logaddexp(singles[others], log)
            else:
                self.with_tried[first] = log
        for second in (number for number in self.tried if number > first):
            self.both_with_a_fix(first, second, singles)

    def both_with_a_fix(self, first: int, second: int, singles: Floats) -> None:
        """One pair of which fixes done could have cured either; one of the two is still there."""
        prior = self.log_pair + self.log_prior[first] + self.log_prior[second] - self.plain
        for one in (None, *self.tried[first]):
            for other in (None, *self.tried[second]):
                if one is not None and other is not None:
                    continue
                log = float(self.shown_by(first, one, np.array([second]), other)[0])
                log += float(prior) + self.odds(first, one) + self.odds(second, other)
                log += float(self.failures_beside(first, one, np.array([second]), other)[0])
                if one is not None:
                    singles[second] = np.logaddexp(singles[second], log)
                elif other is not None:
                    singles[first] = np.logaddexp(singles[first], log)
                else:
                    self.beside[first, second] = log

    def failures(self, one: Indexes | slice | int, other: Indexes | None = None) -> Floats:
        """Log probability that all proofs failed while one suspect, or each of two, was there all along."""
        misses = self.fault_model.proof_misses
        passes = misses[one] if other is None else np.outer(misses[one], misses[other])
        return np.asarray(len(self.failed) * np.log1p(-passes))

    def failures_beside(
        self, first: int, worked: int | None, others: Indexes, other_worked: int | None = None
    ) -> Floats:
        """The same while a suspect was there until the fix that worked, alone or beside each of some others."""
        misses, log = self.fault_model.proof_misses, np.zeros(max(1, len(others)))
        for fixes in self.failed:
            there = worked is None or fixes < worked
            other_there = len(others) and (other_worked is None or fixes < other_worked)
            passes = (misses[first] if there else 1.0) * (misses[others] if other_there else np.ones(len(log)))
            log += np.log(np.maximum(1.0 - passes, TINY))
        return log

    def all_gone(self) -> list[float]:
        """Log weights of all ways in which the fixes done took everything away."""
        nobody, found = np.zeros(0, dtype=np.int64), list[float]()
        for first, tries in self.tried.items():
            for worked in tries:
                log = self.shown_by(first, worked, nobody)[0] + self.failures_beside(first, worked, nobody)[0]
                found.append(float(log + self.odds(first, worked) + self.log_single + self.log_prior[first]))
                for second in (number for number in self.tried if number > first):
                    found += self.both_gone(first, worked, second)
        return found

    def both_gone(self, first: int, worked: int, second: int) -> list[float]:
        """Log weights of the ways in which one suspect was taken away by this fix and another by any."""
        prior, other = self.log_pair + self.log_prior[first] + self.log_prior[second], np.array([second])
        found = []
        for other_worked in self.tried[second]:
            log = self.shown_by(first, worked, other, other_worked)[0]
            log += self.failures_beside(first, worked, other, other_worked)[0]
            found.append(float(log + prior + self.odds(first, worked) + self.odds(second, other_worked)))
        return found

    def odds(self, suspect: int, worked: int | None) -> float:
        """Log probability that just this fix cured a suspect that is there, or none (None)."""
        tries = self.tried[suspect]
        if worked is None:
            return len(tries) * float(np.log(NOT_CURED))
        return tries.index(worked) * float(np.log(NOT_CURED)) + float(np.log(1 - NOT_CURED))

    def shown_by(self, first: int, worked: int | None, others: Indexes, other_worked: int | None = None) -> Floats:
        """Log likelihood of all evidence when one suspect is there beside each of some others, shape (others,).

        Args:
            first: a suspect that fixes done could have cured.
            worked: the fix that cured it, None while it is still there.
            others: the second fault; none where the first one is alone (shape (1,) is returned).
            other_worked: the fix that cured the second one, for a single other.
        """
        log = np.zeros(max(1, len(others)))
        lone_other = int(others[0]) if len(others) == 1 and int(others[0]) in self.tried else None
        for row, item in enumerate(self.evidence):
            cuts = set(self.tried[first]) if self.differs[row, first] else set()
            if worked is not None:
                cuts = {cut for cut in cuts if cut <= worked}
            if lone_other is not None and self.differs[row, lone_other]:
                cuts |= {cut for cut in self.tried[lone_other] if other_worked is None or cut <= other_worked}
            edges = [0, *sorted(cuts), len(item.looks) + max(look.fixes for look in item.looks) + 1]
            for begin, end in pairwise(edges):
                looks = [look for look in item.looks if begin <= look.fixes < end]
                if looks:
                    there = worked is None or begin < worked
                    other_there = other_worked is None or begin < other_worked
                    log += np.log(
                        np.maximum(self.mixed(row, item, looks, first if there else None, others, other_there), TINY)
                    )
        return log

    def mixed(
        self,
        row: int,
        item: Evidence,
        looks: Sequence[Look],
        first: int | None,
        others: Indexes,
        other_there: bool,
    ) -> Floats:
        """P(what these looks showed) by what is there: the first, each other, both or none."""
        by_suspect, by_none = self.chances(item, looks)
        own = by_suspect[first] if first is not None and self.differs[row, first] else None
        if not len(others) or not other_there:
            return np.full(max(1, len(others)), by_none if own is None else own)
        theirs, named = by_suspect[others], self.differs[row, others]
        alone = by_none if own is None else own
        return np.where(named, theirs if own is None else (theirs + own) / 2, alone)

    def chances(self, item: Evidence, looks: Sequence[Look]) -> tuple[Floats, float]:
        """P(what these looks showed) under every suspect alone, and when no fault that the check names is there."""
        table = self.fault_model.tables[item.task]
        seen = seen_likelihood(self.fault_model, item.task, looks)
        return seen @ table.declared, float(seen @ table.plain)
