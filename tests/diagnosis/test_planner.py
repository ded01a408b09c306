"""What comes next, against published orders, brute force and the exact recursion."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import permutations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.diagnosis.constants import WORTH_OFFERING
from assistant.diagnosis.evidence import standing
from assistant.diagnosis.fault_model import Cure, Opening, Suspect, Task, fault_model
from assistant.diagnosis.looking_ahead.lookahead import best_of
from assistant.diagnosis.planner import (
    Choice,
    GiveUp,
    NextCheck,
    NextFix,
    choose,
    progress_of,
    whats_left,
)
from assistant.diagnosis.posterior import posterior
from assistant.messages import Reason, Why, check_prompt
from assistant.messages.decisions import (
    AccessOpened,
    Decision,
    FixDeclined,
    FixDone,
    ObservationWithdrawn,
    ProofFinished,
    Skipped,
)
from assistant.phrasing.reasons import reason_text
from assistant.procedure.model import Procedure
from tests.diagnosis.exact import exact_best, exact_minutes, policy_minutes
from tests.diagnosis.problems import (
    after_check,
    check,
    fault,
    fix,
    laid_out,
    observed,
    procedure,
    random_small,
    trials_only,
)


def next_of(small: Procedure, events: Sequence[Decision] = ()) -> Choice:
    seen = fault_model(small, {})
    return choose(seen, posterior(seen, events), progress_of(seen, events))


def cost_of_order(chances: Sequence[float], minutes: Sequence[float]) -> float:
    """Sum of (1 - sum of p before) c: FACTS 7.2, Heckerman, Breese and Rommelse 1995, from memory."""
    left, total = 1.0, 0.0
    for chance, cost in zip(chances, minutes, strict=True):
        total += left * cost
        left -= chance
    return total


# Kadane and Simon's order by falling p/c (as stated in Heckerman, Breese and Rommelse, Decision-theoretic
# troubleshooting, 1995); the numbers are constructed, with all 24 orders tried by hand calculation.
CHANCES, MINUTES = (0.40, 0.25, 0.20, 0.15), (8.0, 2.0, 2.5, 6.0)


def test_independent_fixes_go_by_probability_over_cost() -> None:
    small = trials_only(CHANCES, MINUTES)
    done: list[Decision] = []
    order = []
    for _ in CHANCES:
        choice = next_of(small, done)
        assert isinstance(choice, NextFix)
        order.append(choice.cure.fix.removeprefix("mend "))
        done += [FixDone(choice.cure.fix, None, "", None), ProofFinished(False, Reason(Why.UNFINISHED))]
    assert order == ["B", "C", "A", "D"]


def test_their_expected_minutes_are_the_least_of_all_orders() -> None:
    problem, start = laid_out(trials_only(CHANCES, MINUTES))
    every = [
        cost_of_order([CHANCES[n] for n in order], [MINUTES[n] for n in order]) for order in permutations(range(4))
    ]
    assert exact_minutes(problem, start) == pytest.approx(9.175)
    assert min(every) == pytest.approx(9.175)
    assert max(every) == pytest.approx(14.425)
    assert policy_minutes(problem, start, best_of) == pytest.approx(9.175)


def test_tests_that_stop_at_the_first_reject_go_by_cost_over_chance_of_rejecting() -> None:
    # Mitten 1960, result from memory; constructed: K = 3, 5, 1 and R = .5, .25, .1 give the order 1, 3, 2 and 5.75.
    # Each set of independent defects is one suspect; any defect condemns the item, none lets it pass.
    rejects, costs = (0.5, 0.25, 0.1), (3.0, 5.0, 1.0)
    sets = [tuple(bool(number >> bit & 1) for bit in range(3)) for number in range(8)]
    weight = dict.fromkeys(sets, 1.0)
    for one in sets:
        for bit, chance in enumerate(rejects):
            weight[one] *= chance if one[bit] else 1 - chance
    name_of = {one: "".join("x" if bad else "o" for bad in one) for one in sets}
    small = procedure(
        replace_above=1.0,
        faults=[fault(name_of[one], weight[one], fix="pass" if not any(one) else "scrap") for one in sets],
        fixes=[
            {"name": name, "title": name, "say": "Do it.", "minutes": 0, "part": "item"} for name in ("pass", "scrap")
        ],
        checks=[
            check(f"test {bit + 1}", costs[bit], {name_of[one]: "bad" for one in sets if one[bit]}, condemns=["bad"])
            for bit in range(3)
        ],
    )
    problem, start = laid_out(small)
    assert exact_minutes(problem, start) == pytest.approx(5.75, abs=1e-6)
    first = exact_best(problem, start)
    assert first.task == 0
    passed = after_check(
        problem, start, int(next(n for n in range(len(problem.row_task)) if problem.row_task[n] == 0))
    )
    assert exact_best(problem, passed).task == 2


def test_observing_and_repairing_goes_by_probability_over_cost_of_observing() -> None:
    # Constructed: p = .6, .3, .1, observing 3, 1, 2, repairing 20, 10, 5: order 2, 1, 3, 18.8 minutes. A
    # fault beside these, too rare to matter, makes even the last one need its look.
    names, chances, looks, repairs = "ABC", (0.6, 0.3, 0.1), (3, 1, 2), (20, 10, 5)
    small = procedure(
        replace_above=1.0,
        faults=[*(fault(name, chance) for name, chance in zip(names, chances, strict=True)), fault("rare", 1e-5)],
        fixes=[*(fix(name, cost, part="part") for name, cost in zip(names, repairs, strict=True)), fix("rare", 1)],
        checks=[
            check(f"look at {name}", cost, {name: "bad"}, condemns=["bad"])
            for name, cost in zip(names, looks, strict=True)
        ],
    )
    problem, start = laid_out(small)
    assert exact_minutes(problem, start) == pytest.approx(18.8, abs=0.01)
    order = []
    for _ in names:
        best = exact_best(problem, start)
        assert best.task is not None
        order.append(names[best.task])
        good = [
            int(row) for row in np.flatnonzero(problem.row_task == best.task) if not problem.row_condemns[row].any()
        ]
        start = after_check(problem, start, good[0])
    assert order == ["B", "A", "C"]
    choice = next_of(small)
    assert isinstance(choice, NextCheck)
    assert choice.task == Task("look at B")


@pytest.mark.parametrize("broken", range(8))
def test_a_chain_of_eight_is_halved_in_three_readings(broken: int) -> None:
    # Half-split of a serial chain of N equal links: ceil(log2 N) readings (training manuals, from memory)
    links = [f"link {number}" for number in range(8)]
    small = procedure(
        faults=[fault(name, 1) for name in links],
        fixes=[fix(name, 20, part="link") for name in links],
        checks=[check(f"after {number}", 2, dict.fromkeys(links[: number + 1], "bad")) for number in range(7)],
    )
    events: list[Decision] = []
    for number in range(1, 10):
        choice = next_of(small, events)
        if isinstance(choice, NextFix):
            break
        assert isinstance(choice, NextCheck)
        reading = int(choice.task.check.removeprefix("after "))
        events.append(observed(number, choice.task.check, "bad" if broken <= reading else "good"))
    assert isinstance(choice, NextFix)
    assert choice.suspect == Suspect(links[broken])
    assert len(events) == 3


def brute(
    masses: dict[str, float],
    looks: dict[str, tuple[float, frozenset[str]]],
    repairs: dict[str, float],
    condemned: frozenset[str],
) -> float:
    """Least expected minutes over every order, in plain arithmetic: each look once, a part only when allowed."""
    total = sum(masses.values())
    if total < 1e-12:
        return 0.0
    ways = []
    for name, (minutes, bad) in looks.items():
        rest = {other: look for other, look in looks.items() if other != name}
        shown = {fault: mass for fault, mass in masses.items() if fault in bad}
        clear = {fault: mass for fault, mass in masses.items() if fault not in bad}
        ways.append(
            minutes * total + brute(shown, rest, repairs, condemned | bad) + brute(clear, rest, repairs, condemned)
        )
    for name, mass in masses.items():
        share = mass / total
        if share >= 0.9 or (name in condemned and share >= 0.3):
            rest_of = {other: kept for other, kept in masses.items() if other != name}
            ways.append(repairs[name] * total + brute(rest_of, looks, repairs, condemned))
    return min(ways)


@pytest.mark.parametrize(
    ("masses", "looks", "repairs"),
    [
        ({"a": 0.5, "b": 0.3, "c": 0.2}, {"x": (2.0, "a"), "y": (3.0, "bc"), "z": (1.0, "b")}, (10, 4, 30)),
        ({"a": 0.1, "b": 0.1, "c": 0.8}, {"x": (8.0, "ab"), "y": (1.0, "c"), "z": (5.0, "a")}, (2, 40, 7)),
        ({"a": 0.34, "b": 0.33, "c": 0.33}, {"x": (1.0, "a"), "y": (1.0, "b"), "z": (9.0, "c")}, (5, 5, 5)),
    ],
)
def test_exact_recursion_is_the_least_over_all_orders(
    masses: dict[str, float], looks: dict[str, tuple[float, str]], repairs: tuple[float, ...]
) -> None:
    costs = dict(zip(masses, map(float, repairs), strict=True))
    small = procedure(
        faults=[fault(name, mass) for name, mass in masses.items()],
        fixes=[fix(name, minutes, part="part") for name, minutes in costs.items()],
        checks=[
            check(name, minutes, dict.fromkeys(bad, "bad"), condemns=["bad"])
            for name, (minutes, bad) in looks.items()
        ],
    )
    problem, start = laid_out(small)
    plain = {name: (minutes, frozenset(bad)) for name, (minutes, bad) in looks.items()}
    assert exact_minutes(problem, start) == pytest.approx(brute(masses, plain, costs, frozenset()), abs=1e-6)


@pytest.mark.parametrize("seed", range(24))
def test_looking_ahead_stays_within_a_twentieth_of_exact(seed: int) -> None:
    problem, start = laid_out(random_small(seed, 4 + seed % 2, 4))
    exact = exact_minutes(problem, start)
    planned = policy_minutes(problem, start, best_of)
    assert exact - 1e-6 <= planned <= 1.05 * exact


def parts() -> Procedure:
    """A sensor behind a drum, a wire at hand, a module with its swap test."""
    return procedure(
        slip=0.02,
        access=[{"name": "drum", "say": "Pull it.", "minutes": 40}],
        faults=[fault("sensor", 5), fault("wire", 4), fault("module", 1), fault("gap", 3)],
        fixes=[
            fix("sensor", 15, part="sensor", needs=["drum"]),
            fix("wire", 10),
            fix("module", 15, part="module", after=["swap"]),
            fix("gap", 2, trial=True),
        ],
        checks=[
            check("ohms", 2, {"sensor": "bad", "wire": "bad"}),
            check("sensor ohms", 2, {"sensor": "bad"}, needs=["drum"], condemns=["bad"]),
            check("wire ohms", 3, {"wire": "bad"}),
            check("swap", 3, {"module": "bad"}, condemns=["bad"]),
            check("port", 1, {"module": "bad"}),
        ],
        proof={"steps": [{"name": "roll", "say": "Roll.", "minutes": 10}], "source": "a test"},
    )


def test_cheap_telling_checks_come_before_the_drum() -> None:
    events: list[Decision] = []
    asked = []
    for number in range(1, 8):
        choice = next_of(parts(), events)
        if not isinstance(choice, NextCheck):
            break
        asked.append(choice.task.check)
        outcome = "bad" if choice.task.check in {"ohms", "sensor ohms"} else "good"
        events += [AccessOpened(opening.access, None, 40) for opening in choice.accesses]
        events.append(observed(number, choice.task.check, outcome))
    assert isinstance(choice, NextFix)
    assert choice.suspect == Suspect("sensor")
    assert "sensor ohms" not in asked[:2]


def test_a_module_is_not_replaced_before_its_swap_test() -> None:
    events: list[Decision] = [
        observed(1, "port", "bad"),
        observed(2, "ohms", "good"),
        FixDone("mend gap", None, "", None),
        ProofFinished(False, Reason(Why.UNFINISHED)),
    ]
    choice = next_of(parts(), events)
    assert isinstance(choice, NextCheck)
    assert choice.task == Task("swap")
    choice = next_of(parts(), [*events, observed(3, "swap", "bad")])
    assert isinstance(choice, NextFix)
    assert (choice.cure, choice.condemned) == (Cure("mend module"), True)


def test_opened_access_is_not_paid_again_until_a_proof_puts_it_back() -> None:
    seen = fault_model(parts(), {})
    opened: list[Decision] = [AccessOpened("drum", None, 40)]
    assert progress_of(seen, opened).opened == {Opening("drum")}
    assert progress_of(seen, [*opened, ProofFinished(False, Reason(Why.UNFINISHED))]).opened == frozenset()
    events = [*opened, observed(1, "ohms", "bad"), observed(2, "sensor ohms", "bad")]
    choice = next_of(parts(), events)
    assert isinstance(choice, NextFix)
    assert (choice.accesses, choice.minutes) == ((), 15.0)


def test_skipped_checks_and_declined_fixes_are_left_out_and_giving_up_says_why() -> None:
    events: list[Decision] = [
        *(Skipped(check_prompt(name), "cannot") for name in 2 * ("ohms", "sensor ohms", "wire ohms", "swap", "port")),
        FixDeclined("mend gap", None, "no time"),
    ]
    choice = next_of(parts(), events)
    assert isinstance(choice, GiveUp)
    assert choice.because.why is Why.PASSED_BY


def chain() -> Procedure:
    """A check that parts four dear parts in halves, and one beside it for each: passing the first by costs much."""
    names = "abcd"
    return procedure(
        slip=0.02,
        faults=[fault(name, 1) for name in names],
        fixes=[fix(name, 30, part="part") for name in names],
        checks=[
            check("halves", 2, {"a": "bad", "b": "bad"}),
            *(check(f"pull {name}", 20, {name: "bad"}, condemns=["bad"]) for name in names),
        ],
        proof={"steps": [{"name": "roll", "say": "Roll.", "minutes": 10}], "source": "a test"},
    )


def test_a_check_passed_by_comes_back_when_it_is_worth_it_but_not_at_once() -> None:
    small, skip = chain(), Skipped(check_prompt("halves"), "not now")
    assert next_task(small, []) == Task("halves")
    first = next_task(small, [skip])
    assert first.check.startswith("pull")
    answered: list[Decision] = [skip, observed(1, first.check, "good")]
    choice = next_of(small, answered)
    assert isinstance(choice, NextCheck)
    assert (choice.task, choice.because.why) == (Task("halves"), Why.WORTH_OFFERING)
    assert float(str(choice.because.slots["minutes"])) >= WORTH_OFFERING
    assert next_task(small, [*answered, skip]).check.startswith("pull")


def test_what_was_passed_by_is_offered_before_giving_up_and_not_again() -> None:
    small = procedure(
        faults=[fault("a", 1), fault("b", 1)],
        fixes=[fix("a", 30, part="part"), fix("b", 30, part="part")],
        checks=[check("which", 1, {"a": "bad"}, condemns=["bad"])],
    )
    skip = Skipped(check_prompt("which"), "not now")
    choice = next_of(small, [skip])
    assert isinstance(choice, NextCheck)
    assert (choice.task, choice.because.why) == (Task("which"), Why.LEFT_ALONE)
    left = next_of(small, [skip, skip])
    assert isinstance(left, GiveUp)
    assert left.because.why is Why.PASSED_BY


def next_task(small: Procedure, events: Sequence[Decision]) -> Task:
    choice = next_of(small, events)
    assert isinstance(choice, NextCheck)
    return choice.task


def doubted() -> list[Decision]:
    """A swap that condemns the module, and nothing else that speaks against it: one slip could have made it."""
    return [Skipped(check_prompt("port"), "no time"), observed(1, "ohms", "good"), observed(2, "swap", "bad")]


def test_what_condemns_a_part_is_taken_once_more_when_a_slip_could_explain_it() -> None:
    choice = next_of(parts(), doubted())
    assert isinstance(choice, NextCheck)
    assert (choice.task, choice.because.why) == (Task("swap"), Why.BEFORE_CONDEMNING)
    choice = next_of(parts(), [*doubted(), observed(3, "swap", "bad")])
    assert isinstance(choice, NextFix)
    assert (choice.cure, choice.condemned) == (Cure("mend module"), True)


def test_a_second_look_that_is_good_condemns_nothing() -> None:
    choice = next_of(parts(), [*doubted(), observed(3, "swap", "good")])
    assert not (isinstance(choice, NextFix) and choice.cure == Cure("mend module"))


def test_a_reading_that_cannot_be_taken_again_condemns_as_it_is() -> None:
    choice = next_of(parts(), [*doubted(), Skipped(check_prompt("swap"), "the plug broke")])
    assert isinstance(choice, NextFix)
    assert choice.cure == Cure("mend module")


def test_a_second_look_is_counted_and_a_withdrawn_one_is_not() -> None:
    seen = fault_model(parts(), {})
    twice = [observed(1, "swap", "bad"), observed(2, "swap", "bad")]
    assert [item.times for item in standing(seen, twice)] == [2]
    assert [item.times for item in standing(seen, [*twice, ObservationWithdrawn(1, Reason(Why.SCRATCHED))])] == [1]
    both = standing(seen, [twice[0], observed(2, "swap", "good")])
    assert [(item.times, item.settled) for item in both] == [(2, False)]


def test_checks_that_must_come_first_come_first_and_say_for_whose_sake() -> None:
    small = procedure(
        faults=[fault("a", 1), fault("b", 1)],
        fixes=[fix("a", 30), fix("b", 30)],
        checks=[check("volts", 1, {}), check("ohms", 1, {"a": "bad"}, after=["volts"])],
    )
    choice = next_of(small)
    assert isinstance(choice, NextCheck)
    assert choice.task == Task("volts")
    assert reason_text(choice.because) == "It comes before ohms test, which splits bad a from bad b."
    choice = next_of(small, [Skipped(check_prompt("volts"), "no meter")])
    assert isinstance(choice, NextCheck)
    assert choice.task == Task("ohms")


def test_telling_apart_faults_with_one_cure_is_worth_nothing() -> None:
    small = procedure(
        faults=[fault("a", 1), fault("b", 1, fix="mend a")],
        fixes=[fix("a", 30)],
        checks=[check("which", 1, {"a": "bad"})],
    )
    assert isinstance(next_of(small), NextFix)


def test_ties_break_by_file_order() -> None:
    small = procedure(
        faults=[fault("a", 1), fault("b", 1)],
        fixes=[fix("a", 30), fix("b", 30)],
        checks=[check("first", 1, {"b": "bad"}), check("second", 1, {"a": "bad"})],
    )
    choice = next_of(small)
    assert isinstance(choice, NextCheck)
    assert choice.task == Task("first")


def test_a_trial_that_did_not_help_is_not_tried_again_at_once() -> None:
    small = trials_only((0.5, 0.5), (2, 3))
    choice = next_of(small, [FixDone("mend A", None, "", None), ProofFinished(False, Reason(Why.UNFINISHED))])
    assert isinstance(choice, NextFix)
    assert choice.cure == Cure("mend B")


def test_why_is_answered_in_the_words_of_the_trade() -> None:
    choice = next_of(parts())
    assert isinstance(choice, NextCheck)
    assert reason_text(choice.because).startswith("It splits bad ")
    assert reason_text(choice.because).endswith(" with nothing more to open.")


def test_whats_left_is_likeliest_first() -> None:
    seen = fault_model(parts(), {})
    left = whats_left(seen, posterior(seen, []), 2)
    assert [title for title, _ in left] == ["bad sensor", "bad wire"]
    assert [share for _, share in left] == pytest.approx([5 / 13, 4 / 13], abs=0.01)


@settings(deadline=None, max_examples=25)
@given(st.integers(0, 10_000), st.lists(st.sampled_from(["good", "bad"]), max_size=4))
def test_same_inputs_give_the_same_choice(seed: int, answers: list[str]) -> None:
    events = [observed(number + 1, f"c{number}", answer) for number, answer in enumerate(answers)]
    assert next_of(random_small(seed), events) == next_of(random_small(seed), events)


def rare_beside_dear_checks() -> Procedure:
    """A rare fault with a cheap check of its own, beside common ones that are dear to tell apart."""
    names = ("a", "b", "c", "d")
    return procedure(
        slip=0.02,
        faults=[fault("rare", 2), *(fault(name, 20) for name in names)],
        fixes=[fix("rare", 10, part="module"), *(fix(name, 10, part="sensor") for name in names)],
        checks=[
            check("port", 2, {"rare": "bad"}, condemns=["bad"]),
            *(check(f"pull {name}", 15, {name: "bad"}, condemns=["bad"]) for name in names),
        ],
    )


def test_a_surprising_reading_is_taken_once_more_before_all_else_is_searched() -> None:
    small = rare_beside_dear_checks()
    seen = fault_model(small, {})
    events: list[Decision] = [observed(1, "port", "bad")]
    assert posterior(seen, events)[Suspect("rare")] == pytest.approx(2 * 0.98 / (2 * 0.98 + 80 * 0.02), abs=0.05)
    second = next_of(small, events)
    assert isinstance(second, NextCheck)
    assert (second.task, second.because.why) == (Task("port"), Why.MUCH_HANGS_ON_IT)
    settled = next_of(small, [*events, observed(2, "port", "bad")])
    assert isinstance(settled, NextFix)
    assert (settled.cure, settled.condemned) == (Cure("mend rare"), True)
    refuted = next_of(small, [*events, observed(2, "port", "good")])
    assert isinstance(refuted, NextCheck)
    assert refuted.task.check.startswith("pull")


def test_a_second_look_is_not_asked_where_the_first_showed_nothing_or_it_was_skipped() -> None:
    small = rare_beside_dear_checks()
    passed_by: list[Decision] = [observed(1, "port", "bad"), Skipped(check_prompt("port"), "not again")]
    shown: list[Decision] = [observed(1, "port", "good")]
    for events in (shown, passed_by):
        choice = next_of(small, events)
        assert not (isinstance(choice, NextCheck) and choice.task == Task("port"))


def two_wires(**more: bool) -> Procedure:
    """Two wires, alike likely, and one reading that tells one of them; nothing is mended on one reading."""
    return procedure(
        slip=0.02,
        read_twice=0.002,
        faults=[fault("a", 5), fault("b", 5)],
        fixes=[fix("a", 20), fix("b", 30)],
        checks=[check("look", 3, {"a": "bad"}, **more)],
    )


@pytest.mark.parametrize("shown", [("good", "bad"), ("bad", "good")])
def test_looks_that_contradict_are_settled_by_a_third(shown: tuple[str, str]) -> None:
    """Whichever came first: a repair on two readings that say the opposite is a guess."""
    events: list[Decision] = [observed(number, "look", outcome) for number, outcome in enumerate(shown, start=1)]
    assert next_task(two_wires(), events) == Task("look")
    settled = next_of(two_wires(), [*events, observed(3, "look", "bad")])
    assert isinstance(settled, NextFix)
    assert settled.cure == Cure("mend a")


def test_a_reading_that_may_change_is_taken_twice_as_well_before_a_repair() -> None:
    """A tug that shows it once may be a slip; what shows it, and then not, is not asked for ever."""
    small = two_wires(repeatable=True)
    assert next_task(small, [observed(1, "look", "bad")]) == Task("look")
    twice = next_of(small, [observed(1, "look", "bad"), observed(2, "look", "bad")])
    assert isinstance(twice, NextFix)
    assert twice.cure == Cure("mend a")
    events: list[Decision] = [observed(1, "look", "bad"), observed(2, "look", "good")]
    assert next_task(small, events) == Task("look"), "two that contradict are settled by a third"
    assert not isinstance(next_of(small, [*events, observed(3, "look", "good")]), NextCheck)


@pytest.mark.parametrize(("minutes", "twice"), [(2, True), (90, False)])
def test_the_only_look_that_shows_anything_is_taken_twice_where_it_is_worth_its_minutes(
    minutes: float, *, twice: bool
) -> None:
    """One kind of fault, so that no other repair hangs on it; but there may be nothing wrong at all."""
    shows = {"a": {"bad": 0.85, "good": 0.15}}
    checks = [check("feel", 2, shows), check("look", minutes, shows)]
    small = procedure(slip=0.02, read_twice=0.002, faults=[fault("a", 5)], fixes=[fix("a", 20)], checks=checks)
    events: list[Decision] = [observed(1, "feel", "good"), observed(2, "look", "bad")]
    first = next_of(small, events)
    assert isinstance(first, NextCheck if twice else NextFix)
    again = next_of(small, [*events, observed(3, "look", "bad")])
    assert isinstance(again, NextFix)
    # two that show it are no misreading
    both = next_of(small, [observed(1, "feel", "bad"), observed(2, "look", "bad")])
    assert isinstance(both, NextFix)


def socket_and_ground(*, by_eye: bool) -> Procedure:
    """A green socket beside a bad ground: one look at the pins, and a reading of the ground that costs more."""
    return procedure(
        slip=0.02,
        read_twice=0.002,
        faults=[fault("socket", 5), fault("ground", 4)],
        fixes=[fix("socket", 10), fix("ground", 20)],
        checks=[
            check("look", 1, {"socket": {"bad": 0.9, "good": 0.1}}, by_eye=by_eye),
            check("drop", 2, {"ground": "bad"}),
        ],
    )


def test_a_look_by_eye_is_not_taken_twice_but_measured() -> None:
    """Who sees a green pin sees it again: no second measure, so the ground is read before the fix."""
    seen: list[Decision] = [observed(1, "look", "bad")]
    assert next_task(socket_and_ground(by_eye=False), seen) == Task("look")
    choice = next_of(socket_and_ground(by_eye=True), seen)
    assert isinstance(choice, NextCheck)
    assert (choice.task, choice.because.why) == (Task("drop"), Why.BESIDE_A_LOOK)
    read: list[Decision] = [*seen, observed(2, "drop", "good")]
    # the look is the only sign of anything: heard wrong, a sound unit would be mended
    assert next_task(socket_and_ground(by_eye=True), read) == Task("look")
    mended = next_of(socket_and_ground(by_eye=True), [*read, observed(3, "look", "bad")])
    assert isinstance(mended, NextFix)
    assert mended.cure == Cure("mend socket")
    other = next_of(socket_and_ground(by_eye=True), [*seen, observed(2, "drop", "bad")])
    assert other != mended


def test_a_second_look_by_eye_makes_nothing_likelier() -> None:
    """Two looks that agree are one; two that contradict each other are two."""
    small = fault_model(socket_and_ground(by_eye=True), {})
    once, twice = observed(1, "look", "bad"), observed(2, "look", "bad")
    assert posterior(small, [once, twice]) == pytest.approx(posterior(small, [once]))
    plain = fault_model(socket_and_ground(by_eye=False), {})
    assert posterior(plain, [once, twice]) != pytest.approx(posterior(plain, [once]))
    assert posterior(small, [once, observed(2, "look", "good")]) != pytest.approx(posterior(small, [once]))
