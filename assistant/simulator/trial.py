"""One trial of a procedure: a whole session, led through the one loop on a simulated unit, and what became of it."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from decimal import Decimal

import numpy as np

from assistant.clock import ScriptedClock
from assistant.diagnosis.fault_model import Cure, Suspect
from assistant.loop import Loop
from assistant.messages import PromptKind
from assistant.messages.decisions import (
    Decision,
    Ended,
    Ending,
    FixChosen,
    FixDone,
    ObservationWithdrawn,
    Observed,
    Skipped,
)
from assistant.numerals.vocabulary import Vocabulary
from assistant.phrasing.reasons import reason_text
from assistant.procedure.model import Procedure
from assistant.session.agenda.next_action import shares, view_of
from assistant.session.context import Context
from assistant.session.fold import begin, fold, results
from assistant.simulator.slips import Slip
from assistant.simulator.technician import Habits, Hears, Technician, Unit, UnitRecord
from assistant.simulator.units import COUNTS, MARKS
from assistant.verdict.uncertainty import Accuracy, Meter, Range

LIVE = 0.05
"""Share of the likeliest cure above which another cure still counts as not told apart."""
CIRCLES = "It went in circles."
"""Why a session ended that was given up."""
_STARTED = datetime(2026, 1, 1, 8, tzinfo=UTC)
_TOP = Decimal(10) ** 9
_LAST_DIGIT = Decimal("0.001")


@dataclass
class Trial:
    """What happened in one trial."""

    suspects: tuple[Suspect, ...]
    """What was wrong."""
    found: bool = False
    """True when the session ended in a proven cure and nothing is wrong any more."""
    sound: bool = False
    """True when nothing is wrong with the unit at the end."""
    minutes: float = 0.0
    """Working minutes: openings, checks, fixes, measuring again and proofs."""
    checks: int = 0
    """Checks asked: answered, measured again or passed by."""
    answers: int = 0
    """Everything that the technician said, from the first word to the last."""
    left: int = 0
    """Cures still in question when the first right fix was done; 0 when none was."""
    condemned: int = 0
    """Parts replaced because a check condemned them."""
    condemned_wrongly: list[Cure] = field(default_factory=list)
    """Those of them that were good."""
    close: int = 0
    """Readings that were too close to call."""
    skipped: int = 0
    """Checks passed by."""
    on_suspicion: list[Cure] = field(default_factory=list)
    """Parts replaced with no check that condemned them, on suspicion alone; a part that may be tried is none."""
    idle: list[Cure] = field(default_factory=list)
    """Repairs and trials without a part that cured nothing."""
    good_parts: list[Cure] = field(default_factory=list)
    """Parts replaced for good in which nothing was wrong, condemned or suspected."""
    false_causes: list[Cure] = field(default_factory=list)
    """Fixes that cured nothing and yet stand in the record as the repair of a cause."""
    unrecognized: bool = False
    """True when nothing was wrong any more and the session went on looking, or did not end in a proven cure."""
    tool_needed: bool = False
    """True when a meter or a load that was at fault was needed."""
    tool_noticed: bool = False
    """True when one was found to be at fault."""
    slips: tuple[Slip, ...] = ()
    """Slips of the hand, in order, on a truck."""
    misheard: int = 0
    """Answers that were heard as something else."""
    ending: str = ""
    """How the session ended; '' when it was given up."""
    because: str = ""
    """Why it ended without a proven cure."""
    path: list[str] = field(default_factory=list)
    """What was asked and answered, in order."""
    decisions: tuple[Decision, ...] = ()
    """Every decision of the session, in order; empty where only the figures are kept."""


def meter_of(procedure: Procedure, error: float) -> Meter:
    """A meter whose readings are off by up to this share, give or take a count of the last digit shown.

    A gauge or a rule is none: what is read off it goes by its marks. One without error is exact: a meter that nobody
    named would be judged by a usual one's accuracy.
    """
    accuracy = Accuracy(Decimal(str(round(100 * error, 6))), Decimal(1 if error > 0 else 0))
    units = sorted({check.unit for check in procedure.checks if check.unit and check.unit not in MARKS})
    ranges = tuple(Range(unit, _TOP, _LAST_DIGIT, accuracy, ac=ac) for unit in units for ac in (False, True))
    return Meter("simulated", f"simulated meter of {COUNTS} counts", ranges, invented=True)


def context_of(procedure: Procedure, vocabulary: Vocabulary, meter_error: float = 0.0) -> Context:
    """What a trial works with: an invented number, no history, and a meter as good as the simulated one."""
    return Context(procedure, vocabulary, meter=meter_of(procedure, meter_error), unit_number="0000", simulated=True)


def run_trial(
    context: Context,
    unit: Unit,
    *,
    unsure: Collection[str] = (),
    habits: Habits = Habits(),  # noqa: B008 - frozen
    seed: int = 0,
    hears: Hears | None = None,
) -> Trial:
    """Lead a session on a simulated unit from its first word to its end.

    Args:
        context: what leads.
        unit: what is wrong; it is changed by the fixes done.
        unsure: facts that the technician answers with 'not sure'.
        habits: what the technician does beside answering.
        seed: for his habits.
        hears: what is heard of him; None hears every word.
    """
    suspects = unit.suspects
    clock, record = ScriptedClock(_STARTED), UnitRecord(unit)
    technician = Technician(unit, clock, unsure=unsure, habits=habits, seed=seed, hears=hears)
    ending = Loop(context, begin(context), record, technician, None, clock).run()
    trial = Trial(
        suspects,
        found=ending == Ending.CURED_AND_PROVEN and unit.cured,
        sound=unit.cured,
        minutes=clock.now() / 60,
        answers=len(technician.said),
        misheard=len(technician.misheard),
        ending=ending if ending in set(Ending) else "",
        path=[f"{prompt} = {words}" for prompt, words in technician.said],
        decisions=tuple(record.decisions),
    )
    _count_checks(trial)
    _count_fixes(trial, context, record.fixes)
    _count_falsehoods(trial, context, record.fixes)
    if not trial.found:
        trial.because = _because(trial)
    return trial


def _because(trial: Trial) -> str:
    """Why it ended without a proven cure; an ending that claims more than 'not found' is named with its reason."""
    ended = next((one for one in trial.decisions if isinstance(one, Ended)), None)
    if ended is None:
        return CIRCLES
    because = reason_text(ended.because)
    return because if ended.ending is Ending.NOT_FOUND else f"{ended.ending}: {because}"


def _count_checks(trial: Trial) -> None:
    seen = [one for one in trial.decisions if isinstance(one, Observed)]
    trial.skipped = sum(isinstance(one, Skipped) and one.prompt.kind is PromptKind.CHECK for one in trial.decisions)
    trial.checks = len(seen) + trial.skipped
    trial.close = sum(one.value is not None and len(one.weights) > 1 for one in seen)


def _count_fixes(trial: Trial, context: Context, fixes: Sequence[tuple[Cure, bool]]) -> None:
    chosen: FixChosen | None = None
    done = iter(fixes)
    for number, decision in enumerate(trial.decisions):
        if isinstance(decision, FixChosen):
            chosen = decision
        if not isinstance(decision, FixDone):
            continue
        cure, cured = next(done)
        replaced = decision.part is not None and not context.fix(cure.fix).trial
        condemned = chosen is not None and chosen.condemned
        trial.condemned += replaced and condemned
        if replaced and not condemned:
            trial.on_suspicion.append(cure)
        if replaced and not cured:
            trial.good_parts.append(cure)
        if cured:
            trial.left = trial.left or _open_cures(context, trial.decisions[:number])
        elif decision.part is None:
            trial.idle.append(cure)
        elif replaced and condemned:
            trial.condemned_wrongly.append(cure)


def _count_falsehoods(trial: Trial, context: Context, fixes: Sequence[tuple[Cure, bool]]) -> None:
    """What the record claims against what was true, and whether a repaired unit was taken for one."""
    useful = {cure for cure, cured in fixes if cured}
    for cause in results(context, fold(context, trial.decisions)).causes:
        cure = Cure(cause.fix.fix, cause.fix.place)
        if cure not in useful:
            trial.false_causes.append(cure)
    if not trial.suspects or not useful or not trial.sound:
        return
    last = max(number for number, (_, cured) in enumerate(fixes) if cured)
    done = [number for number, one in enumerate(trial.decisions) if isinstance(one, FixDone)]
    after = trial.decisions[done[last] + 1 :]
    # a reading too close to call that was taken once more is no search
    withdrawn = {one.number for one in after if isinstance(one, ObservationWithdrawn)}
    searched = any(
        isinstance(one, FixDone) or (isinstance(one, Observed) and not one.proof and one.number not in withdrawn)
        for one in after
    )
    trial.unrecognized = searched or trial.ending != Ending.CURED_AND_PROVEN


def _open_cures(context: Context, decisions: Sequence[Decision]) -> int:
    """Cures in question after these decisions."""
    state = fold(context, decisions)
    seen, posterior = view_of(context, state), shares(context, state)
    weights = np.array([posterior[suspect] for suspect in seen.suspects])
    masses = np.bincount(seen.cure_of, weights=weights, minlength=len(seen.cures))
    return int((masses >= LIVE * masses.max()).sum())
