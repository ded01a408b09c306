"""Rows stored as what is usual and exceptions give the same numbers as all likelihoods written out."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.diagnosis.evidence import standing
from assistant.diagnosis.fault_model import fault_model
from assistant.diagnosis.looking_ahead.base_policy import entropy
from assistant.diagnosis.outcome_rows import JointRows
from assistant.diagnosis.posterior import posterior
from assistant.diagnosis.problem import Problem
from assistant.diagnosis.problem_layout import lay_out
from assistant.diagnosis.progress import Progress
from assistant.messages.decisions import Decision
from tests.diagnosis.problems import observed, random_large, shares_of


def problem_of(seed: int) -> Problem:
    """A problem with a check answered that may be looked at again, fewer suspects than the fault model has."""
    seen = fault_model(random_large(seed, wheels=3, faults=12, checks=8), {})
    events: list[Decision] = [observed(1, "c1", "low", "wheel 1"), observed(2, "c2", "good", "wheel 2")]
    weights = shares_of(seen, posterior(seen, events))
    weights[::5] = 0.0
    return lay_out(seen, weights / weights.sum(), Progress(evidence=standing(seen, events)))[0]


@pytest.mark.parametrize("seed", range(4))
def test_they_are_the_numbers_of_all_likelihoods_written_out(seed: int) -> None:
    problem = problem_of(seed)
    rng = np.random.default_rng(seed)
    weights = rng.dirichlet(np.ones(len(problem.suspects)), size=3).T * [1.0, 0.4, 1e-6]
    masses = problem.grouped(weights)
    joint = JointRows(problem.grouped_rows, weights, masses)
    count = len(problem.row_task)
    written = np.array([problem.rows.column(row) for row in range(count)]).T
    dense = problem.grouped(written[:, :, None] * weights[:, None, :])
    assert joint.chance == pytest.approx(dense.sum(axis=0), rel=1e-12)
    assert joint.entropy == pytest.approx(entropy(dense), rel=1e-9, abs=1e-15)
    likely = dense.sum(axis=0) / weights.sum(axis=0)
    assert joint.moved() == pytest.approx(np.abs(dense - masses[:, None] * likely).sum(axis=0) / 2, abs=1e-15)
    row, belief = np.divmod(np.arange(3 * count), 3)
    minutes = rng.uniform(1, 60, size=(len(problem.groups), 3))
    assert joint.dense(row, belief) == pytest.approx(dense[:, row, belief], rel=1e-12)
    expected = (dense[:, row, belief] * minutes[:, belief]).sum(axis=0)
    assert joint.expected(row, belief, belief, minutes) == pytest.approx(expected, rel=1e-12)


def test_a_row_has_few_exceptions_and_each_check_sums_to_one() -> None:
    problem = problem_of(7)
    written = np.array([problem.rows.column(row) for row in range(len(problem.row_task))])
    assert np.add.reduceat(written, problem.row_starts, axis=0) == pytest.approx(1.0)
    assert len(problem.rows.row) < 0.2 * problem.size
