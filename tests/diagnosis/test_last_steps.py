"""Before giving up: what tells little, a second look at all, the likeliest part; and limits under conditions."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from typing import Any

import numpy as np
import pytest

from assistant.diagnosis.constants import WIDTH
from assistant.diagnosis.explanations import reason_for_check, reason_for_fix
from assistant.diagnosis.fault_model import Cure, FaultModel, Suspect, Task, fault_model
from assistant.diagnosis.limits import limits_of
from assistant.diagnosis.looking_ahead import lookahead
from assistant.diagnosis.looking_ahead.action_values import BeliefBatch
from assistant.diagnosis.planner import Choice, GiveUp, NextCheck, NextFix, Progress, choose, progress_of
from assistant.diagnosis.posterior import posterior
from assistant.diagnosis.problem_layout import lay_out
from assistant.messages import Why
from assistant.messages.decisions import Decision
from assistant.procedure.model import Check
from tests.diagnosis.problems import check, fault, fix, observed, procedure, random_large


def two_parts(last_resort: float | None, *, weights: Mapping[str, float] = {"a": 7.0, "b": 3.0}) -> FaultModel:
    """Two parts, and one reading that both make low and that condemns neither."""
    return fault_model(
        procedure(
            slip=0.02,
            last_resort=last_resort,
            faults=[fault(name, weight) for name, weight in weights.items()],
            fixes=[fix(name, 10, part="part") for name in weights],
            checks=[check("look", 1, dict.fromkeys(weights, "bad"))],
        ),
        {},
    )


def chosen(seen: FaultModel, events: list[Decision]) -> Choice:
    return choose(seen, posterior(seen, events), progress_of(seen, events))


def test_where_no_check_is_left_the_likeliest_part_goes_by_the_files_last_resort() -> None:
    seen = two_parts(0.5)
    shown: list[Decision] = [observed(1, "look", "bad")]
    last = chosen(seen, shown)
    assert isinstance(last, NextFix)
    assert last.cure == Cure("mend a")
    assert not last.condemned
    assert last.because.why is Why.LITTLE_ELSE
    assert last.because.slots["percent"] == pytest.approx(round(100 * last.probability))
    for none_goes in (two_parts(None), two_parts(0.9)):
        assert isinstance(chosen(none_goes, shown), GiveUp), "not by this file, or not on so little"


def test_where_every_reading_is_good_no_part_goes_on_suspicion() -> None:
    seen = two_parts(0.5)
    none = chosen(seen, [observed(1, "look", "good"), observed(2, "look", "good")])
    assert isinstance(none, GiveUp)
    assert none.because.why is Why.NO_CHECK_LEFT
    assert none.because.slots["suspects"] == ("bad a", "bad b")


def test_what_was_answered_is_looked_at_once_more_before_giving_up() -> None:
    """A reading that was good clears a suspect; another one showed a fault that nothing else explains."""
    seen = fault_model(
        procedure(
            slip=0.1,
            faults=[fault("a", 1), fault("b", 1)],
            fixes=[fix("a", 5, part="part", after=["second"]), fix("b", 5, part="part")],
            checks=[
                check("first", 1, {"a": "bad"}, condemns=["bad"]),
                check("second", 1, {"b": "bad"}),
            ],
        ),
        {},
    )
    events: list[Decision] = [
        observed(1, "first", "good"),
        observed(2, "second", "bad"),
        observed(3, "second", "bad"),
    ]
    again = chosen(seen, events)
    assert isinstance(again, NextCheck | NextFix)
    if isinstance(again, NextCheck):
        assert again.because.why in (Why.LAST_LOOK, Why.MUCH_HANGS_ON_IT)
        assert again.task == Task("first")


def test_a_likely_repair_without_a_part_is_done_when_no_check_tells() -> None:
    seen = fault_model(
        procedure(
            faults=[fault("a", 6), fault("b", 4)],
            fixes=[fix("a", 5), fix("b", 5, part="part")],
            checks=[check("idle", 1, {})],
        ),
        {},
    )
    done = chosen(seen, [])
    assert isinstance(done, NextFix)
    assert done.cure == Cure("mend a")
    part_first = two_parts(None, weights={"a": 6.0, "b": 4.0})
    assert isinstance(chosen(part_first, [observed(1, "look", "bad"), observed(2, "look", "bad")]), GiveUp)


def test_nothing_that_applies_is_said_so() -> None:
    seen = fault_model(
        procedure(
            facts=[{"name": "kind", "ask": "Which?", "choices": [{"name": "one"}, {"name": "two"}]}],
            faults=[fault("a", 1, when={"kind": "two"})],
            fixes=[fix("a", 5)],
            checks=[check("look", 1, {"a": "bad"})],
        ),
        {"kind": "one"},
    )
    none = choose(seen, posterior(seen, []), Progress())
    assert isinstance(none, GiveUp)
    assert none.because.why is Why.NOTHING_APPLIES


def reasons() -> FaultModel:
    """Two wheels with one fault each at either, a cover over one check, and a module for both."""
    places = [{"name": name, "group": "wheel"} for name in ("left", "right")]
    return fault_model(
        procedure(
            places=places,
            access=[{"name": "cover", "say": "Open it.", "minutes": 4, "each": "wheel"}],
            faults=[fault("coil", 2, each="wheel"), fault("module", 1)],
            fixes=[fix("coil", 5, each="wheel", trial=True), fix("module", 5)],
            checks=[
                check("own", 2, {"coil": "bad"}, each="wheel", needs=["cover"]),
                check("both", 2, {"coil": "bad", "module": "bad"}),
                check("apart", 1, {"module": "bad"}),
            ],
        ),
        {},
    )


@pytest.mark.parametrize(
    ("task", "aim", "minutes", "why", "slots"),
    [
        # the likeliest of those that show it, against the likeliest of those that do not; both coils are called so
        (Task("apart"), None, 1.2, Why.SPLITS, {"first": "bad coil", "second": "bad module", "minutes": 1}),
        (Task("own", "left"), None, 6.0, Why.SPLITS, {"first": "bad coil, right", "second": "bad coil, left"}),
        (Task("both"), None, 0.3, Why.NARROWS, {"minutes": 1, "access": "", "place": ""}),
        (Task("both"), Task("both"), 2.0, Why.NARROWS, {"minutes": 2}),
        (Task("both"), Task("apart"), 2.0, Why.COMES_BEFORE_SPLIT, {"check": "apart test", "first": "bad coil"}),
        (Task("apart"), Task("both"), 1.0, Why.COMES_FIRST, {"check": "both test"}),
    ],
)
def test_why_a_check_is_asked(
    task: Task, aim: Task | None, minutes: float, why: Why, slots: Mapping[str, object]
) -> None:
    seen = reasons()
    number = seen.task_index[task]
    accesses = seen.unopened(seen.task_openings[number], ())
    told = reason_for_check(
        seen, seen.priors, number, minutes, accesses, None if aim is None else seen.task_index[aim]
    )
    assert told.why is why
    assert {name: told.slots[name] for name in slots} == slots
    if task.check == "own":
        assert (told.slots["access"], told.slots["place"]) == ("cover", "left")


def test_why_a_fix_is_done() -> None:
    seen = reasons()
    left = seen.cure_index[Cure("mend coil", "left")]
    suspect = seen.suspect_index[Suspect("coil", "left")]
    told = reason_for_fix(seen, left, suspect, 0.4, False, Progress())
    assert (told.why, told.slots) == (Why.QUICK_TRY, {"minutes": 5, "suspect": "bad coil, left"})
    sure = reason_for_fix(seen, left, suspect, 0.95, False, Progress())
    assert (sure.why, sure.slots["percent"]) == (Why.LITTLE_ELSE, 95)
    module = reason_for_fix(seen, seen.cure_index[Cure("mend module")], 2, 0.4, False, Progress())
    assert module.why is Why.LITTLE_ELSE
    events: list[Decision] = [observed(1, "own", "bad", "left"), observed(2, "apart", "good")]
    shown = reason_for_fix(seen, left, suspect, 0.9, True, progress_of(seen, events))
    assert (shown.why, shown.slots) == (Why.CONDEMNED, {"check": "own test", "suspect": "bad coil, left"})
    together = reason_for_fix(seen, left, suspect, 0.9, True, Progress())
    assert (together.why, together.slots) == (Why.POINTED_AT, {"suspect": "bad coil, left"})


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_where_there_are_many_checks_the_best_is_among_those_that_are_valued(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The screening by nats a minute against valuing every one, on problems with more checks than it keeps."""
    problem, start = lay_out_of(random_large(seed, wheels=2))
    assert len(problem.tasks) > WIDTH
    batch = BeliefBatch(problem, [start])
    batch.priced()
    few, every = batch.valued(WIDTH).checks[0], batch.valued(10_000).checks[0]
    assert WIDTH / 2 < np.isfinite(few).sum() <= WIDTH, "by nats a minute and by nats, some by both"
    assert np.isfinite(every).sum() > WIDTH
    assert few[np.isfinite(few)] == pytest.approx(every[np.isfinite(few)]), "valued the same"
    assert few.min() <= every.min() + 0.1
    monkeypatch.setattr(lookahead, "WIDTH", 10_000)
    wide = lookahead.best_of(problem, start)
    monkeypatch.setattr(lookahead, "WIDTH", WIDTH)
    assert lookahead.best_of(problem, start).minutes <= wide.minutes + 0.5


def lay_out_of(small: Any) -> Any:
    seen = fault_model(small, {})
    return lay_out(seen, seen.priors, Progress())


def test_many_beliefs_are_worth_the_same_in_parts_as_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    problem, start = lay_out_of(random_large(4, wheels=1))
    rows = range(0, len(problem.row_task), 7)
    beliefs = [next(problem.branches(start, int(problem.row_task[row]), [row])) for row in rows]
    at_once = lookahead.least_minutes(problem, beliefs)
    monkeypatch.setattr(lookahead, "CELLS", 1)
    assert lookahead.least_minutes(problem, beliefs) == pytest.approx(at_once, rel=0.01)
    assert lookahead.least_minutes(problem, []).shape == (0,)


def test_where_nothing_is_left_the_unit_goes_to_another_shop() -> None:
    problem, start = lay_out_of(procedure(
        faults=[fault("a", 1)], fixes=[fix("a", 5, part="part", after=["look"])],
        checks=[check("look", 1, {"a": "bad"})], replace_above=1,
    ))  # fmt: skip
    over = replace(start, left=np.zeros(len(problem.tasks), dtype=np.bool_), weights=start.weights * 0.25)
    shut = replace(problem, threshold=2.0)
    assert lookahead.least_minutes(shut, [over])[0] == pytest.approx(0.25 * 120.0)


LIMITED = Check.model_validate(
    {
        "name": "drop", "title": "drop", "ask": "Volts?", "unit": "V", "minutes": 1,
        "limits": {"high": "0.5", "source": "a", "usual": ["0.1", "0.3"], "copper": True},
        "limits_when": [
            {"when": {"load": "headlamp"}, "limits": {"high": "0.3", "source": "b", "over_range": "bad"}},
            {"when": {"place": ["left"]}, "limits": {"low": "0.1", "source": "c", "small_ohms": True}},
        ],
    }
)  # fmt: skip


def test_limits_are_the_first_whose_conditions_surely_hold() -> None:
    plain = limits_of(LIMITED, {})
    assert (plain.low, plain.high, plain.source, plain.over_range) == (None, Decimal("0.5"), "a", "")
    assert (plain.usual_low, plain.usual_high, plain.copper) == (Decimal("0.1"), Decimal("0.3"), True)
    loaded = limits_of(LIMITED, {"load": "headlamp"}, "left")
    assert (loaded.high, loaded.source, loaded.over_range, loaded.usual_low) == (Decimal("0.3"), "b", "bad", None)
    assert limits_of(LIMITED, {"load": "not sure"}).source == "a", "an answer that says nothing is no condition"
    at_left = limits_of(LIMITED, {}, "left")
    assert (at_left.low, at_left.source, at_left.small_ohms) == (Decimal("0.1"), "c", True)
    assert limits_of(LIMITED, {}, "right").source == "a"
    bare = LIMITED.model_copy(update={"limits": None, "limits_when": ()})
    assert (limits_of(bare, {}).low, limits_of(bare, {}).high, limits_of(bare, {}).source) == (None, None, "")
