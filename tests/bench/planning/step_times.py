"""Processor time of whole steps, the second look in, on one random problem.

Run as ``python -m tests.bench.planning.step_times 20``. Each of so many wheels has fifty
suspects and twenty-five checks.
"""

from __future__ import annotations

import statistics
import sys
import time

from assistant.diagnosis.fault_model import fault_model
from assistant.diagnosis.planner import NextCheck, choose, progress_of
from assistant.diagnosis.posterior import posterior
from assistant.messages.decisions import Decision
from tests.diagnosis.problems import observed, random_large


def main(wheels: int) -> None:
    """Lead one problem through a few steps and print what they took."""
    seen = fault_model(random_large(wheels=wheels), {})
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
        f"plan: {len(seen.suspects)} suspects, {len(seen.tasks)} checks: "
        f"median {statistics.median(spent):.0f} ms of one core a step, worst {max(spent):.0f} ms (goal 50)"
    )


if __name__ == "__main__":
    main(int(sys.argv[1]))
