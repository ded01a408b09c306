"""What applies on a unit, and the numbers between suspects, checks, cures and openings."""

from __future__ import annotations

import pytest

from assistant.diagnosis.fault_model import Cure, Opening, Suspect, Task, fault_model
from assistant.diagnosis.likelihood import counted_as
from assistant.errors import DefectError
from assistant.procedure.model import Procedure
from tests.diagnosis.problems import check, fault, fix, procedure

WHEELS = [
    {"name": "left rear", "group": "wheel"},
    {"name": "right rear", "group": "wheel"},
    {"name": "left front", "group": "wheel", "when": {"axles": "two"}},
]


def trailer() -> Procedure:
    """Wheels with sensors, a module, drums that may be on."""
    ohms = {"sensor": {"over_range": 0.8, "high": 0.2}, "module": "low"}
    return procedure(
        slip=0.04,
        facts=[
            {"name": "axles", "ask": "How many?", "choices": [{"name": "one"}, {"name": "two"}]},
            {
                "name": "brakes",
                "ask": "Which?",
                "choices": [{"name": "disc"}, {"name": "drum"}],
                "assume": "drum",
            },
        ],
        places=WHEELS,
        access=[
            {"name": "up", "say": "Lift.", "minutes": 7, "each": "wheel"},
            {
                "name": "drum",
                "say": "Pull it.",
                "minutes": 30,
                "each": "wheel",
                "needs": ["up"],
                "when": {"brakes": "drum"},
                "minutes_when": [{"when": {"axles": "two"}, "minutes": 35}],
            },
        ],
        faults=[
            fault("sensor", 2, each="wheel", factors=[{"when": {"axles": "two"}, "times": 3}]),
            fault("module", 1),
            fault("shoe", 1, each="wheel", when={"brakes": "drum"}, fix="mend sensor"),
        ],
        fixes=[fix("sensor", 10, each="wheel", needs=["drum"]), fix("module", 20)],
        checks=[
            check("ohms", 2, ohms, kind="reading", choices=[], each="wheel", needs=["drum"], unit="ohm"),
            check("code", 1, {"sensor": {"here": 0.9, "none": 0.1}}, kind="place", each="wheel",
                  choices=[{"name": "none"}], otherwise="none"),
            check("own port", 1, {"sensor": "good"}, each="wheel", elsewhere={"sensor": "bad"}, after=["ohms"]),
        ],
    )  # fmt: skip


def test_unknown_facts_keep_every_place_and_fault() -> None:
    seen = fault_model(trailer(), {})
    assert seen.places["wheel"] == ("left rear", "right rear", "left front")
    assert len(seen.suspects) == 7
    assert seen.priors.sum() == pytest.approx(1.0)


def test_known_facts_narrow_the_unit_and_weigh_factors() -> None:
    small = trailer()
    one = fault_model(small, {"axles": "one", "brakes": "disc"})
    assert one.suspects == (Suspect("sensor", "left rear"), Suspect("sensor", "right rear"), Suspect("module"))
    # three times likelier on two axles: of a weight of 2 over both answers, 1 on one axle and 3 on two
    assert one.priors.tolist() == pytest.approx([1 / 3, 1 / 3, 1 / 3])
    two = fault_model(small, {"axles": "two", "brakes": "disc"})
    assert two.priors.tolist() == pytest.approx([3 / 10] * 3 + [1 / 10])
    unsure = fault_model(small, {"axles": "not sure", "brakes": "disc"})
    assert unsure.priors.tolist() == pytest.approx([2 / 7] * 3 + [1 / 7])


def test_an_answer_weighs_by_bayes_rule_over_all_that_could_have_been_answered() -> None:
    # P(fault | answer) in the ratio of weight x P(answer | fault), each answer as common as the others but for the
    # factors: worked by hand for 'wakes up' (15 : 1) and 'stays dark', three supply faults beside a lamp
    small = procedure(
        facts=[{"name": "brake", "ask": "Does it wake?", "choices": [{"name": "wakes"}, {"name": "dark"}]}],
        faults=[
            fault("supply", 3, factors=[{"when": {"brake": "wakes"}, "times": 15}]),
            fault("lamp", 6, factors=[{"when": {"brake": "wakes"}, "times": 0.02}]),
        ],
        fixes=[fix("supply", 30), fix("lamp", 3)],
        checks=[check("look", 1, {"lamp": "bad"})],
    )
    dark = fault_model(small, {"brake": "dark"}).priors
    assert dark[0] / dark[1] == pytest.approx((3 * (1 / 16)) / (6 * (1 / 1.02)))
    wakes = fault_model(small, {"brake": "wakes"}).priors
    assert wakes[0] / wakes[1] == pytest.approx((3 * (15 / 16)) / (6 * (0.02 / 1.02)))


def test_a_common_answer_says_less_than_a_rare_one() -> None:
    """The same worked by hand where 'stays dark' is three times as common as 'wakes up' on faults of no factor."""
    choices = [{"name": "wakes"}, {"name": "dark", "share": 3}]
    small = procedure(
        facts=[{"name": "brake", "ask": "Does it wake?", "choices": choices}],
        faults=[fault("supply", 3, factors=[{"when": {"brake": "wakes"}, "times": 15}]), fault("lamp", 6)],
        fixes=[fix("supply", 30), fix("lamp", 3)],
        checks=[check("look", 1, {"lamp": "bad"})],
    )
    dark = fault_model(small, {"brake": "dark"}).priors
    assert dark[0] / dark[1] == pytest.approx((3 * (3 / 18)) / (6 * (3 / 4)))
    wakes = fault_model(small, {"brake": "wakes"}).priors
    assert wakes[0] / wakes[1] == pytest.approx((3 * (15 / 18)) / (6 * (1 / 4)))


def test_not_sure_takes_the_assumed_value_for_conditions_only() -> None:
    small = trailer()
    assert Opening("drum", "left rear") in fault_model(small, {"brakes": "not sure"}).openings
    assert Opening("drum", "left rear") not in fault_model(small, {"brakes": "disc"}).openings


def test_minutes_under_conditions_count_only_when_known() -> None:
    small = trailer()
    for facts, minutes in (({}, 30), ({"axles": "two"}, 35), ({"axles": "one"}, 30)):
        seen = fault_model(small, facts)
        assert seen.opening_minutes[seen.opening_index[Opening("drum", "left rear")]] == minutes


def test_openings_come_with_those_they_need_in_order() -> None:
    seen = fault_model(trailer(), {})
    needed = seen.task_openings[seen.task_index[Task("ohms", "left rear")]]
    both = (Opening("up", "left rear"), Opening("drum", "left rear"))
    assert seen.unopened(needed, ()) == both
    assert seen.unopened(needed, both[:1]) == both[1:]


def test_suspects_with_one_fix_at_one_place_share_a_cure() -> None:
    seen = fault_model(trailer(), {})
    assert seen.cure(Suspect("shoe", "left rear")) == Cure("mend sensor", "left rear")
    assert seen.cure(Suspect("sensor", "left rear")) == Cure("mend sensor", "left rear")
    assert len(seen.cures) == 4


@pytest.mark.parametrize(
    ("task", "outcome", "suspect", "chance"),
    [
        # the file's entry of two outcomes, slipped: 0.96 * 0.8 + 0.04 * 0.2 / 4
        (Task("ohms", "left rear"), "over_range", Suspect("sensor", "left rear"), 0.77),
        (Task("ohms", "left rear"), "low", Suspect("sensor", "left rear"), 0.01),
        # at another wheel the sensor shows what is good
        (Task("ohms", "left rear"), "good", Suspect("sensor", "right rear"), 0.96),
        # a fault without a place shows the same at every wheel
        (Task("ohms", "right rear"), "low", Suspect("module"), 0.96),
        # here is the suspect's own place; three places and 'none'
        (Task("code"), "left rear", Suspect("sensor", "left rear"), 0.96 * 0.9 + 0.04 * 0.1 / 3),
        (Task("code"), "left rear", Suspect("sensor", "right rear"), 0.04 / 3),
        (Task("code"), "none", Suspect("module"), 0.96),
        # elsewhere
        (Task("own port", "left rear"), "bad", Suspect("sensor", "right rear"), 0.96),
        (Task("own port", "left rear"), "bad", Suspect("sensor", "left rear"), 0.04),
    ],
)
def test_likelihoods(task: Task, outcome: str, suspect: Suspect, chance: float) -> None:
    assert fault_model(trailer(), {}).likelihood(task, outcome, suspect) == pytest.approx(chance)


def test_every_column_of_likelihoods_sums_to_one_and_nothing_is_impossible() -> None:
    for table in fault_model(trailer(), {}).tables:
        assert table.chance.sum(axis=0) == pytest.approx(1.0)
        assert (table.chance > 0).all()


def test_what_comes_before_is_taken_at_the_same_place() -> None:
    seen = fault_model(trailer(), {})
    number = seen.task_index[Task("own port", "right rear")]
    assert seen.task_precedence[number] == ((seen.task_index[Task("ohms", "right rear")],),)


def test_same_input_gives_the_same_view() -> None:
    small = trailer()
    assert fault_model(small, {"axles": "one"}) is fault_model(small, {"axles": "one"})


def test_a_fault_whose_fix_is_missing_is_our_bug_by_now() -> None:
    with pytest.raises(DefectError, match="'mend b'"):
        fault_model(procedure(faults=[fault("b", 1)], fixes=[fix("a", 1)], checks=[check("c", 1, {})]), {})


def test_over_range_counts_as_good_or_high_where_no_fault_names_it() -> None:
    reading = {"kind": "reading", "choices": [], "unit": "ohm"}
    small = procedure(
        faults=[fault("a", 1)],
        fixes=[fix("a", 1)],
        checks=[
            check("to ground", 1, {"a": "low"}, **reading, limits={"low": 100000, "over_range": "good"}),
            check("coil", 1, {"a": "high"}, **reading),
            check("open", 1, {"a": "over_range"}, **reading),
        ],
    )
    counted = [counted_as(one, "over_range") for one in small.checks]
    assert counted == ["good", "high", "over_range"]
