"""While nothing shows that the fault is there: what is looked at still, and when it is enough."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import pytest

from assistant.diagnosis.constants import COMES_BACK, NOTHING_THERE
from assistant.diagnosis.fault_model import FaultModel, fault_model
from assistant.diagnosis.planner import GiveUp, NextCheck, choose, progress_of
from assistant.diagnosis.posterior import posterior
from assistant.diagnosis.worth_looking import could_show, there_today
from assistant.messages import Why
from assistant.messages.decisions import Decision
from tests.diagnosis.problems import check, fault, fix, observed, procedure

SLIP = 0.1


def hunt(
    minutes: float, *, behind: Sequence[str] = (), access: Sequence[dict[str, Any]] = (), **more: Any
) -> FaultModel:
    """Two faults: one that a look of a minute shows, and one that takes these minutes to be seen."""
    return fault_model(
        procedure(
            slip=SLIP,
            access=list(access),
            faults=[fault("a", 1), fault("b", 1)],
            fixes=[fix("a", 5, part="part"), fix("b", 5, part="part")],
            checks=[
                check("look", 1, {"a": "bad"}),
                check("dear", minutes, {"b": "bad"}, needs=list(behind), **more),
            ],
        ),
        {},
    )


def chosen(seen: FaultModel, events: list[Decision], *, unseen: bool = True, not_at_rest: bool = False) -> Any:
    return choose(
        seen, posterior(seen, events), replace(progress_of(seen, events), unseen=unseen, not_at_rest=not_at_rest)
    )


GOOD: list[Decision] = [observed(1, "look", "good")]


def test_a_sound_reading_makes_it_likelier_that_nothing_is_there() -> None:
    """By hand: of the two faults one shows 'good' at a tenth, the other as often as a sound unit does."""
    seen = hunt(10)
    there = 1 - NOTHING_THERE
    shown = there * (SLIP + (1 - SLIP)) / 2
    nothing = NOTHING_THERE * (1 - SLIP)
    assert there_today(seen, ()) == pytest.approx(there)
    evidence = progress_of(seen, GOOD).evidence
    assert there_today(seen, evidence) == pytest.approx(shown / (shown + nothing))
    bad = progress_of(seen, [observed(1, "look", "bad")]).evidence
    assert there_today(seen, bad) > there


def test_codes_that_are_stored_say_nothing_of_today() -> None:
    read = check("look", 1, {"a": "bad"}, reads_codes=True)
    seen = fault_model(procedure(slip=SLIP, faults=[fault("a", 1)], fixes=[fix("a", 5)], checks=[read]), {})
    for shown in ("good", "bad"):
        evidence = progress_of(seen, [observed(1, "look", shown)]).evidence
        assert there_today(seen, evidence) == pytest.approx(1 - NOTHING_THERE)


@pytest.mark.parametrize(("minutes", "goes_on"), [(10, True), (COMES_BACK * 0.5, True), (COMES_BACK * 1.5, False)])
def test_a_look_is_taken_while_it_is_worth_its_minutes(minutes: float, *, goes_on: bool) -> None:
    found = chosen(hunt(minutes), GOOD)
    if goes_on:
        assert isinstance(found, NextCheck)
        assert found.task.check == "dear"
    else:
        assert isinstance(found, GiveUp)
        assert found.because.why is Why.LITTLE_TO_SEE


def test_what_must_be_opened_for_a_look_counts_and_what_is_open_does_not() -> None:
    drum = [{"name": "drum", "say": "Pull it.", "minutes": COMES_BACK * 1.5}]
    seen = hunt(10, behind=["drum"], access=drum)
    assert isinstance(chosen(seen, GOOD), GiveUp)
    opened = replace(progress_of(seen, GOOD), unseen=True, opened=frozenset(seen.openings))
    assert isinstance(choose(seen, posterior(seen, GOOD), opened), NextCheck)


def test_a_fault_that_was_seen_is_hunted_whatever_it_takes() -> None:
    assert isinstance(chosen(hunt(COMES_BACK * 1.5), GOOD, unseen=False), NextCheck)


def test_what_a_look_could_still_show() -> None:
    seen = hunt(10)
    shares = seen.priors
    assert could_show(seen, 0, shares) == pytest.approx(0.5)
    assert could_show(seen, 1, shares) == pytest.approx(0.5)


def test_what_comes_every_time_after_rolling_is_hunted_though_nothing_shows_at_rest() -> None:
    assert isinstance(chosen(hunt(COMES_BACK * 1.5), GOOD, not_at_rest=True), NextCheck)
