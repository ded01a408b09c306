"""Which conditions of a procedure hold, given the facts answered so far.

The rule stands in ``procedure.model``: a fact not yet known, or answered 'not sure', makes a condition hold (better
ask than miss), except in ``factors`` and ``minutes_when``, where only what is known counts.
"""

from __future__ import annotations

from collections.abc import Mapping

from assistant.procedure.model import MinutesWhen, Procedure, When

UNSURE = "not sure"
"""Value that the record keeps for a fact the person could not tell."""


def known_facts(facts: Mapping[str, str]) -> dict[str, str]:
    """The facts with an answer that says something."""
    return {name: value for name, value in facts.items() if value and value != UNSURE}


def assumed_facts(procedure: Procedure, facts: Mapping[str, str]) -> dict[str, str]:
    """The known facts, and for each unsure one the value its question assumes for conditions."""
    taken = known_facts(facts)
    for question in procedure.facts:
        if question.assume is not None and facts.get(question.name) == UNSURE:
            taken[question.name] = question.assume
    return taken


def _matches(wanted: str | tuple[str, ...], value: str) -> bool:
    return value == wanted if isinstance(wanted, str) else value in wanted


def may_hold(when: When, facts: Mapping[str, str]) -> bool:
    """True unless a known fact says otherwise."""
    return all(name not in facts or _matches(wanted, facts[name]) for name, wanted in when.items())


def surely_holds(when: When, facts: Mapping[str, str]) -> bool:
    """True when every named fact is known and has one of the given values."""
    return all(name in facts and _matches(wanted, facts[name]) for name, wanted in when.items())


def minutes_of(minutes: float, under: tuple[MinutesWhen, ...], facts: Mapping[str, str]) -> float:
    """Minutes under the first condition that surely holds, else the plain minutes."""
    for entry in under:
        if surely_holds(entry.when, facts):
            return entry.minutes
    return minutes
