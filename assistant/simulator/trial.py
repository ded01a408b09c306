"""One trial of a procedure on a simulated unit: the same weights and choices as a session, without the talk."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from random import Random
from typing import Generic, TypeVar

import numpy as np

from assistant.diagnosis.fault_model import Cure, FaultModel, Suspect, Task, fault_model
from assistant.diagnosis.planner import Choice, NextCheck, NextFix, choose
from assistant.diagnosis.posterior import Dropped, Evidence, gathered, posterior
from assistant.diagnosis.progress import Progress, progress_of, prompt_of
from assistant.messages import Outcome, Reason, Understanding, Why
from assistant.messages.decisions import AccessOpened, Decision, FixDone, Observed, ProofFinished, Skipped
from assistant.procedure.model import Procedure
from assistant.session.conditions import limits_of
from assistant.session.observations import weights_of
from assistant.simulator.unit import SimulatedUnit
from assistant.verdict.judge import judge
from assistant.verdict.uncertainty import Accuracy

Key = TypeVar("Key")
Value = TypeVar("Value")
_Facts = tuple[tuple[str, str], ...]

STEPS = 120
"""Checks and fixes after which a trial is given up as lost."""
STEP = 20
"""Chances of readings too close to call are taken to twentieths, so that like situations are worked out once."""
VIEWS = 32
"""Sets of facts of which a leader keeps what applies."""
SITUATIONS = 4000
"""Situations of which a leader keeps what comes next: some tens of megabytes on the largest procedures."""
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
    condemned: int = 0
    """Parts replaced because a check condemned them."""
    condemned_wrongly: list[Cure] = field(default_factory=list)
    """Those of them that were good."""
    close: int = 0
    """Readings that were too close to call."""
    skipped: int = 0
    """Checks passed by or answered 'don't know'."""
    on_suspicion: list[Cure] = field(default_factory=list)
    """Parts replaced with no check that condemned them, on suspicion alone; a part that may be tried is none."""
    idle: list[Cure] = field(default_factory=list)
    """Repairs and trials without a part that cured nothing."""
    because: str = ""
    """Why it ended without a cure."""
    path: list[str] = field(default_factory=list)
    """What was done, in order, as prompt identities with outcomes."""


class _Recent(Generic[Key, Value]):
    """What was worked out lately, at most so much of it: what was not asked for longest goes first."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._kept: OrderedDict[Key, Value] = OrderedDict()

    def get(self, key: Key, work_out: Callable[[], Value]) -> Value:
        """What is kept, or else is worked out now."""
        if key in self._kept:
            self._kept.move_to_end(key)
            return self._kept[key]
        value = work_out()
        self._kept[key] = value
        if len(self._kept) > self._most:
            self._kept.popitem(last=False)
        return value


class Leader:
    """Leads trials of one procedure: what was worked out for a situation is kept for other trials that come to it.

    Trials of one suspect lie together and share a few complaints, so the latest few thousand situations are those
    that come again; more would take memory for nothing.
    """

    def __init__(self, procedure: Procedure) -> None:
        """A leader that has led nothing yet."""
        self.procedure = procedure
        self._views: _Recent[_Facts, FaultModel] = _Recent(VIEWS)
        self._kept: _Recent[object, tuple[dict[Suspect, float], Choice]] = _Recent(SITUATIONS)

    def fault_model(self, facts: Mapping[str, str]) -> FaultModel:
        """What applies on a unit with these facts as they were answered."""
        return self._views.get(tuple(sorted(facts.items())), lambda: fault_model(self.procedure, dict(facts)))

    def next(self, seen: FaultModel, events: list[Decision]) -> tuple[dict[Suspect, float], Choice]:
        """The weights now and what to do next."""
        done = progress_of(seen, events)
        facts = tuple(sorted(seen.facts.items()))
        key = (facts, _situation(done, gathered(seen, events)[1] if done.tried else ()))

        def work_out() -> tuple[dict[Suspect, float], Choice]:
            weights = posterior(seen, events)
            return weights, choose(seen, weights, done)

        return self._kept.get(key, work_out)


def _situation(done: Progress, dropped: Sequence[Dropped]) -> object:
    evidence = sorted(_looked(item) for item in done.evidence)
    gone = sorted((item.after, *_looked(item.evidence)) for item in dropped)
    return (tuple(evidence), tuple(gone), done.skipped, done.declined, done.opened, done.tried)


def _looked(item: Evidence) -> tuple[int, tuple[tuple[str, float], ...], int]:
    return item.task, tuple(sorted(item.weights.items())), item.times


def run_trial(
    procedure: Procedure,
    answered: dict[str, str],
    unit: SimulatedUnit,
    *,
    skips: float = 0.0,
    seed: int = 0,
    leader: Leader | None = None,
) -> Trial:
    """Lead a simulated unit to its cure.

    Args:
        procedure: what leads.
        answered: facts as the technician answered them.
        unit: what is wrong; it is changed by the fixes done.
        skips: chance that a check is skipped or answered 'don't know'.
        seed: for the skips.
        leader: keeps what other trials have worked out; the trials are the same with and without.
    """
    leader = leader or Leader(procedure)
    seen = leader.fault_model(answered)
    trial = Trial(tuple(sorted(unit.faults, key=lambda suspect: (suspect.fault, suspect.place or ""))))
    rng = Random(seed)  # noqa: S311 - a simulation, not a secret
    events: list[Decision] = []
    for number in range(1, STEPS + 1):
        weights, choice = leader.next(seen, events)
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
            events.append(ProofFinished(unit.cured, Reason(Why.ALL_PASSED if unit.cured else Why.UNFINISHED)))
            if unit.cured:
                trial.found = True
                return trial
        else:
            trial.because = choice.because
            return trial
    trial.because = "It went in circles."
    return trial


def _check(
    seen: FaultModel, unit: SimulatedUnit, task: Task, number: int, trial: Trial, skips: float, rng: Random
) -> Observed | Skipped:
    if not unit.has(task) or rng.random() < skips:
        trial.skipped += 1
        trial.path.append(f"{prompt_of(task)} = skipped")
        return Skipped(prompt_of(task), "do not know")
    check = seen.checks[task.check]
    shown, value = unit.reading(task)
    weights = {shown: 1.0} if value is None else _judged(unit, task, shown, value)
    likeliest = max(weights, key=lambda name: weights[name])
    trial.close += len(weights) > 1
    trial.path.append(f"{prompt_of(task)} = {likeliest}" + ("" if len(weights) == 1 else ", too close to call"))
    return Observed(number, task.check, task.place, check.title, weights, likeliest, value)


def _judged(unit: SimulatedUnit, task: Task, shown: str, value: Decimal) -> dict[str, float]:
    """What a number says, judged as in a session, by a meter as accurate as its error is wide."""
    check = unit.fault_model.checks[task.check]
    limits = limits_of(check, unit.facts, task.place)
    if {"low": limits.low, "high": limits.high, "good": limits.low or limits.high}.get(shown) is None:
        return {shown: 1.0}
    percent = Decimal(str(round(100 * unit.meter_error, 6)))
    meter = Accuracy(percent, Decimal(1)) if unit.meter_error else None
    verdict = judge(value, check.unit or "", limits, meter)
    weights = weights_of(limits, Understanding(Outcome.READING, "", value, check.unit), verdict)
    if len(weights) == 1:
        return weights
    (first, share), (second, _) = weights.items()
    share = min(max(round(share * STEP), 1), STEP - 1) / STEP
    return {first: share, second: 1.0 - share}


def _fix(seen: FaultModel, unit: SimulatedUnit, choice: NextFix, weights: dict[Suspect, float], trial: Trial) -> None:
    trial.path.append(f"{prompt_of(choice.cure)} at {choice.probability:.2f}")
    part = seen.fixes[choice.cure.fix].part is not None
    trial.condemned += part and choice.condemned and not seen.fixes[choice.cure.fix].trial
    if part and not choice.condemned and not seen.fixes[choice.cure.fix].trial:
        trial.on_suspicion.append(choice.cure)
    if unit.fix(choice.cure):
        trial.left = trial.left or _open_cures(seen, weights)
    elif not part:
        trial.idle.append(choice.cure)
    elif choice.condemned and not seen.fixes[choice.cure.fix].trial:
        trial.condemned_wrongly.append(choice.cure)


def _open_cures(seen: FaultModel, weights: dict[Suspect, float]) -> int:
    shares = np.array([weights[suspect] for suspect in seen.suspects])
    masses = np.bincount(seen.cure_of, weights=shares, minlength=len(seen.cures))
    return int((masses >= LIVE * masses.max()).sum())
