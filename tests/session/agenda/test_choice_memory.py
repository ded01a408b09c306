"""Choices that are remembered: the same situation has the same choice, and a different one is worked out anew."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.diagnosis.fault_model import FaultModel, Task, fault_model
from assistant.diagnosis.planner import Choice, choose
from assistant.diagnosis.posterior import posterior
from assistant.diagnosis.progress import progress_of
from assistant.messages.decisions import Decision
from assistant.session.agenda import choice_memory
from assistant.session.agenda.choice_memory import Situation, recalled
from tests.diagnosis.problems import check, fault, fix, observed, procedure


def two_faults() -> FaultModel:
    """Two faults and two checks that tell them apart."""
    return fault_model(
        procedure(
            faults=[fault("a", 2), fault("b", 1)],
            fixes=[fix("a", 5, part="a"), fix("b", 5)],
            checks=[check("one", 1, {"a": "bad"}), check("two", 2, {"b": "bad"})],
        ),
        {},
    )


def situation(seen: FaultModel, *work: Decision, **changed: object) -> Situation:
    factors = changed.pop("factors", {})
    return Situation(seen, work, replace(progress_of(seen, work), **changed), factors)  # type: ignore[arg-type]


def test_what_a_choice_follows_from_makes_the_situation() -> None:
    """Numbers of observations and their words do not; outcomes, order of evidence, skips and history do."""
    seen = two_faults()
    here = situation(seen, observed(1, "one", "good"))
    assert here == situation(seen, observed(7, "one", "good"))
    assert hash(here) == hash(situation(seen, observed(7, "one", "good")))
    others = [
        situation(seen),
        situation(seen, observed(1, "one", "bad")),
        situation(seen, observed(1, "one", "good"), observed(2, "two", "good")),
        situation(seen, observed(1, "one", "good"), skipped=frozenset({Task("two", None)})),
        situation(seen, observed(1, "one", "good"), factors={("a", None): 2.0}),
        situation(two_faults(), observed(1, "one", "good")),
    ]
    assert all(here != other for other in others)
    assert len({here, *others}) == len(others) + 1


def test_it_is_worked_out_once_until_it_is_forgotten(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(choice_memory, "KEPT", 2)
    seen, worked = two_faults(), list[str]()

    def ask(outcome: str) -> Choice:
        work = (observed(1, "one", outcome),)
        progress = progress_of(seen, work)

        def work_out() -> Choice:
            worked.append(outcome)
            return choose(seen, posterior(seen, work), progress)

        return recalled(Situation(seen, work, progress, {}), work_out)

    assert ask("good") == ask("good")
    assert worked == ["good"]
    ask("bad")
    recalled(situation(seen), lambda: ask("bad"))
    ask("good")
    assert worked == ["good", "bad", "good"]
