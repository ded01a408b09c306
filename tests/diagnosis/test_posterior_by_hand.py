"""Weights of suspects against Bayes' rule summed over every fault and every pair of faults (``bayes_by_hand``)."""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

import numpy as np
import pytest

from assistant.diagnosis.constants import NOT_CURED, SECOND_FAULT, SURPRISE
from assistant.diagnosis.fault_model import Suspect, fault_model
from assistant.diagnosis.posterior import Evidence, gathered, posterior, posterior_given, repeat_likelihood, standing
from assistant.messages.decisions import Decision, FixDone, Observed
from tests.diagnosis.bayes_by_hand import Look, Shares, Unit
from tests.diagnosis.problems import check, fault, fix, observed, procedure

WEIGHTS = {"a": 4.0, "b": 3.0, "c": 2.0, "d": 1.0, "e": 1.5, "f": 0.5}
BAD = {"bad": 1.0}
HALF = {"bad": 0.5, "good": 0.5}
CHECKS = {
    "one": {"a": BAD}, "two": {"b": BAD}, "three": {"a": BAD, "b": HALF}, "four": {"c": BAD},
    "five": {"c": HALF, "d": BAD},
}  # fmt: skip
"""No check tells e from f."""
UNIT = Unit(WEIGHTS, CHECKS, ("good", "bad"), 0.02, NOT_CURED, SECOND_FAULT, SURPRISE)
SEEN = fault_model(
    procedure(
        slip=0.02,
        faults=[fault(name, weight) for name, weight in WEIGHTS.items()],
        fixes=[fix(name, 5) for name in WEIGHTS],
        checks=[check(name, 1, finds) for name, finds in CHECKS.items()],
    ),
    {},
)


def seen_as(looks: Sequence[Look]) -> list[Decision]:
    events: list[Decision] = []
    for look in looks:
        for _ in range(look.times):
            events.append(observed(len(events) + 1, look.check, look.shares))
    return events


def mended(name: str) -> FixDone:
    return FixDone(f"mend {name}", None, "", None)


def same(events: Sequence[Decision], shares: dict[str, float]) -> bool:
    found = posterior(SEEN, events)
    return [found[Suspect(name)] for name in WEIGHTS] == pytest.approx([shares[name] for name in WEIGHTS], rel=1e-9)


GOOD = {"good": 1.0}
LOOKS = [
    [Look("one", BAD)],
    [Look("one", {"good": 0.3, "bad": 0.7})],
    [Look("one", BAD, 3)],
    [Look("three", HALF, 2), Look("two", GOOD)],
    # two faults ask for it: nothing alone shows both
    [Look("one", BAD), Look("four", BAD)],
    [Look("one", BAD), Look("two", BAD)],
    [Look("one", BAD), Look("four", BAD, 2), Look("three", BAD)],
    [Look("two", BAD), Look("three", BAD), Look("five", BAD)],
    [Look("five", BAD), Look("four", BAD), Look("one", {"good": 0.1, "bad": 0.9})],
    [Look("one", BAD, 2), Look("two", BAD, 2), Look("four", BAD, 2)],
    # a reading that contradicts itself is a misreading or a pair
    [Look("one", BAD), Look("three", GOOD)],
]


@pytest.mark.parametrize("looks", LOOKS)
def test_single_faults_and_pairs(looks: list[Look]) -> None:
    assert same(seen_as(looks), UNIT.posterior(looks))


@pytest.mark.parametrize("seed", range(40))
def test_whatever_was_seen(seed: int) -> None:
    rng = Random(seed)
    names = rng.sample(list(CHECKS), rng.randint(1, len(CHECKS)))
    answers: list[Shares] = [BAD, GOOD, {"good": 0.2, "bad": 0.8}]
    looks = [Look(name, rng.choice(answers), rng.choice([1, 1, 2])) for name in names]
    assert same(seen_as(looks), UNIT.posterior(looks))


def test_a_class_of_suspects_shares_a_pair_by_their_priors() -> None:
    """Who is told apart by no reading is as likely beside the others as its prior."""
    found = posterior(SEEN, seen_as([Look("one", BAD), Look("four", BAD)]))
    assert found[Suspect("e")] / found[Suspect("f")] == pytest.approx(WEIGHTS["e"] / WEIGHTS["f"])


# --- after fixes ---------------------------------------------------------------------------------------------------


def test_a_fix_with_nothing_seen_since() -> None:
    events = [*seen_as([Look("one", BAD)]), mended("a")]
    assert same(events, UNIT.after_fixes([], [(Look("one", BAD), [0])], ["a"]))


def test_a_fix_and_then_another_reading() -> None:
    events: list[Decision] = [observed(1, "one", "bad"), mended("a"), observed(2, "four", "bad")]
    assert same(events, UNIT.after_fixes([Look("four", BAD)], [(Look("one", BAD), [0])], ["a"]))


def test_each_fix_has_its_own_readings() -> None:
    """Two fixes, each after a reading that pointed at it; a third reading that neither touched."""
    events: list[Decision] = [
        observed(1, "four", "good"),
        observed(2, "one", "bad"),
        mended("a"),
        observed(3, "two", "bad"),
        mended("b"),
    ]
    gone = [(Look("one", BAD), [0]), (Look("two", BAD), [1])]
    assert same(events, UNIT.after_fixes([Look("four", GOOD)], gone, ["a", "b"]))


def test_a_reading_before_two_fixes_that_touch_it() -> None:
    """Check three names a and b: the first fix drops it, and a first fault mended by either explains it."""
    events: list[Decision] = [observed(1, "three", "bad"), mended("a"), mended("b")]
    assert same(events, UNIT.after_fixes([], [(Look("three", BAD), [0, 1])], ["a", "b"]))


def test_the_same_fix_twice_leaves_a_quarter_of_a_percent() -> None:
    """0.05 x 0.05 of its prior (see ``NOT_CURED``); nothing was seen."""
    found = posterior(SEEN, [mended("a"), mended("a")])
    left = {**WEIGHTS, "a": 4 * 0.0025}
    assert found[Suspect("a")] == pytest.approx(left["a"] / sum(left.values()))


def test_a_reading_made_after_the_fix_is_not_explained_by_it() -> None:
    """Check one was read again once a was mended: what it shows now speaks of the unit as it is."""
    events: list[Decision] = [observed(1, "one", "bad"), mended("a"), observed(2, "one", "bad"), mended("a")]
    gone = [(Look("one", BAD), [0, 1]), (Look("one", BAD), [1])]
    assert same(events, UNIT.after_fixes([], gone, ["a", "a"]))
    assert [item.after for item in gathered(SEEN, events)[1]] == [0, 1]
    assert [item.evidence.times for item in gathered(SEEN, events)[1]] == [1, 1]


def test_a_fix_that_cures_nothing_here_drops_nothing() -> None:
    events: list[Decision] = [observed(1, "one", "bad"), FixDone("polish it", None, "", None)]
    assert same(events, UNIT.posterior([Look("one", BAD)]))


@pytest.mark.parametrize("seed", range(30))
def test_whatever_was_seen_and_mended(seed: int) -> None:
    rng = Random(seed)
    events: list[Decision] = []
    stands: dict[str, tuple[Look, int]] = {}
    gone: list[tuple[Look, int]] = []
    fixes: list[str] = []
    for number in range(1, 8):
        if rng.random() < 0.3:
            name = rng.choice("abcd")
            events.append(mended(name))
            touched = [one for one in stands if name in CHECKS[one]]
            gone += [stands.pop(one) for one in touched]
            fixes.append(name)
            continue
        name = rng.choice([one for one in CHECKS if one not in stands] or list(CHECKS))
        if name in stands:
            continue
        answer = rng.choice([BAD, GOOD])
        events.append(observed(number, name, answer))
        stands[name] = (Look(name, answer), len(fixes))
    # a look is explained by every fix of a fault that its check names, from the one on that came after it
    parts = [
        (look, [n for n, name in enumerate(fixes) if n >= after and name in CHECKS[look.check]])
        for look, after in gone
    ]
    expected = UNIT.after_fixes([look for look, _ in stands.values()], parts, fixes) if gone else UNIT.posterior(
        [look for look, _ in stands.values()], fixes
    )  # fmt: skip
    assert same(events, expected)


# --- evidence ------------------------------------------------------------------------------------------------------


def test_what_the_check_lacks_is_left_out_and_the_rest_sums_to_one() -> None:
    (item,) = standing(SEEN, [observed(1, "one", {"good": 0.2, "bad": 0.6, "purple": 0.2})])
    assert item.weights == pytest.approx({"good": 0.25, "bad": 0.75})
    assert item.outcome == "bad"
    assert standing(SEEN, [observed(1, "one", "purple")]) == ()
    assert standing(SEEN, [observed(1, "one", {"good": 0.0, "bad": 1.0})])[0].weights == {"bad": 1.0}


def test_over_range_adds_to_high_where_no_fault_has_an_outcome_of_its_own() -> None:
    """Beyond the range is above any upper limit."""
    reading = procedure(
        faults=[fault("open", 1), fault("short", 1)],
        fixes=[fix("open", 5), fix("short", 5)],
        checks=[check("ohms", 1, {"open": "high", "short": "low"}, kind="reading", choices=[], unit="ohm")],
    )
    (item,) = standing(fault_model(reading, {}), [observed(1, "ohms", {"good": 0.3, "high": 0.3, "over_range": 0.4})])
    assert item.weights == pytest.approx({"good": 0.3, "high": 0.7})


def test_a_place_that_the_unit_lacks_says_nothing() -> None:
    assert standing(SEEN, [observed(1, "one", "bad", "left")]) == ()


def test_how_often_in_a_row() -> None:
    def times(*outcomes: str) -> list[int]:
        return [
            item.times for item in standing(SEEN, [observed(n, "one", name) for n, name in enumerate(outcomes, 1)])
        ]

    assert times("bad") == [1]
    assert times("bad", "bad", "bad") == [3]
    assert times("bad", "good") == [1]
    assert times("bad", "good", "good") == [2]


def test_the_last_look_stands_last() -> None:
    events = [observed(1, "one", "bad"), observed(2, "two", "good"), observed(3, "one", "bad")]
    assert [item.observed.number for item in standing(SEEN, events)] == [2, 3]


def test_conditions_in_any_order_are_the_same() -> None:
    def under(number: int, **conditions: str) -> Observed:
        return Observed(number, "one", None, "one", {"bad": 1.0}, "bad", conditions=conditions)

    assert len(standing(SEEN, [under(1, key="on", engine="off"), under(2, engine="off", key="on")])) == 1


def test_a_repeatable_check_keeps_every_answer() -> None:
    small = procedure(
        faults=[fault("a", 1), fault("b", 1)],
        fixes=[fix("a", 5), fix("b", 5)],
        checks=[check("wiggle", 1, {"a": HALF}, repeatable=True)],
    )
    events = [observed(1, "wiggle", "good"), observed(2, "wiggle", "good"), observed(3, "wiggle", "bad")]
    assert [item.observed.number for item in standing(fault_model(small, {}), events)] == [1, 2, 3]


def test_a_look_of_two_minds_is_misread_like_any_other() -> None:
    """By hand: R(good) = 0.3 x 0.98 + 0.7 x 0.02, R(bad) = 0.3 x 0.02 + 0.7 x 0.98, to the power of the looks."""
    (item,) = standing(SEEN, [observed(1, "one", {"good": 0.3, "bad": 0.7})])
    twice = Evidence(item.task, item.weights, item.observed, times=2)
    assert repeat_likelihood(SEEN, item).tolist() == pytest.approx([0.308, 0.692])
    assert repeat_likelihood(SEEN, twice).tolist() == pytest.approx([0.308**2, 0.692**2])


# --- priors --------------------------------------------------------------------------------------------------------


def test_history_that_leaves_nothing_leaves_everything_even() -> None:
    """Factors below zero count as zero; where none is left, no suspect is told from another."""
    found = posterior(SEEN, [], {(name, None): -1.0 for name in WEIGHTS})
    assert list(found.values()) == pytest.approx([1 / 6] * 6)


def test_a_suspect_that_history_rules_out_stays_out() -> None:
    found = posterior(SEEN, seen_as([Look("one", BAD), Look("four", BAD)]), {("c", None): 0.0})
    assert found[Suspect("c")] < 1e-9
    assert sum(found.values()) == pytest.approx(1.0)


def test_the_chance_of_what_was_seen() -> None:
    """By hand: 4 of 12 units show it at 98 in 100, the others at 2 in 100; of nothing seen the chance is 1."""
    (item,) = standing(SEEN, [observed(1, "one", "bad")])
    _, level = posterior_given(SEEN, [item])
    assert level == pytest.approx(np.log(4 / 12 * 0.98 + 8 / 12 * 0.02))
    assert posterior_given(SEEN, [])[1] == 0.0
