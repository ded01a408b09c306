"""The posterior against an outside Bayesian network library (pyAgrum), on random small units and orders of events."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest

from assistant.diagnosis import posterior as ours
from assistant.diagnosis.constants import NOT_CURED, SECOND_FAULT
from assistant.diagnosis.evidence import fixes_done, gathered, proofs_failed
from assistant.diagnosis.fault_model import FaultModel, fault_model
from assistant.messages import Reason, Why
from assistant.messages.decisions import Decision, FixDone, Observed, ProofFinished
from tests.conftest import missing
from tests.diagnosis.bayes_net import WHY_NOT, Net, Told
from tests.diagnosis.problems import check, fault, fix, observed, procedure

OUTCOMES = ("good", "bad", "odd")
NAMES = "abcde"


@pytest.fixture(autouse=True)
def _outside_library() -> None:
    if WHY_NOT:
        missing(WHY_NOT)


def told(rng: Random, *, takes_more: bool = False, misses: bool = False) -> Told:
    """Four or five faults, two with the same fix; four checks that name some of them, one repeatable.

    With ``takes_more`` two of the fixes take faults away that have another fix of their own; with ``misses`` the
    proof now and then passes while one of three faults is there.
    """
    names = NAMES[: rng.randint(4, 5)]
    checks = {}
    for number in range(4):
        named = rng.sample(names, rng.randint(1, 3))
        checks[f"c{number}"] = {name: _shares(rng) for name in named}
    return Told(
        {name: rng.uniform(0.5, 4.0) for name in names},
        {name: "mend a" if name == "b" else f"mend {name}" for name in names},
        checks,
        OUTCOMES,
        rng.choice([0.02, 0.05, 0.15]),
        frozenset({"c3"}),
        {"mend c": ("a",), "mend d": ("c", "b")} if takes_more else {},
        {"a": 0.7, "c": 0.4, "d": 0.9} if misses else {},
    )


def _shares(rng: Random) -> dict[str, float]:
    first, second = rng.sample(OUTCOMES, 2)
    share = rng.choice([1.0, 1.0, 0.7, 0.5])
    return {first: share, second: 1.0 - share} if share < 1.0 else {first: 1.0}


def as_procedure(unit: Told) -> FaultModel:
    fixes = sorted(set(unit.fix_of.values()))
    return fault_model(
        procedure(
            slip=unit.misread,
            proof={"steps": [{"name": "try", "say": "Try it."}], "source": "a test", "misses": unit.misses},
            faults=[fault(name, weight, fix=unit.fix_of[name]) for name, weight in unit.priors.items()],
            fixes=[fix(name.removeprefix("mend "), 5, also_cures=unit.also.get(name, ())) for name in fixes],
            checks=[
                check(name, 1, finds, choices=[{"name": outcome} for outcome in unit.outcomes],
                      repeatable=name in unit.repeatable)
                for name, finds in unit.checks.items()
            ],
        ),
        {},
    )  # fmt: skip


def events_of(unit: Told, rng: Random, fixes: int) -> list[Decision]:
    """Looks, often at the same thing and often contradicting, with fixes between them."""
    events: list[Decision] = []
    for number in range(1, rng.randint(3, 9)):
        shown: dict[str, float] = {rng.choice(OUTCOMES): 1.0}
        if rng.random() < 0.2:
            shown = {"good": 0.35, "bad": 0.65}
        events.append(observed(number, rng.choice(list(unit.checks)), shown))
    for _ in range(fixes):
        events.insert(rng.randint(0, len(events)), FixDone(rng.choice(list(unit.fix_of.values())), None, "", None))
    return events


def beside(unit: Told, events: list[Decision], pair: float) -> tuple[list[float], list[float]]:
    """Probability that each fault is there now, ours and the network's."""
    seen = as_procedure(unit)
    mine = ours.joint(seen, gathered(seen, events), fixes_done(events), None, proofs_failed(events)).present
    net = network(unit, events, pair, in_vain=True)
    theirs = net.present()
    return mine.tolist(), [theirs[suspect.fault] for suspect in seen.suspects]


def network(unit: Told, events: list[Decision], pair: float, *, in_vain: bool) -> Net:
    """The network with these events; ``in_vain`` when something is still wrong after them."""
    net = Net(unit, pair, NOT_CURED)
    for event in events:
        if isinstance(event, FixDone):
            net.fix(event.fix, in_vain=in_vain)
        elif isinstance(event, ProofFinished):
            net.proof(failed=not event.passed)
        elif isinstance(event, Observed):
            net.look(event.check, event.weights)
    return net


@pytest.mark.parametrize("seed", range(30))
def test_one_fault_is_exact(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ours, "SECOND_FAULT", 0.0)
    rng = Random(seed)
    unit = told(rng)
    mine, theirs = beside(unit, events_of(unit, rng, seed % 3), 0.0)
    assert mine == pytest.approx(theirs, abs=1e-9)


@pytest.mark.parametrize("seed", range(100, 140))
def test_two_faults_are_exact(seed: int) -> None:
    rng = Random(seed)
    unit = told(rng)
    mine, theirs = beside(unit, events_of(unit, rng, seed % 4), SECOND_FAULT)
    assert mine == pytest.approx(theirs, abs=1e-9)


@pytest.mark.parametrize("seed", range(200, 220))
def test_one_fault_is_exact_where_a_fix_takes_others_away(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ours, "SECOND_FAULT", 0.0)
    rng = Random(seed)
    unit = told(rng, takes_more=True)
    mine, theirs = beside(unit, events_of(unit, rng, 1 + seed % 3), 0.0)
    assert mine == pytest.approx(theirs, abs=1e-9)


@pytest.mark.parametrize("seed", range(300, 330))
def test_two_faults_are_exact_where_a_fix_takes_others_away(seed: int) -> None:
    rng = Random(seed)
    unit = told(rng, takes_more=True)
    mine, theirs = beside(unit, events_of(unit, rng, 1 + seed % 3), SECOND_FAULT)
    assert mine == pytest.approx(theirs, abs=1e-9)


def with_proofs(events: list[Decision], rng: Random) -> list[Decision]:
    """The same with a proof that failed after some of the fixes, never after the last one."""
    done: list[Decision] = []
    fixes = [number for number, event in enumerate(events) if isinstance(event, FixDone)]
    for number, event in enumerate(events):
        done.append(event)
        if number in fixes[:-1] and rng.random() < 0.7:
            done.append(ProofFinished(False, Reason(Why.STEP_FAILED)))
    return done


@pytest.mark.parametrize(("seed", "pair"), [(seed, pair) for seed in range(400, 415) for pair in (0.0, SECOND_FAULT)])
def test_a_proof_that_may_miss_is_weighed_exactly(seed: int, pair: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """A proof that failed speaks against what it may miss; one that passed leaves what it missed."""
    monkeypatch.setattr(ours, "SECOND_FAULT", pair)
    rng = Random(seed)
    unit = told(rng, takes_more=True, misses=True)
    events = with_proofs(events_of(unit, rng, 1 + seed % 3), rng)
    mine, theirs = beside(unit, events, pair)
    assert mine == pytest.approx(theirs, abs=1e-9)
    net = network(unit, events, pair, in_vain=False)
    net.proof(failed=False)
    assert ours.missed(as_procedure(unit), events) == pytest.approx(net.missed(), abs=1e-9)


def test_a_proof_that_never_misses_leaves_nothing() -> None:
    rng = Random(1)
    unit = told(rng)
    assert ours.missed(as_procedure(unit), events_of(unit, rng, 2)) == 0.0


def test_two_looks_that_contradict_speak_against_each_other() -> None:
    """By hand: a good and a bad look at one thing, read wrong two times in a hundred, say nothing about it."""
    unit = Told(
        {"a": 3.0, "b": 97.0}, {"a": "mend a", "b": "mend b"}, {"c": {"a": {"bad": 1.0}}}, ("good", "bad"), 0.02
    )
    events: list[Decision] = [observed(1, "c", "bad"), observed(2, "c", "good")]
    mine, theirs = beside(unit, events, SECOND_FAULT)
    assert mine == pytest.approx(theirs, abs=1e-9)
    seen = as_procedure(unit)
    alone = ours.joint(seen, gathered(seen, events)).singles
    assert (alone / alone.sum()).tolist() == pytest.approx([0.03, 0.97])


def test_what_is_to_be_cured_next_sums_to_one_and_keeps_what_is_sure() -> None:
    """A fault that is as good as seen is the next to be cured, whatever else may be wrong beside it."""
    checks = {"c0": {"a": {"bad": 1.0}}, "c1": {"b": {"bad": 1.0}}}
    fixes = {name: f"mend {name}" for name in "abd"}
    seen = as_procedure(Told(dict.fromkeys("abd", 1.0), fixes, checks, ("good", "bad"), 0.001))
    one = ours.joint(seen, gathered(seen, [observed(1, "c0", "bad")])).next_cured
    assert one.sum() == pytest.approx(1.0)
    assert one[0] > 0.99
    both = ours.joint(seen, gathered(seen, [observed(1, "c0", "bad"), observed(2, "c1", "bad")])).next_cured
    assert np.abs(both[:2] - 0.5).max() < 0.03
