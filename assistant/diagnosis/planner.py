"""What to do next: the check or the fix with the least expected minutes to a proven cure.

Every action is valued by what it costs and by the base policy (see ``base_policy``) on each outcome; the best few are
then valued again with the best single action on each outcome instead. A part is replaced only when a check has
condemned it or the suspicion of its cure passed the procedure's threshold. Ties break by file order.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from assistant.diagnosis.constants import (
    AGAIN,
    ANOTHER,
    ANOTHER_MINUTES,
    BARELY,
    COMES_BACK,
    DOUBTFUL,
    EITHER,
    EVEN,
    LAST_RESORT,
    THOROUGH,
    UNLIKELY,
    WORTH_OFFERING,
)
from assistant.diagnosis.evidence import Evidence
from assistant.diagnosis.explanations import reason_for_check, reason_for_fix, reason_for_none
from assistant.diagnosis.fault_model import Cure, FaultModel, Indexes, Opening, Suspect, Task
from assistant.diagnosis.likelihood import Flags, Floats
from assistant.diagnosis.looking_ahead.lookahead import Best, best_of
from assistant.diagnosis.problem import Belief, Problem
from assistant.diagnosis.problem_layout import condemned_by, lay_out
from assistant.diagnosis.progress import Progress, progress_of
from assistant.diagnosis.worth_looking import there_today, worth_looking
from assistant.messages.reasons import Reason, Why

__all__ = ["Choice", "GiveUp", "NextCheck", "NextFix", "Progress", "choose", "progress_of", "whats_left"]


@dataclass(frozen=True, slots=True)
class NextCheck:
    """Ask this check next."""

    task: Task
    """Which check, where."""
    minutes: float
    """Minutes with the openings that it still needs."""
    accesses: tuple[Opening, ...]
    """Openings still to be made, in order."""
    because: Reason
    """For 'why?'."""


@dataclass(frozen=True, slots=True)
class NextFix:
    """Do this fix next, then prove it."""

    cure: Cure
    """Which fix, where."""
    suspect: Suspect
    """The likeliest suspect that it cures."""
    probability: float
    """Share of the suspects for which it is proposed."""
    condemned: bool
    """True when a check condemned it (or, for a repair without a part, pointed at it)."""
    minutes: float
    """Minutes with the openings that it still needs, without the proof."""
    accesses: tuple[Opening, ...]
    """Openings still to be made, in order."""
    because: Reason
    """For 'why?'."""
    or_else: tuple[str, ...] = ()
    """Other faults that it takes away as well and that may be the one, the likeliest first."""


@dataclass(frozen=True, slots=True)
class GiveUp:
    """Nothing that is allowed and left could help."""

    because: Reason
    """Why."""


Choice = NextCheck | NextFix | GiveUp


def choose(fault_model: FaultModel, weights: Mapping[Suspect, float], progress: Progress) -> Choice:
    """The next check or fix, or why there is none. Same inputs, same choice.

    Args:
        fault_model: what applies on the unit.
        weights: weight of each suspect, from ``posterior.posterior``.
        progress: what was done so far.
    """
    posterior = np.array([weights.get(suspect, 0.0) for suspect in fault_model.suspects], dtype=np.float64)
    if progress.unseen and not progress.not_at_rest and not worth_looking(fault_model, posterior, progress):
        return GiveUp(Reason(Why.LITTLE_TO_SEE))
    without = _hiding(progress, progress.deferred)
    problem, start = lay_out(fault_model, posterior, without)
    best = best_of(problem, start)
    if progress.deferred:
        offer = _offer(fault_model, posterior, progress, best)
        if offer is not None:
            return offer
    progress = without
    if best.task is None and best.group is None and not progress.unseen:
        # before giving up: checks that tell little, and likely repairs that use up no part
        likely = problem.grouped(start.weights) >= LAST_RESORT
        repairs = problem.repairs & likely & ~_done(fault_model, problem.groups, progress)
        problem = replace(problem, free=problem.free | repairs, telling=THOROUGH)
        best = best_of(problem, start)
    if best.task is None and best.group is None and _something_shown(fault_model, progress):
        problem, start = lay_out(fault_model, posterior, progress, again=True)
        best = best_of(replace(problem, telling=AGAIN), start)
        if best.task is not None:
            return _asked_again(fault_model, int(problem.tasks[best.task]), progress, Reason(Why.LAST_LOOK))
        best = Best(None, _last_resort(problem, start), 0.0)
    if best.task is not None:
        number = int(problem.tasks[best.task])
        if any(item.task == number for item in progress.evidence) and not _repeatable(fault_model, number):
            return _asked_again(fault_model, number, progress, Reason(Why.MUCH_HANGS_ON_IT))
        accesses = fault_model.unopened(fault_model.task_openings[number], progress.opened)
        minutes = float(fault_model.task_minutes[number]) + _opening_minutes(fault_model, accesses)
        aim = None if best.aim is None else int(problem.tasks[best.aim])
        because = reason_for_check(fault_model, posterior, number, minutes, accesses, aim)
        return NextCheck(fault_model.tasks[number], minutes, accesses, because)
    if best.group is not None:
        number = int(problem.groups[best.group])
        cured = np.flatnonzero(fault_model.cure_of == number)
        likeliest = int(cured[np.argmax(np.round(posterior[cured], EVEN))])
        probability = float(posterior[cured].sum())
        accesses = fault_model.unopened(fault_model.cure_openings[number], progress.opened)
        condemned = bool(start.condemned[best.group])
        again = _to_take_again(fault_model, number, posterior, progress, condemned=condemned)
        first = None if again is None else _taken_first(problem, start, number, again, progress)
        if first is not None:
            return first
        return NextFix(
            fault_model.cures[number],
            fault_model.suspects[likeliest],
            probability,
            condemned,
            float(fault_model.cure_minutes[number]) + _opening_minutes(fault_model, accesses),
            accesses,
            reason_for_fix(fault_model, number, likeliest, probability, condemned, progress),
            _or_else(fault_model, posterior, number),
        )
    return GiveUp(reason_for_none(fault_model, posterior, progress))


def whats_left(fault_model: FaultModel, weights: Mapping[Suspect, float], limit: int = 5) -> list[tuple[str, float]]:
    """The likeliest suspects by title with place, and their probabilities, falling; ties in file order."""
    share = {suspect: weights.get(suspect, 0.0) for suspect in fault_model.suspects}
    order = sorted(
        fault_model.suspects, key=lambda suspect: (-round(share[suspect], 9), fault_model.suspect_index[suspect])
    )
    return [(fault_model.title(suspect), share[suspect]) for suspect in order[:limit]]


def _or_else(fault_model: FaultModel, posterior: Floats, cure: int) -> tuple[str, ...]:
    """Faults with another fix of their own which this one takes away and which may well be the one."""
    more = np.flatnonzero(fault_model.cured_by[cure] & (fault_model.cure_of != cure))
    least = EITHER * float(posterior[fault_model.cured_by[cure]].sum())
    order = sorted(more.tolist(), key=lambda number: (-round(float(posterior[number]), EVEN), number))
    return tuple(
        dict.fromkeys(fault_model.suspects[number].fault for number in order if posterior[number] >= least > 0)
    )


def _offer(fault_model: FaultModel, posterior: Floats, progress: Progress, best: Best) -> NextCheck | None:
    """A check that was passed by, where it would save minutes now or nothing else is left; else None."""
    nothing = best.task is None and best.group is None
    problem, start = lay_out(fault_model, posterior, _hiding(progress, frozenset() if nothing else progress.resting))
    offered = best_of(problem, start)
    saved = best.minutes - offered.minutes
    if offered.task is None or not (nothing or saved >= WORTH_OFFERING):
        return None
    aim = offered.task if offered.aim is None else offered.aim
    if not {fault_model.tasks[int(problem.tasks[number])] for number in (offered.task, aim)} & progress.deferred:
        return None
    why = Reason(Why.LEFT_ALONE) if nothing else Reason(Why.WORTH_OFFERING, {"minutes": round(saved)})
    return _asked_again(fault_model, int(problem.tasks[offered.task]), progress, why)


def _hiding(progress: Progress, hidden: frozenset[Task]) -> Progress:
    """The same, with these checks as if passed by for good and no other deferred."""
    return replace(progress, skipped=progress.skipped | hidden, deferred=frozenset(), resting=frozenset())


def _taken_first(problem: Problem, start: Belief, cure: int, again: int, progress: Progress) -> NextCheck | None:
    """What is taken before a fix that hangs on one check: that check once more, or a reading in place of a look."""
    fault_model, number = problem.fault_model, again
    if fault_model.checks[fault_model.tasks[again].check].by_eye:
        other = _another_measure(problem, start, cure, again, progress)
        if other is not None:
            return _asked_again(fault_model, other, progress, Reason(Why.BESIDE_A_LOOK))
        # where nothing else shows that anything is wrong, the hand or the ear may have slipped, if not the eye
        only = _only_sign(fault_model, progress, fault_model.procedure.read_twice or DOUBTFUL)
        if only is None:
            return None
        number = only
    return _asked_again(fault_model, number, progress, Reason(Why.BEFORE_CONDEMNING))


def _to_take_again(
    fault_model: FaultModel, cure: int, posterior: Floats, progress: Progress, *, condemned: bool
) -> int | None:
    """The reading that is taken once more before a fix; None where none need be."""
    if fault_model.procedure.read_twice is not None:
        doubtful = fault_model.procedure.read_twice
        again = _hangs_on(fault_model, cure, posterior, progress, doubtful)
        return again if again is not None else _only_sign(fault_model, progress, doubtful)
    share = float(posterior[fault_model.cure_of == cure].sum())
    return _grounds(fault_model, cure, share, progress) if condemned else None


def _grounds(fault_model: FaultModel, cure: int, share: float, progress: Progress) -> int | None:
    """The reading that condemned a part, while it was taken only once and a misreading could explain it.

    The cheapest of several; none for an adjustment, a repair without a part, or a part that may be tried.
    """
    fix = fault_model.fixes[fault_model.cures[cure].fix]
    if fix.part is None or fix.trial or 1.0 - share < DOUBTFUL:
        return None
    grounds = [item for item in progress.evidence if condemned_by(fault_model, item)[cure]]
    if not grounds or any(item.times > 1 for item in grounds) or len({item.task for item in grounds}) > 1:
        return None
    task = grounds[0].task
    return None if fault_model.tasks[task] in progress.skipped else task


def _hangs_on(
    fault_model: FaultModel, cure: int, posterior: Floats, progress: Progress, doubtful: float
) -> int | None:
    """The reading on which a fix hangs: taken once, and all that speaks against suspects that another fix cures.

    Of several the one that holds off the most; None where nothing much hangs on one reading.
    """
    against = np.zeros((len(progress.evidence), len(fault_model.suspects)), dtype=np.bool_)
    for number, item in enumerate(progress.evidence):
        table = fault_model.tables[item.task]
        row = table.row(item.outcome)
        if row is not None:
            against[number] = table.chance[row] < UNLIKELY * BARELY
    alone = against & (against.sum(axis=0) == 1) & (fault_model.cure_of != cure)
    held_off = alone @ posterior
    looks = Counter(item.task for item in progress.evidence)  # a repeatable check is another thing each time
    for number, item in enumerate(progress.evidence):
        if item.times > 1 or looks[item.task] > 1 or fault_model.tasks[item.task] in progress.skipped:
            held_off[number] = 0.0
    if not len(held_off) or held_off.max() < doubtful:
        return None
    return int(progress.evidence[int(np.argmax(np.round(held_off, EVEN)))].task)


def _only_sign(fault_model: FaultModel, progress: Progress, doubtful: float) -> int | None:
    """The one look, taken once, without which nothing shows that anything is wrong today.

    None where a misreading is too unlikely for the minutes of another look, but for a short one: who mends what was
    misread sends the unit out as it was, and it comes back.
    """
    shown = [item.task for item in progress.evidence if not _is_sound(fault_model, item)]
    if progress.tried or len(shown) != 1:
        return None
    task = shown[0]
    looks = sum(item.times for item in progress.evidence if item.task == task)
    if looks > 1 or fault_model.tasks[task] in progress.skipped:
        return None
    nothing = 1.0 - there_today(fault_model, progress.evidence)
    worth = max(nothing * COMES_BACK, WORTH_OFFERING) >= float(fault_model.task_minutes[task])
    return task if nothing >= doubtful and worth else None


def _another_measure(problem: Problem, start: Belief, cure: int, look: int, progress: Progress) -> int | None:
    """What tells a cure's faults from those that a look by eye held off, in place of a second look.

    The most telling for its minutes; None where nothing tells them well, or only at more than half the minutes
    of the repair: a plug that is plainly green is cleaned then, and its proof tells.
    """
    fault_model, seen = problem.fault_model, {item.task for item in progress.evidence}
    table = fault_model.tables[look]
    row = table.row(next(item.outcome for item in progress.evidence if item.task == look))
    mine = fault_model.cure_of[problem.suspects] == cure
    held = np.zeros(len(mine), dtype=np.bool_) if row is None else table.chance[row][problem.suspects] < UNLIKELY
    held &= ~mine
    if not (held.any() and mine.any()):
        return None
    minutes = problem.costs(start)[1]
    most = float(fault_model.cure_minutes[cure]) * ANOTHER_MINUTES
    best, number = 0.0, None
    for at, task in enumerate(problem.tasks.tolist()):
        check = fault_model.checks[fault_model.tasks[task].check]
        if task in seen or check.by_eye or minutes[at] > most:
            continue
        shown = fault_model.tables[task].chance[:, problem.suspects]
        tells = 0.5 * float(np.abs(_mean(shown, start, mine) - _mean(shown, start, held)).sum())
        worth = round(tells / max(float(minutes[at]), 1e-3), EVEN)
        if tells >= ANOTHER * BARELY and worth > best:
            best, number = worth, int(problem.tasks[problem.first_of(start, at)])
    return number


def _mean(shown: Floats, start: Belief, some: Flags) -> Floats:
    """What some suspects show at a check, by their weights."""
    weights = start.weights[some]
    return np.asarray(shown[:, some] @ weights / max(float(weights.sum()), 1e-300))


def _repeatable(fault_model: FaultModel, task: int) -> bool:
    return fault_model.checks[fault_model.tasks[task].check].repeatable


def _asked_again(fault_model: FaultModel, task: int, progress: Progress, because: Reason) -> NextCheck:
    accesses = fault_model.unopened(fault_model.task_openings[task], progress.opened)
    minutes = float(fault_model.task_minutes[task]) + _opening_minutes(fault_model, accesses)
    return NextCheck(fault_model.tasks[task], minutes, accesses, because)


def _something_shown(fault_model: FaultModel, progress: Progress) -> bool:
    """True when some check showed a fault: where all reads sound, nothing is taken twice and no part goes."""
    return any(not _is_sound(fault_model, item) for item in progress.evidence)


def _is_sound(fault_model: FaultModel, item: Evidence) -> bool:
    return item.outcome in ("good", *fault_model.checks[fault_model.tasks[item.task].check].sound)


def _last_resort(problem: Problem, belief: Belief) -> int | None:
    """The likeliest group, where the procedure lets its part go on that suspicion because no check is left."""
    least = problem.fault_model.procedure.last_resort
    posterior = problem.grouped(belief.weights) / max(float(belief.weights.sum()), 1e-300)
    open_groups = ~(problem.fix_precedence & belief.left).any(axis=1) & ~problem.tried
    if least is None or not (open_groups & (posterior >= least)).any():
        return None
    return int(np.argmax(np.where(open_groups, np.round(posterior, EVEN), 0.0)))


def _done(fault_model: FaultModel, groups: Indexes, progress: Progress) -> Flags:
    return np.array([fault_model.cures[int(group)] in progress.tried for group in groups], dtype=np.bool_)


def _opening_minutes(fault_model: FaultModel, accesses: tuple[Opening, ...]) -> float:
    return float(sum(fault_model.opening_minutes[fault_model.opening_index[opening]] for opening in accesses))
