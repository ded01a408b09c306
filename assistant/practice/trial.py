"""One trial of a procedure on a simulated unit: the same weights and choices as a session, without the talk."""

from __future__ import annotations

from dataclasses import dataclass, field
from random import Random

import numpy as np

from assistant.engine.decisions import AccessOpened, Decision, FixDone, Observed, ProofFinished, Skipped
from assistant.engine.plan import NextCheck, NextFix, choose
from assistant.engine.progress import progress_of, prompt_of
from assistant.engine.suspects import weigh
from assistant.engine.view import Cure, Suspect, Task, View, view
from assistant.practice.unit import SimulatedUnit
from assistant.procedure.model import Procedure

STEPS = 120
"""Checks and fixes after which a trial is given up as lost."""
LIVE = 0.05
"""Share of the likeliest cure above which another cure still counts as not told apart."""


@dataclass
class Trial:
    """What happened in one trial."""

    suspects: tuple[Suspect, ...]
    """What was wrong."""
    found: bool = False
    """True when everything wrong was cured and proven."""
    minutes: float = 0.0
    """Working minutes: openings, checks, fixes and proofs."""
    checks: int = 0
    """Checks asked."""
    left: int = 0
    """Cures still in question when the first right fix was chosen; 0 when none was."""
    condemned_wrongly: list[Cure] = field(default_factory=list)
    """Parts that a check condemned and that were good."""
    on_suspicion: list[Cure] = field(default_factory=list)
    """Parts replaced with no check that condemned them, on suspicion alone; a part that may be tried is none."""
    idle: list[Cure] = field(default_factory=list)
    """Repairs and trials without a part that cured nothing."""
    because: str = ""
    """Why it ended without a cure."""
    path: list[str] = field(default_factory=list)
    """What was done, in order, as prompt identities with outcomes."""


def run_trial(
    procedure: Procedure,
    answered: dict[str, str],
    unit: SimulatedUnit,
    *,
    skips: float = 0.0,
    seed: int = 0,
) -> Trial:
    """Lead a simulated unit to its cure.

    Args:
        procedure: what leads.
        answered: facts as the technician answered them.
        unit: what is wrong; it is changed by the fixes done.
        skips: chance that a check is skipped or answered 'don't know'.
        seed: for the skips.
    """
    seen = view(procedure, answered)
    trial = Trial(tuple(sorted(unit.faults, key=lambda suspect: (suspect.fault, suspect.place or ""))))
    rng = Random(seed)  # noqa: S311 - a simulation, not a secret
    events: list[Decision] = []
    for number in range(1, STEPS + 1):
        weights = weigh(seen, events)
        choice = choose(seen, weights, progress_of(seen, events))
        if isinstance(choice, NextCheck | NextFix):
            events += [AccessOpened(opening.access, opening.place, 0.0) for opening in choice.accesses]
            trial.minutes += choice.minutes
        if isinstance(choice, NextCheck):
            trial.checks += 1
            events.append(_check(seen, unit, choice.task, number, trial, skips, rng))
        elif isinstance(choice, NextFix):
            _fix(seen, unit, choice, weights, trial)
            events.append(FixDone(choice.cure.fix, choice.cure.place, "", None))
            trial.minutes += seen.proof_minutes
            events.append(ProofFinished(unit.cured, ""))
            if unit.cured:
                trial.found = True
                return trial
        else:
            trial.because = choice.because
            return trial
    trial.because = "It went in circles."
    return trial


def _check(
    seen: View, unit: SimulatedUnit, task: Task, number: int, trial: Trial, skips: float, rng: Random
) -> Observed | Skipped:
    if not unit.has(task) or rng.random() < skips:
        trial.path.append(f"{prompt_of(task)} = skipped")
        return Skipped(prompt_of(task), "do not know")
    outcome = unit.outcome(task)
    trial.path.append(f"{prompt_of(task)} = {outcome}")
    return Observed(number, task.check, task.place, seen.checks[task.check].title, {outcome: 1.0}, outcome)


def _fix(seen: View, unit: SimulatedUnit, choice: NextFix, weights: dict[Suspect, float], trial: Trial) -> None:
    trial.path.append(f"{prompt_of(choice.cure)} at {choice.probability:.2f}")
    part = seen.fixes[choice.cure.fix].part is not None
    if part and not choice.condemned and not seen.fixes[choice.cure.fix].trial:
        trial.on_suspicion.append(choice.cure)
    if unit.fix(choice.cure):
        trial.left = trial.left or _open_cures(seen, weights)
    elif not part:
        trial.idle.append(choice.cure)
    elif choice.condemned:
        trial.condemned_wrongly.append(choice.cure)


def _open_cures(seen: View, weights: dict[Suspect, float]) -> int:
    shares = np.array([weights[suspect] for suspect in seen.suspects])
    masses = np.bincount(seen.cure_of, weights=shares, minlength=len(seen.cures))
    return int((masses >= LIVE * masses.max()).sum())
