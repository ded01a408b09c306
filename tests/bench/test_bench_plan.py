"""The planner against the exact optimum and a fixed order, and milliseconds a step. Printed, never asserted.

Run by ``make bench``.
"""

from __future__ import annotations

import statistics
import time

import pytest

from assistant.diagnosis.action_values import BeliefBatch
from assistant.diagnosis.fault_model import fault_model
from assistant.diagnosis.lookahead import Best, best_of
from assistant.diagnosis.planner import NextCheck, choose, progress_of
from assistant.diagnosis.posterior import posterior
from assistant.diagnosis.problem import Belief, Problem
from assistant.messages.decisions import Decision
from assistant.procedure.load import load_procedure
from assistant.simulator.prove import prove
from tests.diagnosis.exact import exact_minutes, policy_minutes
from tests.diagnosis.problems import laid_out, observed, random_large, random_small

pytestmark = pytest.mark.bench


@pytest.mark.parametrize("wheels", [4, 5, 6, 20])
def test_milliseconds_a_step_by_size(wheels: int) -> None:
    small = random_large(wheels=wheels)
    seen = fault_model(small, {})
    events: list[Decision] = []
    spent = []
    choose(seen, posterior(seen, events), progress_of(seen, events))  # worked out once for a unit is not a step
    for number in range(1, 9):
        began = time.process_time()
        choice = choose(seen, posterior(seen, events), progress_of(seen, events))
        spent.append(1000 * (time.process_time() - began))
        if not isinstance(choice, NextCheck):
            break
        events.append(observed(number, choice.task.check, "good", choice.task.place))
    print(
        f"\nplan: {len(seen.suspects)} suspects, {len(seen.tasks)} checks: "
        f"median {statistics.median(spent):.0f} ms of processor time a step, worst {max(spent):.0f} ms (goal 50)"
    )


def by_file(problem: Problem, belief: Belief) -> Best:
    """A fixed order: the first fix that is allowed, else the first check of the file that is left."""
    allowed = BeliefBatch(problem, [belief]).allowed()[:, 0].nonzero()[0]
    if len(allowed):
        return Best(None, int(allowed[0]), 0.0)
    left = belief.left.nonzero()[0]
    return Best(int(left[0]), None, 0.0) if len(left) else Best(None, None, 0.0)


def test_expected_minutes_against_exact_and_fixed_order() -> None:
    ratios, fixed = [], []
    for seed in range(60):
        problem, start = laid_out(random_small(1000 + seed, 4 + seed % 2, 4))
        planned = policy_minutes(problem, start, best_of)
        ratios.append(planned / exact_minutes(problem, start))
        fixed.append(planned / policy_minutes(problem, start, by_file))
    print(
        f"\nplan: expected minutes over exact on 60 small problems: mean {statistics.fmean(ratios):.3f}, "
        f"worst {max(ratios):.3f} (goal 1.05); over the fixed order of the file: mean {statistics.fmean(fixed):.2f}"
    )


def test_trailer_abs_light_on() -> None:
    report = prove(load_procedure("trailer-abs-light-on").procedure, pairs=20)
    print(
        f"\nprove trailer-abs-light-on: {report.runs} trials, found {report.found:.3f}, "
        f"pairs {report.found_pairs:.2f}; "
        f"minutes {report.minutes_median:.0f} median, {report.minutes_p90:.0f} at 90 percent; "
        f"{report.checks_mean:.1f} checks; condemned wrongly {report.condemned_wrongly}, "
        f"on suspicion {report.on_suspicion}"
    )
