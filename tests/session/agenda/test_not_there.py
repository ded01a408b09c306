"""A place that turns out not to be there is left alone for good, and hides nothing."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.messages import check_prompt
from assistant.messages.decisions import FactAnswered, Skipped
from assistant.procedure.load import load_procedure
from assistant.session.agenda.next_action import view_of
from assistant.session.agenda.not_there import places_not_there
from assistant.session.context import Context
from assistant.session.fold import apply_all, begin
from assistant.session.ledger import NOT_SURE
from tests.session.conversation import context

TRAILER = load_procedure("trailer-abs-light-on").procedure


def setting() -> Context:
    return replace(context(), procedure=TRAILER)


def passed_by(reason: str, place: str = "left front", axle: str = NOT_SURE) -> tuple[FactAnswered | Skipped, ...]:
    return (
        FactAnswered("sensor axle", axle, ""),
        Skipped(check_prompt("look at the wire", place), reason),
    )


@pytest.mark.parametrize(
    "reason", ["not on this unit", "there is none", "it has no sensor there, none there", "Not on this trailer.",
               "doesn't have one", "there isn't one"],
)  # fmt: skip
def test_a_doubtful_place_that_is_not_there_is_gone(reason: str) -> None:
    state = apply_all(setting(), begin(setting()), passed_by(reason))
    assert places_not_there(setting(), state) == {"left front"}
    assert view_of(setting(), state).places["wheel"] == ("right front", "left rear", "right rear")
    assert all(one.place != "left front" for one in view_of(setting(), state).suspects)


@pytest.mark.parametrize("reason", ["can't reach it", "not now", "", "no meter here", "too hot"])
def test_other_reasons_take_no_place_away(reason: str) -> None:
    state = apply_all(setting(), begin(setting()), passed_by(reason))
    assert not places_not_there(setting(), state)


def test_of_a_place_that_is_surely_there_it_says_something_else() -> None:
    """'Not on this unit' at a wheel that has a sensor is about the check, not about the wheel."""
    state = apply_all(setting(), begin(setting()), passed_by("not on this unit", "left front", "front axle"))
    assert not places_not_there(setting(), state)
    assert "left front" in view_of(setting(), state).places["wheel"]
