"""How common a fault is on units of which some facts are known."""

from __future__ import annotations

from collections.abc import Mapping
from math import prod

from assistant.diagnosis.conditions import may_hold, surely_holds
from assistant.procedure.model import Fault, Procedure, Question, When


def prior_weight(procedure: Procedure, fault: Fault, known: Mapping[str, str]) -> float:
    """How common a fault is on units with these facts: an answer that it does not go with speaks against it.

    A factor says how much likelier one answer makes the fault beside the others; the weight holds for all units,
    whatever they answer. So of each question counts what its answer makes of the weight over the mean of what its
    answers would, each counted by how common it is (Bayes' rule). A fact that is not known changes nothing.
    """
    weight, told = fault.weight, dict[str, str]()
    for question in procedure.facts:
        answer = known.get(question.name)
        if answer is None or not question.choices:
            continue
        if any(question.name in factor.when for factor in fault.factors):
            times = times_of(question, fault, told)
            common = {option.name: option.share for option in question.choices}
            mean = sum(common[name] * each for name, each in times.items()) / sum(common.values())
            weight *= times.get(answer, 1.0) / mean
        told[question.name] = answer
    return weight * share_of(procedure, fault.when, known)


def share_of(procedure: Procedure, when: When, known: Mapping[str, str]) -> float:
    """How common units are on which a condition holds, for what of it is not known; 1 where all of it is.

    A question that was not answered counts by how common its answers are; one with another condition counts alone.
    """
    share = 1.0
    for name, wanted in when.items():
        question = next((one for one in procedure.facts if one.name == name), None)
        if name in known or question is None or not question.choices:
            continue
        fits = sum(one.share for one in question.choices if may_hold({name: wanted}, {name: one.name}))
        share *= fits / sum(one.share for one in question.choices)
    return share


def times_of(question: Question, fault: Fault, told: Mapping[str, str]) -> dict[str, float]:
    """What each answer to a question makes of a fault's weight, with the facts told before it."""
    bearing = [factor for factor in fault.factors if question.name in factor.when]
    return {
        option.name: prod(
            factor.times for factor in bearing if surely_holds(factor.when, {**told, question.name: option.name})
        )
        for option in question.choices
    }
