"""Whether a hunt goes on while nothing shows that the fault is there today.

A unit whose complaint does not show may have nothing wrong any more. Each look that finds all sound makes that
likelier, and what is left to look at finds less for its minutes. Once no look, with what must be opened for it, is
worth what it costs that a fault comes back, nothing more is looked at.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from assistant.diagnosis.constants import ASKED, COMES_BACK, NOTHING_THERE
from assistant.diagnosis.evidence import Evidence, seen_likelihood
from assistant.diagnosis.fault_model import FaultModel, Indexes
from assistant.diagnosis.likelihood import Floats
from assistant.diagnosis.progress import Progress

_LEAST = 1e-300
"""Stands for nothing where a logarithm is taken."""


def worth_looking(fault_model: FaultModel, posterior: Floats, progress: Progress) -> bool:
    """True while some look left may find enough for its minutes.

    Args:
        fault_model: what applies on the unit, with at least one suspect.
        posterior: share of each suspect, if something is there.
        progress: what was done so far, with nothing seen that is wrong.
    """
    if not progress.evidence:
        return True
    return there_today(fault_model, progress.evidence) * _found_a_minute(fault_model, posterior, progress) >= (
        1.0 / COMES_BACK
    )


def there_today(fault_model: FaultModel, evidence: Sequence[Evidence]) -> float:
    """Probability that something is there which a check can show, given what was read.

    A unit with nothing wrong shows what its checks call sound, misreadings aside. Stored codes say what was there
    once, so that they are as likely either way.
    """
    there = np.log(np.maximum(fault_model.priors, _LEAST))
    nothing = 0.0
    for item in evidence:
        seen = seen_likelihood(fault_model, item.task, item.looks)
        shown = np.maximum(seen @ fault_model.tables[item.task].declared, _LEAST)
        rows = _sound_rows(fault_model, item.task)
        if fault_model.checks[fault_model.tasks[item.task].check].reads_codes or not len(rows):
            weights = np.exp(there - there.max())
            nothing += float(np.log(weights @ shown / weights.sum()))
        else:
            nothing += float(np.log(max(seen[rows].max(), _LEAST)))
        there += np.log(shown)
    log_odds = float(np.logaddexp.reduce(there)) - nothing + np.log((1 - NOTHING_THERE) / NOTHING_THERE)
    return float(1 / (1 + np.exp(-log_odds)))


def could_show(fault_model: FaultModel, task: int, posterior: Floats) -> float:
    """Share of the suspects that would show themselves at a check, misreadings aside."""
    return float(posterior @ _shows(fault_model, task))


def _found_a_minute(fault_model: FaultModel, posterior: Floats, progress: Progress) -> float:
    """The most that looks left would find for each minute, taken together where they share what must be opened.

    A share of the suspects a minute, if something is there.
    """
    closed = np.array([opening not in progress.opened for opening in fault_model.openings], dtype=np.bool_)
    shared: dict[bytes, list[int]] = {}
    left = _left(fault_model, posterior, progress)
    for task in left:
        shared.setdefault((fault_model.task_openings[task] & closed).tobytes(), []).append(task)
    most = 0.0
    for needed in shared:
        needs = np.frombuffer(needed, dtype=np.bool_)
        minutes = float(fault_model.opening_minutes[needs].sum())
        unseen = posterior
        for task in left:
            if (fault_model.task_openings[task] & closed & ~needs).any():
                continue
            minutes += float(fault_model.task_minutes[task])
            unseen = unseen * (1.0 - _shows(fault_model, task))
            most = max(most, float(posterior.sum() - unseen.sum()) / max(minutes, 1e-9))
    return most


def _left(fault_model: FaultModel, posterior: Floats, progress: Progress) -> Indexes:
    """Tasks that may still be asked and would show something, those that find the most a minute first."""
    times = Counter(item.task for item in progress.evidence)
    found = {
        number: could_show(fault_model, number, posterior) / max(float(fault_model.task_minutes[number]), 1e-9)
        for number, task in enumerate(fault_model.tasks)
        if task not in progress.skipped
        and times[number] < (ASKED if fault_model.checks[task.check].repeatable else 1)
    }
    order = sorted((number for number in found if found[number] > 0), key=lambda number: (-found[number], number))
    return np.array(order, dtype=np.int64)


@lru_cache(maxsize=4096)
def _shows(fault_model: FaultModel, task: int) -> Floats:
    """P(a check shows something that is not sound | suspect), misreadings aside, shape (suspects,)."""
    rows = _sound_rows(fault_model, task)
    if not len(rows):  # it names a place: nothing that it says is sound or not
        return np.zeros(len(fault_model.suspects))
    return np.asarray(1.0 - fault_model.tables[task].declared[rows].sum(axis=0))


@lru_cache(maxsize=4096)
def _sound_rows(fault_model: FaultModel, task: int) -> Indexes:
    """Outcomes that a sound unit shows."""
    sound = {"good", *fault_model.checks[fault_model.tasks[task].check].sound}
    outcomes = fault_model.tables[task].outcomes
    return np.array([row for row, outcome in enumerate(outcomes) if outcome in sound], dtype=np.int64)
