"""The choices worked out lately, kept because the same situation comes again.

An answer that might condemn a part is tried before it is taken, and then the same choice is due once more. Simulated
units with the same fault come to the same situations by the hundred.
"""

from __future__ import annotations

import contextlib
from collections import OrderedDict
from collections.abc import Callable, Mapping
from typing import TypeVar

from assistant.diagnosis.asking import NextQuestion
from assistant.diagnosis.evidence import gathered, proofs_failed
from assistant.diagnosis.fault_model import FaultModel
from assistant.diagnosis.planner import Choice
from assistant.diagnosis.progress import Progress
from assistant.messages.decisions import Decision
from assistant.procedure.model import Procedure

KEPT = 4000
"""Choices kept, some tens of megabytes on the largest procedures."""
Factors = Mapping[tuple[str, str | None], float]


class Situation:
    """Everything that a choice follows from, so that equal situations have the same choice.

    Args:
        fault_model: what applies on the unit.
        work: what was observed and done, in order.
        progress: the same as the planner uses it.
        factors: what the unit's history makes of the priors.
    """

    def __init__(
        self, fault_model: FaultModel, work: tuple[Decision, ...], progress: Progress, factors: Factors
    ) -> None:
        # by identity, since a procedure holds mappings and has no hash; kept, so that its identity is not used again
        self._procedure: Procedure = fault_model.procedure
        self._key = (
            id(self._procedure),
            frozenset(fault_model.facts.items()),
            tuple(fault_model.places.items()),
            tuple(item.key for item in gathered(fault_model, work)),
            proofs_failed(work),
            progress.skipped,
            progress.deferred,
            progress.resting,
            progress.declined,
            progress.opened,
            progress.tried,
            progress.unseen,
            frozenset(factors.items()),
        )

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Situation) and self._key == other._key

    def __hash__(self) -> int:
        return hash(self._key)


_T = TypeVar("_T")
_choices: OrderedDict[Situation, Choice] = OrderedDict()
_questions: OrderedDict[Situation, NextQuestion | None] = OrderedDict()


def recalled(situation: Situation, work_out: Callable[[], Choice]) -> Choice:
    """The choice in a situation, worked out now unless it is remembered; the oldest are forgotten first.

    Safe for sessions in several threads: each touch of the memory is one operation, and at worst a choice is worked
    out twice, with the same result.
    """
    return _from(_choices, situation, work_out)


def recalled_question(situation: Situation, work_out: Callable[[], NextQuestion | None]) -> NextQuestion | None:
    """The question worth asking in a situation, None for none, in the same way."""
    return _from(_questions, situation, work_out)


def _from(memory: OrderedDict[Situation, _T], situation: Situation, work_out: Callable[[], _T]) -> _T:
    with contextlib.suppress(KeyError):
        return memory[situation]
    found = memory[situation] = work_out()
    while len(memory) > KEPT:
        memory.popitem(last=False)
    return found
