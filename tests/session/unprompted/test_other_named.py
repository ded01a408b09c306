"""A reading that is told with another check's name is never taken for what is asked, in any procedure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

import pytest

from assistant.catalog import load_vocabulary
from assistant.messages import NO_PROMPT, Reason, Why
from assistant.messages.decisions import (
    AccessOpened,
    CautionAcknowledged,
    CheckChosen,
    Decision,
    FactAnswered,
    Observed,
    Phase,
    PhaseEntered,
)
from assistant.procedure.load import list_procedures, load_procedure
from assistant.session.agenda.prompts import mode_of
from assistant.session.context import Context
from assistant.session.dialog_state import DialogState, Mode
from assistant.session.fold import State, fold
from tests.session.conversation import Conversation

ALIKE = {("circuit to ground", "sensor to ground"), ("sensor to ground", "circuit to ground"), ("to ground", "ohms")}
"""Checks of which one's title is said with the other's: 'sensor circuit to ground' is both."""


def _prompts() -> Iterator[tuple[Context, State, str]]:
    """Every prompt for a reading that can be asked with the first answer to each question."""
    for path in list_procedures():
        procedure = load_procedure(path).procedure
        context = Context(procedure, load_vocabulary(), unit_number="4207", simulated=True)
        before: list[Decision] = [PhaseEntered(Phase.CAUTIONS)]
        before += [CautionAcknowledged(one.name, None, NO_PROMPT) for one in procedure.cautions]
        before.append(PhaseEntered(Phase.FACTS))
        for fact in procedure.facts:
            value = fact.choices[0].name if fact.choices else "12"
            before.append(FactAnswered(fact.name, value, value))
        phase = PhaseEntered(Phase.FINDING if procedure.kind == "find" else Phase.SURVEYING)
        for check in procedure.checks:
            place = next((one.name for one in procedure.places if one.group == check.each), None)
            opened = [AccessOpened(name, place if context.access(name).each else None, 1.0) for name in check.needs]
            chosen = CheckChosen(check.name, place, 1.0, Reason(Why.IN_ORDER))
            state = replace(fold(context, [*before, *opened, phase, chosen]), dialog=DialogState(live=True))
            if check.kind == "reading" and mode_of(context, state) is Mode.CHECK:
                yield context, state, check.name


@pytest.mark.sweep
def test_a_reading_of_another_name_is_never_taken_for_what_is_asked() -> None:
    told: Counter[bool] = Counter()
    wrong = []
    for context, state, name in _prompts():
        asked = context.check(name)
        value = "1200" if asked.unit == "ohm" else "12.3"
        for other in context.procedure.checks:
            if other is asked or other.unit != asked.unit or other.kind != "reading":
                continue
            for words in (f"{other.name} {value}", f"{other.title} {value}"):
                dialog = Conversation(context, state)
                dialog.hear(words)
                taken = any(isinstance(one, Observed) and one.check == name for one in dialog.decisions)
                told[taken] += 1
                if taken and (name, other.name) not in ALIKE:
                    wrong.append((context.procedure.name, name, words))
    assert told[False] > 500
    assert not wrong
