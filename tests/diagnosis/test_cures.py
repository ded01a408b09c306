"""A fix that takes away faults with a fix of their own, as a new sensor comes with a new clip: worked out by hand."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.diagnosis import posterior as ours
from assistant.diagnosis.constants import NOT_CURED, WIDTH
from assistant.diagnosis.evidence import touched_tasks
from assistant.diagnosis.fault_model import Cure, FaultModel, Suspect, Task, fault_model
from assistant.diagnosis.looking_ahead.action_values import BeliefBatch
from assistant.diagnosis.looking_ahead.base_policy import entropy
from assistant.diagnosis.planner import NextFix, choose
from assistant.diagnosis.posterior import posterior
from assistant.diagnosis.problem_layout import lay_out
from assistant.diagnosis.progress import Progress, progress_of
from assistant.messages.decisions import Decision, FixDone
from assistant.procedure.load import load_procedure
from assistant.procedure.model import Fix, Procedure
from tests.diagnosis.problems import check, fault, fix, observed, procedure

WHEELS = [{"name": name, "group": "wheel"} for name in ("left", "right")]


def of_a_wheel(**sensor: object) -> Procedure:
    """A sensor and its clip at each of two wheels, and a cord for both."""
    return procedure(
        slip=0.02,
        places=WHEELS,
        faults=[fault("sensor", 4, each="wheel"), fault("clip", 1, each="wheel"), fault("cord", 2)],
        fixes=[
            fix("sensor", 10, each="wheel", part="sensor", also_cures=["clip"], **sensor),
            fix("clip", 6, each="wheel"),
            fix("cord", 3, also_cures=["sensor"]),
        ],
        checks=[
            check("pull", 1, {"sensor": "bad", "clip": "bad"}, each="wheel", condemns=["bad"]),
            check("shake", 1, {"clip": "bad"}, each="wheel"),
            check("cord test", 1, {"cord": "bad"}),
        ],
    )


def cured(seen: FaultModel, cure: Cure) -> set[Suspect]:
    row = seen.cured_by[seen.cure_index[cure]]
    return {suspect for suspect, gone in zip(seen.suspects, row, strict=True) if gone}


def test_it_takes_away_its_own_and_what_it_names_at_its_place_and_without_one_everywhere() -> None:
    seen = fault_model(of_a_wheel(), {})
    assert cured(seen, Cure("mend sensor", "left")) == {Suspect("sensor", "left"), Suspect("clip", "left")}
    assert cured(seen, Cure("mend clip", "left")) == {Suspect("clip", "left")}
    assert cured(seen, Cure("mend cord")) == {Suspect("cord"), Suspect("sensor", "left"), Suspect("sensor", "right")}
    assert seen.cure(Suspect("clip", "left")) == Cure("mend clip", "left"), "what is proposed for it stays"


def test_every_check_that_names_what_it_took_away_is_stale() -> None:
    seen = fault_model(of_a_wheel(), {})
    stale = touched_tasks(seen, Cure("mend sensor", "left"))
    touched = {task for task, flag in zip(seen.tasks, stale, strict=True) if flag}
    # the clip of the other wheel, seen from there, shows what everybody shows
    assert {Task("pull", "left"), Task("shake", "left")} <= touched
    assert Task("cord test") not in touched


def test_after_it_failed_the_clip_keeps_one_in_twenty_of_its_share(monkeypatch: pytest.MonkeyPatch) -> None:
    """By hand: a new sensor leaves a twentieth of its wheel's sensor 4 and clip 1, and all of what else there is."""
    monkeypatch.setattr(ours, "SECOND_FAULT", 0.0)
    seen = fault_model(of_a_wheel(), {})
    after: list[Decision] = [FixDone("mend sensor", "left", "", "sensor")]
    left = posterior(seen, after)
    total = 4 * NOT_CURED + 1 * NOT_CURED + 4 + 1 + 2
    assert left[Suspect("clip", "left")] == pytest.approx(1 * NOT_CURED / total)
    assert left[Suspect("sensor", "left")] == pytest.approx(4 * NOT_CURED / total)
    assert left[Suspect("clip", "right")] == pytest.approx(1 / total)


def test_the_planner_expects_nothing_of_the_clip_once_the_sensor_is_new() -> None:
    """The value of the fix by hand: its own minutes, then what the base policy charges for the rest without both."""
    seen = fault_model(of_a_wheel(trial=True), {})
    problem, start = lay_out(seen, seen.priors, Progress())
    batch = BeliefBatch(problem, [start])
    batch.priced()
    group = next(n for n, number in enumerate(problem.groups) if seen.cures[number] == Cure("mend sensor", "left"))
    value = float(batch.valued(WIDTH).fixes[0, group])
    kept = [n for n, suspect in enumerate(seen.suspects) if suspect not in cured(seen, Cure("mend sensor", "left"))]
    price = batch.problem.nat_price
    assert price is not None
    minutes = {"mend sensor": 10.0, "mend clip": 6.0, "mend cord": 3.0}
    rest = sum(seen.priors[n] * minutes[seen.cure(seen.suspects[n]).fix] for n in kept)
    assert value == pytest.approx(10.0 + rest + price * float(entropy(np.array([seen.priors[n] for n in kept]))))
    gone = problem.after_fix(start, group).weights
    assert {seen.suspects[int(n)] for n in problem.suspects[gone == 0]} == cured(seen, Cure("mend sensor", "left"))
    near, (belief,) = problem.narrowed([start], 0.1)
    assert near.cured is not None
    assert near.cured.shape == (len(near.groups), len(belief.weights))


def test_where_it_took_several_away_all_that_may_have_been_the_one_are_named() -> None:
    seen = fault_model(of_a_wheel(), {})
    events: list[Decision] = [
        observed(1, "pull", "bad", "left"), observed(2, "pull", "bad", "left"), observed(3, "cord test", "good"),
    ]  # fmt: skip
    done = progress_of(seen, events)
    done = Progress(done.evidence, skipped=frozenset(task for task in seen.tasks if task.check == "shake"))
    choice = choose(seen, posterior(seen, events), done)
    assert isinstance(choice, NextFix)
    assert choice.cure == Cure("mend sensor", "left")
    assert choice.suspect == Suspect("sensor", "left")
    assert choice.or_else == ("clip",)
    looked: list[Decision] = [*events, observed(4, "shake", "good", "left")]
    choice = choose(seen, posterior(seen, looked), progress_of(seen, looked))
    assert isinstance(choice, NextFix)
    assert choice.or_else == (), "the clip was looked at"


@pytest.mark.parametrize("name", ["trailer-abs-light-on"])
def test_what_hands_renew_is_what_a_fix_cures(name: str) -> None:
    """Against the data of the hands, which the simulated trailer obeys: a fix cures a fault if it renews what the
    fault's own fix renews. The file may not say otherwise."""
    shipped = load_procedure(name).procedure
    fixes = {one.name: one for one in shipped.fixes}

    def renews(one: Fix) -> set[str]:
        return set(one.hands.renew) if one.hands is not None else set()

    seen = fault_model(shipped, {})
    for number, cure in enumerate(seen.cures):
        for column, suspect in enumerate(seen.suspects):
            own = fixes[seen.cure(suspect).fix]
            same = cure.place == seen.cure(suspect).place
            physically = same and renews(own) <= renews(fixes[cure.fix])
            assert bool(seen.cured_by[number, column]) == physically, (cure, suspect)
