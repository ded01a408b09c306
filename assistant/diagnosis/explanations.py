"""One short sentence for 'why?', in the trade's words, from the numbers that decided."""

from __future__ import annotations

import numpy as np

from assistant.diagnosis.constants import EVEN, NAMED
from assistant.diagnosis.fault_model import FaultModel, Opening
from assistant.diagnosis.likelihood import Floats
from assistant.diagnosis.progress import Progress


def because_check(
    fault_model: FaultModel,
    posterior: Floats,
    task: int,
    minutes: float,
    accesses: tuple[Opening, ...],
    aim: int | None = None,
) -> str:
    """Why this check: what it splits, in how many minutes, behind what; or which check it must come before."""
    if aim is not None and aim != task:
        pair = _split(fault_model, posterior, aim)
        title = fault_model.checks[fault_model.tasks[aim].check].title
        return f"It comes before {title}" + (f", which splits {pair[0]} from {pair[1]}." if pair else ".")
    effort = f"in {_minutes(minutes)} {_behind(accesses)}"
    pair = _split(fault_model, posterior, task)
    if pair is None:
        return f"It narrows down what is left {effort}."
    return f"It splits {pair[0]} from {pair[1]} {effort}."


def because_fix(
    fault_model: FaultModel, cure: int, suspect: int, probability: float, condemned: bool, progress: Progress
) -> str:
    """Why this fix: a check condemned it, it is a quick try, or little else is left."""
    title = fault_model.titles[suspect]
    fix = fault_model.fixes[fault_model.cures[cure].fix]
    if condemned:
        shown = _condemned_by(fault_model, cure, progress)
        return f"{shown} points to {title}." if shown else f"The readings point to {title}."
    if fix.trial and probability < fault_model.procedure.replace_above:
        return f"It takes {_minutes(fix.minutes)} to try and may be {title}."
    return f"Little else is left but {title}: {round(100 * probability)} in 100."


def because_none(fault_model: FaultModel, posterior: Floats, progress: Progress) -> str:
    """Why there is nothing left to do."""
    if not fault_model.suspects:
        return "Nothing in this procedure can be wrong on this unit."
    order = np.argsort(-np.round(posterior, EVEN), kind="stable")
    titles = [fault_model.titles[int(number)] for number in order[:2] if posterior[number] > NAMED]
    left = " or ".join(titles) if titles else "many faults"
    if progress.skipped or progress.declined:
        return f"It may be {left}, and what would settle it was skipped or declined."
    return f"It may be {left}, and no check is left that tells, or condemns the part."


def _condemned_by(fault_model: FaultModel, cure: int, progress: Progress) -> str:
    for item in reversed(progress.evidence):
        table = fault_model.tables[item.task]
        row = table.row(item.outcome)
        if row is not None and (table.points[row] & (fault_model.cure_of == cure)).any():
            title = fault_model.checks[fault_model.tasks[item.task].check].title
            return title[:1].upper() + title[1:]
    return ""


def _split(fault_model: FaultModel, posterior: Floats, task: int) -> tuple[str, str] | None:
    """The likeliest suspects of the two outcomes that part the most weight."""
    shown = fault_model.tables[task].chance.argmax(axis=0)
    falling = np.argsort(-np.round(posterior, EVEN), kind="stable")
    outcomes, first_of, numbers = np.unique(shown[falling], return_index=True, return_inverse=True)
    masses = np.bincount(numbers, weights=posterior[falling])
    order = sorted(range(len(outcomes)), key=lambda outcome: (-masses[outcome], first_of[outcome]))
    if len(order) < 2:
        return None
    first, second = int(falling[first_of[order[0]]]), int(falling[first_of[order[1]]])
    fault = (
        fault_model.faults[fault_model.suspects[first].fault].title,
        fault_model.faults[fault_model.suspects[second].fault].title,
    )
    return fault if fault[0] != fault[1] else (fault_model.titles[first], fault_model.titles[second])


def _minutes(minutes: float) -> str:
    whole = max(1, round(minutes))
    return "a minute" if whole == 1 else f"{whole} minutes"


def _behind(accesses: tuple[Opening, ...]) -> str:
    if not accesses:
        return "with nothing more to open"
    last = accesses[-1]
    return f"with {last.access} to open first" if last.place is None else f"with {last.access} at {last.place} first"
