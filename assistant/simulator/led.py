"""A whole session led on a simulated unit whose every answer is right: the yardstick for a session led by hand."""

from __future__ import annotations

from assistant.diagnosis.fault_model import Cure
from assistant.errors import DefectError
from assistant.messages import (
    Began,
    Fact,
    Finish,
    Heard,
    Hypothesis,
    InputEnded,
    Listen,
    PromptKind,
    Recorded,
    Source,
)
from assistant.messages.decisions import Decision, Ending, FixDone, Record
from assistant.session.context import Context
from assistant.session.fold import begin
from assistant.session.step import step
from assistant.simulator.unit import SimulatedUnit

MOST = 600
"""Answers after which a session that does not end is given up."""


def lead(context: Context, unit: SimulatedUnit) -> tuple[tuple[Decision, ...], str]:
    """Every decision of the session, in order, and its ending; '' when it was given up.

    Nothing is written and nobody waits: the unit answers each prompt at once. The unit is changed by the fixes.

    Raises:
        DefectError: the session asked for something that a simulated unit cannot answer.
    """
    state, decisions = begin(context), list[Decision]()
    fact: Fact = Began(at=0.0)
    answers, written = 0, 0
    while True:
        state, effects = step(context, state, fact)
        following: Fact | None = None
        for effect in effects:
            if isinstance(effect, Record):
                written += 1
                decisions += effect.decisions
                follow(unit, effect.decisions)
                following = Recorded(at=0.0, number=written)
            elif isinstance(effect, Listen):
                answers += 1
                following = following or _answer(unit, effect, answers)
            elif isinstance(effect, Finish):
                return tuple(decisions), "" if effect.ending not in set(Ending) else effect.ending
        if following is None:
            raise DefectError(f"the engine neither listens nor records nor finishes after {fact.kind}")
        fact = following


def follow(unit: SimulatedUnit, decisions: tuple[Decision, ...]) -> list[tuple[Cure, bool]]:
    """Change the unit by the fixes among these decisions: each with True when it cured something."""
    done = []
    for decision in decisions:
        if isinstance(decision, FixDone):
            cure = Cure(decision.fix, decision.place)
            done.append((cure, unit.fix(cure)))
    return done


def _answer(unit: SimulatedUnit, effect: Listen, answers: int) -> Fact:
    kind = effect.expectation.prompt.kind
    if answers > MOST:
        return InputEnded(at=0.0)
    words = "next" if kind is PromptKind.FIX else unit.answer(effect.expectation)
    return Heard(0.0, (Hypothesis(words),), Source.TYPED)
