"""The planner against the exact optimum and a fixed order, and milliseconds a step. Printed, never asserted.

Run by ``make bench``.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys

import pytest

from assistant.diagnosis.looking_ahead.action_values import BeliefBatch
from assistant.diagnosis.looking_ahead.lookahead import Best, best_of
from assistant.diagnosis.problem import Belief, Problem
from assistant.procedure.load import load_procedure
from assistant.simulator.prove import prove
from tests.diagnosis.exact import exact_minutes, policy_minutes
from tests.diagnosis.problems import laid_out, random_small

pytestmark = pytest.mark.bench


@pytest.mark.parametrize("wheels", [4, 5, 6, 20])
def test_milliseconds_a_step_by_size(wheels: int) -> None:
    """In a process of its own, where the linear algebra has one core, as the goal says."""
    one_core = {**os.environ, **dict.fromkeys(("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"), "1")}
    command = [sys.executable, "-m", "tests.bench.planning.step_times", str(wheels)]
    print(f"\n{subprocess.run(command, env=one_core, capture_output=True, text=True, check=True).stdout.strip()}")


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
