"""What an answer about the unit is worth: a question is a check whose outcomes are its answers, and talk its price.

P(answer | suspect) follows from what the file says: how common each answer is, what the factors make of a fault under
it, and whether the fault can be there at all under it (Bayes' rule, as in ``prior``). What it is worth is the minutes
to a verified repair as things stand, less the same with the answer known, each answer by its probability.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from assistant.diagnosis.conditions import may_hold, surely_holds
from assistant.diagnosis.constants import WORTH_ASKING
from assistant.diagnosis.fault_model import FaultModel, Suspect
from assistant.diagnosis.likelihood import Floats
from assistant.diagnosis.looking_ahead.action_values import BeliefBatch
from assistant.diagnosis.looking_ahead.lookahead import least_minutes
from assistant.diagnosis.prior import times_of
from assistant.diagnosis.problem import Belief
from assistant.diagnosis.problem_layout import lay_out
from assistant.diagnosis.progress import Progress
from assistant.procedure.model import Question


@dataclass(frozen=True, slots=True)
class NextQuestion:
    """Ask this next."""

    fact: str
    """Name of the question."""
    minutes: float
    """Working minutes that the answer is expected to save."""


def bears_on(fault_model: FaultModel, question: Question) -> bool:
    """True for a question whose answer makes some fault likelier, or rules it or its place out."""
    name = question.name
    places = [one for one in fault_model.procedure.places if name in one.when]
    return bool(places) or any(
        name in fault.when or any(name in factor.when for factor in fault.factors)
        for fault in fault_model.procedure.faults
    )


def best_question(
    fault_model: FaultModel, weights: Mapping[Suspect, float], progress: Progress, questions: Sequence[Question]
) -> NextQuestion | None:
    """The question that is worth the most, None where none is worth asking now.

    Args:
        fault_model: what applies on the unit.
        weights: weight of each suspect, from ``posterior.posterior``.
        progress: what was done so far.
        questions: those that were not answered yet and can be asked.
    """
    asked = [one for one in questions if one.choices and bears_on(fault_model, one)]
    if not asked:
        return None
    posterior = np.array([weights.get(suspect, 0.0) for suspect in fault_model.suspects], dtype=np.float64)
    problem, start = lay_out(fault_model, posterior, progress)
    if not len(problem.groups) or not len(problem.tasks):
        return None
    batch = BeliefBatch(problem, [replace(start, costs=problem.costs(start))])
    batch.priced()
    beliefs: list[Belief] = [start]
    owner: list[int] = []
    for number, question in enumerate(asked):
        for row in _chances(fault_model, question):
            weighed = start.weights * row[problem.suspects]
            if weighed.sum() > 0:
                beliefs.append(replace(start, weights=weighed))
                owner.append(number)
    least = least_minutes(batch.problem, beliefs)
    after = np.bincount(np.array(owner), weights=least[1:], minlength=len(asked))
    saved = np.round(least[0] - after, 6)
    best = int(np.argmax(saved))
    return NextQuestion(asked[best].name, float(saved[best])) if saved[best] > WORTH_ASKING else None


def _chances(fault_model: FaultModel, question: Question) -> Floats:
    """P(answer | suspect), shape (answers, suspects)."""
    known, name = dict(fault_model.facts), question.name
    whens = {place.name: place.when for place in fault_model.procedure.places if name in place.when}
    of_fault: dict[str, tuple[float, ...]] = {}
    alike: dict[tuple[str, str | None], Floats] = {}
    columns = []
    for suspect in fault_model.suspects:
        when = whens.get(suspect.place or "")
        # only where a place hangs on the answer does the place of a fault matter
        key = (suspect.fault, suspect.place if when is not None else None)
        if key in alike:
            columns.append(alike[key])
            continue
        fault = fault_model.faults[suspect.fault]
        if suspect.fault not in of_fault:
            times = times_of(question, fault, {**known})
            of_fault[suspect.fault] = tuple(
                option.share * times[option.name] * may_hold(_only(fault.when, name), {name: option.name})
                for option in question.choices
            )
        column = np.array(of_fault[suspect.fault])
        if when is not None:
            column = column * [surely_holds(_only(when, name), {name: option.name}) for option in question.choices]
        total = column.sum()
        alike[key] = column / total if total > 0 else np.full(len(column), 1 / len(column))
        columns.append(alike[key])
    return np.asarray(np.array(columns).T)


def _only(when: Mapping[str, str | tuple[str, ...]], name: str) -> dict[str, str | tuple[str, ...]]:
    """What a condition says of one fact."""
    return {key: value for key, value in when.items() if key == name}
