"""What is asked fits what stands open: nobody turns a wheel whose hub is off; what was backed off is set again."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.messages import Reason, Why
from assistant.messages.decisions import AccessOpened, CheckChosen, Decision, FactAnswered, Phase, PhaseEntered
from assistant.procedure.load import load_procedure
from assistant.records.summary.decided import decided
from assistant.records.summary.labels import Titles
from assistant.session.agenda.put_back import put_back_items
from assistant.session.context import Context
from assistant.session.dialog_state import DialogState
from assistant.session.fold import fold
from tests.session.conversation import Conversation, vocabulary

NAMES = ("trailer-abs-light-on", "tractor-abs-light-on")


@pytest.mark.parametrize("name", NAMES)
def test_no_check_turns_or_rocks_a_wheel_whose_hub_is_off(name: str) -> None:
    procedure = load_procedure(name).procedure
    turning = [
        check
        for check in procedure.checks
        if (check.hands is not None and check.hands.turn) or check.ask.startswith(("Turn {place}", "Rock {place}"))
    ]
    assert len(turning) >= 5
    assert [check.name for check in turning if "hub off" not in check.spoiled_by] == []


@pytest.mark.parametrize("name", NAMES)
def test_an_adjuster_backed_off_for_the_drum_is_adjusted_again(name: str) -> None:
    """Common practice, no source."""
    procedure = load_procedure(name).procedure
    drum = next(access for access in procedure.access if access.name == "wheel and drum")
    assert "slack adjuster backed off" in drum.say
    assert any("brake adjusted" in item for item in drum.put_back_last)
    assert set(drum.looks) <= set(drum.put_back)


@pytest.mark.parametrize("words", ["no spring", "there's no spring brake"])
def test_an_axle_without_a_spring_brake_is_told_apart_from_one_that_was_caged(words: str) -> None:
    talk = Conversation(Context(load_procedure(NAMES[0]).procedure, vocabulary(), unit_number="0419")).begin()
    chosen = CheckChosen("tone ring", "left rear", 3.0, Reason(Why.ASKED_FOR))
    known = {"brakes": "drum", "shields": "fixed", "sensors wired": "two", "comes on": "at once"}
    known["sensor axle"] = "rear axle"
    facts = (FactAnswered(name, value, value) for name, value in known.items())
    begun: tuple[Decision, ...] = (
        PhaseEntered(Phase.CAUTIONS),
        PhaseEntered(Phase.FACTS),
        *facts,
        PhaseEntered(Phase.FINDING),
        chosen,
    )
    state = fold(talk.context, begun)
    talk.state = replace(state, dialog=DialogState(live=True))
    talk.hear("repeat")
    for _ in range(20):
        if talk.prompt == "access:spring brake caged:left rear":
            break
        talk.hear("yes")
    assert talk.prompt == "access:spring brake caged:left rear", talk.text(talk.said)
    talk.hear(words)
    opened = [one for one in talk.decisions if isinstance(one, AccessOpened)]
    assert opened[-1].absent == "no spring brake"
    assert decided(opened[-1], Titles(), None) == "no spring brake, left rear"
    assert not any("uncaged" in item for item in put_back_items(talk.context, talk.now))
