"""Why the planner chose what it chose, as values: the numbers that decided, put into words in ``phrasing``."""

from __future__ import annotations

import numpy as np

from assistant.diagnosis.constants import EVEN, NAMED
from assistant.diagnosis.fault_model import FaultModel, Opening
from assistant.diagnosis.likelihood import Floats
from assistant.diagnosis.progress import Progress
from assistant.messages.reasons import Reason, ReasonSlot, Why


def reason_for_check(
    fault_model: FaultModel,
    posterior: Floats,
    task: int,
    minutes: float,
    accesses: tuple[Opening, ...],
    aim: int | None = None,
) -> Reason:
    """Why this check: what it splits, in how many minutes, behind what; or which check it must come before."""
    if aim is not None and aim != task:
        title = fault_model.checks[fault_model.tasks[aim].check].title
        pair = _split(fault_model, posterior, aim)
        if pair is None:
            return Reason(Why.COMES_FIRST, {"check": title})
        return Reason(Why.COMES_BEFORE_SPLIT, {"check": title, "first": pair[0], "second": pair[1]})
    effort = _effort(minutes, accesses)
    pair = _split(fault_model, posterior, task)
    if pair is None:
        return Reason(Why.NARROWS, effort)
    return Reason(Why.SPLITS, {"first": pair[0], "second": pair[1], **effort})


def reason_for_fix(
    fault_model: FaultModel, cure: int, suspect: int, probability: float, condemned: bool, progress: Progress
) -> Reason:
    """Why this fix: a check condemned it, it is a quick try, or little else is left."""
    title = fault_model.titles[suspect]
    fix = fault_model.fixes[fault_model.cures[cure].fix]
    if condemned:
        check = _condemned_by(fault_model, cure, progress)
        if not check:
            return Reason(Why.POINTED_AT, {"suspect": title})
        return Reason(Why.CONDEMNED, {"check": check, "suspect": title})
    if fix.trial and probability < fault_model.procedure.replace_above:
        return Reason(Why.QUICK_TRY, {"minutes": _whole(fix.minutes), "suspect": title})
    return Reason(Why.LITTLE_ELSE, {"suspect": title, "percent": round(100 * probability)})


def reason_for_none(fault_model: FaultModel, posterior: Floats, progress: Progress) -> Reason:
    """Why there is nothing left to do."""
    if not fault_model.suspects:
        return Reason(Why.NOTHING_APPLIES)
    order = np.argsort(-np.round(posterior, EVEN), kind="stable")
    likeliest = tuple(fault_model.titles[int(number)] for number in order[:2] if posterior[number] > NAMED)
    passed_by = bool(progress.skipped or progress.declined)
    return Reason(Why.PASSED_BY if passed_by else Why.NO_CHECK_LEFT, {"suspects": likeliest})


def _condemned_by(fault_model: FaultModel, cure: int, progress: Progress) -> str:
    """Title of the check that speaks most for a cure among those that condemned it; '' when none did."""
    mine = fault_model.cure_of == cure
    found, best = "", 0.0
    for item in reversed(progress.evidence):
        table = fault_model.tables[item.task]
        row = table.row(item.outcome)
        if row is None or not (table.points[row] & mine).any():
            continue
        others = float(table.chance[row][~mine].mean()) if not mine.all() else 1.0
        speaks = float(table.chance[row][mine].max()) / max(others, 1e-9)
        if speaks > best:
            found, best = fault_model.checks[fault_model.tasks[item.task].check].title, speaks
    return found


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


def _effort(minutes: float, accesses: tuple[Opening, ...]) -> dict[str, ReasonSlot]:
    """Whole minutes and the last thing to be opened first, '' when nothing is."""
    last = accesses[-1] if accesses else None
    return {
        "minutes": _whole(minutes),
        "access": last.access if last is not None else "",
        "place": (last.place or "") if last is not None else "",
    }


def _whole(minutes: float) -> int:
    return max(1, round(minutes))
