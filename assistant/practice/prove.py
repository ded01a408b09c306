"""Proving a procedure: every fault at every place it can have, and pairs, led to its cure on simulated units."""

from __future__ import annotations

import statistics
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import combinations
from random import Random

from assistant.engine.applies import UNSURE
from assistant.engine.view import Suspect, View, view
from assistant.practice.testability import Group, alike, detected, fraction_detected
from assistant.practice.trial import Trial, run_trial
from assistant.practice.unit import SimulatedUnit
from assistant.practice.units import draw_facts
from assistant.procedure.model import Procedure


@dataclass(frozen=True, slots=True)
class FaultReport:
    """How the trials of one fault went, over its places."""

    fault: str
    """Name of the fault."""
    runs: int
    """Trials in which it was the fault, alone."""
    found: int
    """Trials in which it was cured and proven."""
    minutes: float
    """Median minutes of those."""
    checks: float
    """Median checks of those."""
    lost: tuple[str, ...]
    """Why the others ended, each reason once."""


@dataclass(frozen=True)
class Report:
    """What proving a procedure showed. Shares are 0 to 1; minutes are working minutes."""

    procedure: str
    """Name of the procedure."""
    runs: int
    """Trials run."""
    found: float
    """Share of trials that ended cured and proven."""
    found_pairs: float | None
    """The same for two faults at once; None when no pairs were tried."""
    isolated: Mapping[int, float]
    """1, 2, 3 to the share of found trials with at most so many cures still in question at the first right fix."""
    minutes_median: float
    """Median minutes of the found trials."""
    minutes_p90: float
    """Their 90th percentile."""
    checks_mean: float
    """Mean number of checks asked."""
    condemned_wrongly: int
    """Good parts that a check condemned, over all trials."""
    on_suspicion: int
    """Parts replaced on suspicion alone, right or wrong."""
    idle: int
    """Repairs and trials without a part that cured nothing."""
    detected: float
    """Share of faults, by weight, that some check shows."""
    groups: tuple[Group, ...]
    """Suspects that no check tells apart, on a unit of which nothing is known."""
    faults: tuple[FaultReport, ...]
    """Fault by fault, in file order."""
    trials: tuple[Trial, ...] = ()
    """All trials, singles first."""

    @property
    def undeclared(self) -> tuple[Group, ...]:
        """Groups that the procedure does not declare by ``same_as``."""
        return tuple(group for group in self.groups if not group.declared)


def prove(
    procedure: Procedure,
    *,
    facts: Mapping[str, str] | None = None,
    runs: int = 1,
    pairs: int = 0,
    slip: float = 0.0,
    skips: float = 0.0,
    unsure: float = 0.1,
    seed: int = 0,
    progress: Callable[[int, int], None] | None = None,
) -> Report:
    """Run every fault at every place through the planner. The same arguments give the same report.

    Args:
        procedure: what is to be proven.
        facts: facts of the unit, fixed; without them each trial draws facts that fit its fault.
        runs: trials for each suspect.
        pairs: trials with two faults at once, drawn by weight.
        slip: chance that a check is answered wrongly.
        skips: chance that a check is skipped.
        unsure: chance that a fact is answered 'not sure', where facts are drawn.
        seed: of everything drawn.
        progress: called with trials done and trials to do.
    """
    open_view = view(procedure, dict(facts or {}))
    singles = [suspect for suspect in open_view.suspects for _ in range(runs)]
    rng = Random(seed)  # noqa: S311 - a simulation, not a secret
    couples = _couples(open_view, pairs, rng)
    jobs: list[tuple[Suspect, ...]] = [(suspect,) for suspect in singles] + couples
    trials: list[Trial] = []
    for number, suspects in enumerate(jobs):
        trials.append(_trial(procedure, facts, suspects, slip, skips, unsure, seed * 1_000_003 + number))
        if progress is not None:
            progress(number + 1, len(jobs))
    return _report(procedure, open_view, trials[: len(singles)], trials[len(singles) :])


def _trial(
    procedure: Procedure,
    facts: Mapping[str, str] | None,
    suspects: tuple[Suspect, ...],
    slip: float,
    skips: float,
    unsure: float,
    seed: int,
) -> Trial:
    rng = Random(seed)  # noqa: S311 - a simulation, not a secret
    chosen = dict(facts) if facts is not None else _fitting(procedure, suspects, rng)
    real = tuple(suspect for suspect in suspects if suspect in view(procedure, chosen).suspect_index)
    answered = {
        question.name: UNSURE
        if facts is None and question.unsure and rng.random() < unsure
        else chosen[question.name]
        for question in procedure.facts
        if question.name in chosen
    }
    unit = SimulatedUnit(procedure, chosen, real, seed=seed + 1, slip=slip)
    return run_trial(procedure, answered, unit, skips=skips, seed=seed + 2)


def _fitting(procedure: Procedure, suspects: tuple[Suspect, ...], rng: Random) -> dict[str, str]:
    """Facts on which all of these are real, as far as a few draws find them."""
    drawn: dict[str, str] = {}
    for _ in range(20):
        drawn = draw_facts(procedure, suspects[0], rng)
        if all(suspect in view(procedure, drawn).suspect_index for suspect in suspects):
            break
    return drawn


def _couples(seen: View, count: int, rng: Random) -> list[tuple[Suspect, ...]]:
    """Pairs with different cures, drawn by the product of their weights."""
    weights = seen.priors.tolist()
    every = [
        (first, second)
        for first, second in combinations(range(len(seen.suspects)), 2)
        if seen.cure_of[first] != seen.cure_of[second]
    ]
    if not every or not count:
        return []
    drawn = rng.choices(every, [weights[first] * weights[second] for first, second in every], k=count)
    return [(seen.suspects[first], seen.suspects[second]) for first, second in drawn]


def _report(procedure: Procedure, seen: View, singles: list[Trial], couples: list[Trial]) -> Report:
    trials = [*singles, *couples]
    found = [trial for trial in singles if trial.found]
    minutes = sorted(trial.minutes for trial in found)
    return Report(
        procedure=procedure.name,
        runs=len(trials),
        found=len(found) / max(1, len(singles)),
        found_pairs=sum(trial.found for trial in couples) / len(couples) if couples else None,
        isolated={size: sum(1 for trial in found if trial.left <= size) / max(1, len(found)) for size in (1, 2, 3)},
        minutes_median=statistics.median(minutes) if minutes else 0.0,
        minutes_p90=minutes[min(len(minutes) - 1, int(0.9 * len(minutes)))] if minutes else 0.0,
        checks_mean=statistics.fmean(trial.checks for trial in trials) if trials else 0.0,
        condemned_wrongly=sum(len(trial.condemned_wrongly) for trial in trials),
        on_suspicion=sum(len(trial.on_suspicion) for trial in trials),
        idle=sum(len(trial.idle) for trial in trials),
        detected=fraction_detected(seen.priors.tolist(), detected(seen)),
        groups=alike(seen),
        faults=tuple(_fault(name, singles) for name in seen.faults),
        trials=tuple(trials),
    )


def _fault(name: str, singles: list[Trial]) -> FaultReport:
    mine = [trial for trial in singles if trial.suspects and trial.suspects[0].fault == name]
    found = [trial for trial in mine if trial.found]
    return FaultReport(
        fault=name,
        runs=len(mine),
        found=len(found),
        minutes=statistics.median(trial.minutes for trial in found) if found else 0.0,
        checks=statistics.median(trial.checks for trial in found) if found else 0.0,
        lost=tuple(dict.fromkeys(trial.because for trial in mine if not trial.found)),
    )
