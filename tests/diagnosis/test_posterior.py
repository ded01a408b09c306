"""Weights of suspects: Bayes' rule, what stands, what a fix leaves, and two faults at once."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.diagnosis import posterior as module
from assistant.diagnosis.constants import NOT_CURED
from assistant.diagnosis.evidence import standing
from assistant.diagnosis.fault_model import Suspect, Task, fault_model
from assistant.diagnosis.posterior import posterior
from assistant.messages import Reason, Why
from assistant.messages.decisions import Decision, FixDone, ObservationWithdrawn, Observed
from assistant.procedure.model import Procedure
from tests.diagnosis.problems import check, fault, fix, observed, procedure

A, B, C, D = (Suspect(name) for name in "abcd")


def four() -> Procedure:
    """Four faults; test one points at a, two at b, three at a and b, four at c, five at d."""
    return procedure(
        slip=0.02,
        faults=[fault("a", 4), fault("b", 3), fault("c", 2), fault("d", 1)],
        fixes=[fix(name, 5) for name in "abcd"],
        checks=[
            check("one", 1, {"a": "bad"}),
            check("two", 1, {"b": "bad"}),
            check("three", 1, {"a": "bad", "b": "bad"}),
            check("four", 1, {"c": "bad"}),
            check("wiggle", 1, {"d": {"bad": 0.5, "good": 0.5}}, repeatable=True),
        ],
    )


SEEN = fault_model(four(), {})


@pytest.fixture
def one_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    """Units have one fault, so that Bayes' rule is short enough to be worked by hand."""
    monkeypatch.setattr(module, "SECOND_FAULT", 0.0)


def test_one_observation_is_bayes_rule(one_fault: None) -> None:
    # from memory, Bayes' rule by hand: 4 * .98, and 3, 2, 1 times .02
    weights = posterior(SEEN, [observed(1, "one", "bad")])
    total = 4 * 0.98 + 6 * 0.02
    assert [weights[suspect] for suspect in (A, B, C, D)] == pytest.approx(
        [4 * 0.98 / total, 3 * 0.02 / total, 2 * 0.02 / total, 1 * 0.02 / total]
    )


def test_a_reading_too_close_to_call_counts_by_its_probability(one_fault: None) -> None:
    even = posterior(SEEN, [observed(1, "one", {"good": 0.5, "bad": 0.5})])
    assert list(even.values()) == pytest.approx(SEEN.priors.tolist())
    leaning = posterior(SEEN, [observed(1, "one", {"good": 0.3, "bad": 0.7})])
    assert SEEN.priors[0] < leaning[A] < posterior(SEEN, [observed(1, "one", "bad")])[A]


def test_a_second_look_tells_a_fault_from_a_misreading(one_fault: None) -> None:
    # by hand: what is there stays, each look may be misread, so a misreading would have to come twice
    twice = posterior(SEEN, [observed(1, "one", "bad"), observed(2, "one", "bad")])
    assert twice[A] == pytest.approx(4 * 0.98**2 / (4 * 0.98**2 + 6 * 0.02**2))
    both = posterior(SEEN, [observed(1, "one", "good"), observed(2, "one", "bad")])
    assert list(both.values()) == pytest.approx(SEEN.priors.tolist())


def test_a_repeatable_check_counts_every_time_and_works_now_never_clears() -> None:
    once = posterior(SEEN, [observed(1, "wiggle", "good")])
    twice = posterior(SEEN, [observed(1, "wiggle", "good"), observed(2, "wiggle", "good")])
    assert 0.02 < twice[D] < once[D] < 0.1


def test_other_conditions_make_another_observation() -> None:
    def under(number: int, key: str) -> Observed:
        return Observed(number, "one", None, "one", {"bad": 1.0}, "bad", conditions={"key": key})

    assert len(standing(SEEN, [under(1, "on"), under(2, "off")])) == 2
    assert len(standing(SEEN, [under(1, "on"), under(2, "on")])) == 1


def test_a_withdrawn_observation_is_as_if_never_made(one_fault: None) -> None:
    weights = posterior(SEEN, [observed(1, "one", "bad"), ObservationWithdrawn(1, Reason(Why.SCRATCHED))])
    assert list(weights.values()) == pytest.approx(SEEN.priors.tolist())


def test_a_fix_that_did_not_cure_leaves_its_fault_one_time_in_twenty(one_fault: None) -> None:
    """By hand: one fault all along, so the fix did not take, or it was for nothing."""
    events: list[Decision] = [
        observed(1, "one", "bad"),
        observed(2, "four", "good"),
        FixDone("mend a", None, "", None),
    ]
    assert [item.task for item in standing(SEEN, events)] == [SEEN.task_index[Task("four")]]
    four, one = (0.98, 0.98, 0.02, 0.98), (0.98, 0.02, 0.02, 0.02)
    parts = [left * four[n] * one[n] for n, left in enumerate((4 * NOT_CURED, 3, 2, 1))]
    assert list(posterior(SEEN, events).values()) == pytest.approx([part / sum(parts) for part in parts])


def test_a_fix_that_was_for_nothing_leaves_what_was_seen_before_it() -> None:
    """Two faults read low at the same check; the likelier one was mended for nothing: the other comes next."""
    small = procedure(
        slip=0.02,
        faults=[fault("a", 9), fault("b", 2), fault("c", 9), fault("d", 9)],
        fixes=[fix(name, 5) for name in "abcd"],
        checks=[check("volts", 1, {"a": "bad", "b": "bad"})],
    )
    seen = fault_model(small, {})
    weights = posterior(seen, [observed(1, "volts", "bad"), FixDone("mend a", None, "", None)])
    assert max(weights, key=lambda suspect: weights[suspect]) == Suspect("b")


def test_a_fix_drops_only_its_own_place() -> None:
    wheels = procedure(
        places=[{"name": "left", "group": "wheel"}, {"name": "right", "group": "wheel"}],
        faults=[fault("a", 1, each="wheel")],
        fixes=[fix("a", 5, each="wheel")],
        checks=[check("ohms", 1, {"a": "bad"}, each="wheel")],
    )
    seen = fault_model(wheels, {})
    events = [observed(1, "ohms", "bad", "left"), observed(2, "ohms", "good", "right")]
    done = FixDone("mend a", "left", "", None)
    assert [seen.tasks[item.task].place for item in standing(seen, [*events, done])] == ["right"]


def test_two_faults_at_once_are_believed_when_two_readings_ask_for_them() -> None:
    single = posterior(SEEN, [observed(1, "one", "bad"), observed(2, "four", "good")])
    assert single[A] > 0.97
    pair = posterior(SEEN, [observed(1, "one", "bad"), observed(2, "four", "bad"), observed(3, "three", "bad")])
    assert pair[C] > 0.1
    assert pair[A] > pair[C] > 10 * max(pair[B], pair[D])


def test_one_odd_reading_is_a_slip_before_it_is_a_second_fault() -> None:
    weights = posterior(SEEN, [observed(1, "one", "bad"), observed(2, "three", "good")])
    assert weights[A] == max(weights.values())


def test_an_outcome_or_check_that_the_procedure_lacks_says_nothing(one_fault: None) -> None:
    weights = posterior(SEEN, [observed(1, "one", "purple"), observed(2, "no such check", "bad")])
    assert list(weights.values()) == pytest.approx(SEEN.priors.tolist())


def test_history_multiplies_priors(one_fault: None) -> None:
    weights = posterior(SEEN, [], {("c", None): 5.0})
    assert weights[C] == pytest.approx(10 / 18)


@pytest.mark.parametrize("times", [0.001, 0.5, 3.0, 1000.0])
def test_history_that_speaks_against_all_alike_says_nothing(times: float) -> None:
    """Only what suspects differ by counts, also where two of them may be there at once."""
    seen: list[Decision] = [observed(1, "one", "bad"), observed(2, "two", "bad"), FixDone("mend a", None, "", None)]
    alike: dict[tuple[str, str | None], float] = {(name, None): times for name in "abcd"}
    assert posterior(SEEN, seen, alike) == pytest.approx(posterior(SEEN, seen), rel=1e-9)


def test_history_that_clears_every_suspect_leaves_them_equally_likely() -> None:
    """One of them it must be: the unit is here because something is wrong."""
    gone: dict[tuple[str, str | None], float] = {(name, None): 0.0 for name in "abcd"}
    equal: dict[tuple[str, str | None], float] = {
        (suspect.fault, None): 1.0 / prior for suspect, prior in zip(SEEN.suspects, SEEN.priors, strict=True)
    }
    seen = [observed(1, "one", "bad"), observed(2, "two", "bad")]
    assert posterior(SEEN, [], gone) == pytest.approx(dict.fromkeys((A, B, C, D), 0.25))
    assert posterior(SEEN, seen, gone) == pytest.approx(posterior(SEEN, seen, equal), rel=1e-9)


ANSWERS = st.lists(
    st.tuples(
        st.sampled_from(["one", "two", "three", "four"]),
        st.floats(0, 1),
    ),
    max_size=8,
)


def _events(answers: list[tuple[str, float]], fixes: list[str]) -> list[Decision]:
    events: list[Decision] = [
        observed(number + 1, name, {"good": share, "bad": 1 - share}) for number, (name, share) in enumerate(answers)
    ]
    for number, name in enumerate(fixes):
        events.insert((number * 3) % (len(events) + 1), FixDone(f"mend {name}", None, "", None))
    return events


@settings(deadline=None)
@given(ANSWERS, st.lists(st.sampled_from("abcd"), max_size=6))
def test_weights_sum_to_one_and_no_suspect_is_negative_or_lost(
    answers: list[tuple[str, float]], fixes: list[str]
) -> None:
    weights = posterior(SEEN, _events(answers, fixes))
    assert set(weights) == set(SEEN.suspects)
    assert all(math.isfinite(share) and share > 0 for share in weights.values())
    assert sum(weights.values()) == pytest.approx(1.0)


@settings(deadline=None)
@given(st.permutations([("one", "bad"), ("two", "good"), ("three", "bad"), ("four", "bad")]))
def test_order_of_independent_observations_does_not_matter(order: list[tuple[str, str]]) -> None:
    fixed = [
        observed(1, "one", "bad"),
        observed(2, "two", "good"),
        observed(3, "three", "bad"),
        observed(4, "four", "bad"),
    ]
    shuffled = [observed(number + 1, name, outcome) for number, (name, outcome) in enumerate(order)]
    assert posterior(SEEN, shuffled) == pytest.approx(posterior(SEEN, fixed))
