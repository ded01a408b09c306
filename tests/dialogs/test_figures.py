"""The figures that each procedure declares: a small trial here, a long one under ``sweep``; the README tells them."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.procedure.figures import Figures
from assistant.procedure.load import list_procedures, load_procedure
from assistant.procedure.model import Procedure
from assistant.simulator.prove import prove
from assistant.simulator.prove_report import Report

ROOT = Path(__file__).parent.parent.parent
PACK = {path.stem: load_procedure(path).procedure for path in list_procedures()}
FINDING = [name for name, procedure in PACK.items() if procedure.kind == "find"]
LONG = {"trailer-abs-light-on", "tractor-abs-light-on"}
"""Procedures whose units take the longest."""
SMALL = ("trailer-abs-light-never-lights", "trailer-light-dead-or-faint")
"""Those that have a small trial each time; the trial of every procedure is the one under ``sweep``."""


def missed(procedure: Procedure, report: Report, slack: float) -> list[str]:
    """Figures that a report does not reach, with a share of slack for a small trial."""
    wanted = figures_of(procedure)
    found = [] if report.found >= wanted.found - slack else [f"found {report.found:.3f}, declared {wanted.found}"]
    for size, share in zip((1, 2, 3), wanted.isolated, strict=True):
        if report.isolated[size] < share - 2 * slack:
            found.append(f"isolated to {size}: {report.isolated[size]:.3f}, declared {share}")
    for words, minutes, most in zip(
        ("median", "90th percentile"), (report.minutes_median, report.minutes_p90), wanted.minutes, strict=True
    ):
        if minutes > most * (1 + 3 * slack):
            found.append(f"{words} {minutes:.0f} minutes, declared {most:.0f}")
    if report.condemned_wrongly > wanted.good_parts * report.runs:
        found.append(f"{report.condemned_wrongly} good parts condemned without a slip")
    found += [f"told apart by no check and not declared: {group.suspects}" for group in report.undeclared]
    return found


def figures_of(procedure: Procedure) -> Figures:
    """Its figures; every procedure that looks for a fault has some."""
    assert procedure.figures is not None, f"{procedure.name} declares no figures"
    return procedure.figures


@pytest.mark.parametrize("name", SMALL)
def test_a_small_trial_reaches_the_declared_figures(name: str) -> None:
    units = 30
    report = prove(PACK[name], units=units, seed=3, unsure=0.05)
    assert missed(PACK[name], report, slack=2 / units) == []


@pytest.mark.sweep
@pytest.mark.parametrize("name", FINDING)
def test_a_long_trial_reaches_the_declared_figures(name: str) -> None:
    units = 300 if name not in LONG else 142  # a share of 0.99 has a standard error of 0.006 then
    report = prove(PACK[name], units=units, seed=8)
    assert missed(PACK[name], report, slack=0.01) == []


def test_figures_that_are_not_reached_are_named() -> None:
    name = "trailer-abs-light-never-lights"
    high = PACK[name].model_copy(update={"figures": Figures(found=1.0, isolated=(1.0, 1.0, 1.0), minutes=(1, 2))})
    told = missed(high, prove(PACK[name], units=20), slack=0.0)
    assert any(line.startswith("median") for line in told)
    assert any(line.startswith("90th") for line in told)


@pytest.mark.parametrize("name", FINDING)
def test_the_readme_tells_the_declared_figures(name: str) -> None:
    wanted = figures_of(PACK[name])
    row = next(
        line
        for line in (ROOT / "README.md").read_text(encoding="utf-8").splitlines()
        if line.startswith(f"| `{name}`")
    )
    cells = [cell.strip() for cell in row.strip("|").split("|")]
    assert cells[-4:] == [
        f"{wanted.found:.0%}",
        f"{wanted.isolated[0]:.0%} / {wanted.isolated[1]:.0%} / {wanted.isolated[2]:.0%}",
        f"{wanted.minutes[0]:.0f}",
        f"{wanted.minutes[1]:.0f}",
    ]
