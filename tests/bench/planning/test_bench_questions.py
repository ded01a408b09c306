"""Questions before the work: as they are asked, beside a session that asks for all of them first. Printed only.

The same units, drawn by the same seeds: answers before the first reading, all answers, minutes, repairs verified and
good parts replaced. Run by ``make bench``; ``LEADSMAN_BENCH_UNITS`` is how many units of each procedure.
"""

from __future__ import annotations

import os
import statistics

import pytest

from assistant.procedure.load import list_procedures, load_procedure
from assistant.procedure.model import Procedure
from assistant.simulator.prove import prove
from assistant.simulator.prove_report import Report
from assistant.simulator.trial import Trial

pytestmark = pytest.mark.bench

UNITS = int(os.environ.get("LEADSMAN_BENCH_UNITS", "60"))
MISREAD = 0.02
"""One answer in fifty is wrong."""
PACK = [load_procedure(path).procedure for path in list_procedures()]
NAMES = [one.name for one in PACK if one.kind == "find"]


def asked_first(procedure: Procedure) -> Procedure:
    """The same procedure, asking for everything before the finding begins."""
    facts = tuple(one.model_copy(update={"first": True}) for one in procedure.facts)
    return procedure.model_copy(update={"facts": facts})


def before_a_reading(trial: Trial) -> int:
    """Answers before the first reading."""
    return next((n for n, said in enumerate(trial.path) if said.startswith("check:")), len(trial.path))


def on_a_known_unit(trial: Trial, lasting: set[str]) -> int:
    """The same on a unit seen before: what lasts is offered in one sentence and takes one answer."""
    asked = before_a_reading(trial)
    known = sum(said.startswith("fact:") and said[5:].split(" = ")[0] in lasting for said in trial.path[:asked])
    return asked - known + bool(lasting)


def told(label: str, report: Report, procedure: Procedure) -> str:
    lasting = {one.name for one in procedure.facts if one.lasts}
    before = statistics.median(before_a_reading(one) for one in report.trials)
    known = statistics.median(on_a_known_unit(one, lasting) for one in report.trials)
    facts = statistics.fmean(sum(said.startswith("fact:") for said in one.path) for one in report.trials)
    return (
        f"{label:22} before the first reading {before:4.1f} (seen before {known:4.1f}), facts {facts:4.1f}, "
        f"answers {report.answers_mean:4.1f}, minutes {report.minutes_mean:5.1f}, found {report.found:.3f}, "
        f"good parts {report.good_parts}"
    )


@pytest.mark.parametrize("name", NAMES)
def test_questions_asked_when_they_matter_beside_all_of_them_first(name: str) -> None:
    procedure = load_procedure(name).procedure
    print(f"\n{name}, {UNITS} units")
    for label, one in (("all asked first", asked_first(procedure)), ("when they matter", procedure)):
        print(told(label, prove(one, units=UNITS, slip=MISREAD, seed=3), one))
