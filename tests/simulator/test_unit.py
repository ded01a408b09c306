"""A simulated unit answers prompts, is changed by fixes, and is the same for the same seed."""

from __future__ import annotations

from decimal import Decimal
from random import Random

import pytest

from assistant.diagnosis.fault_model import Suspect
from assistant.errors import DefectError
from assistant.messages import Expectation, Expects, Prompt
from assistant.procedure.load import load_procedure
from assistant.procedure.model import Procedure
from assistant.simulator.unit import SimulatedUnit, sixteenths
from assistant.simulator.units import draw_value, with_meter
from tests.diagnosis.problems import check, fault, fix, procedure

READING = {"kind": "reading", "choices": [], "unit": "ohm", "span": [0, 20000]}


def trailer() -> Procedure:
    return procedure(
        facts=[
            {"name": "brakes", "ask": "Which?", "choices": [{"name": "disc"}, {"name": "drum"}]},
            {"name": "unit number", "ask": "Number?", "kind": "identifier"},
        ],
        places=[{"name": "left", "group": "wheel"}, {"name": "right", "group": "wheel"}],
        faults=[fault("sensor", 2, each="wheel"), fault("lamp", 1)],
        fixes=[fix("sensor", 10, each="wheel", part="sensor"), fix("lamp", 5)],
        checks=[
            check("ohms", 2, {"sensor": "over_range"}, each="wheel", limits={"low": 900, "high": 1400}, **READING),
            check("to ground", 2, {"sensor": "low"}, limits={"low": 100000, "over_range": "good"}, **READING),
            check("jumps", 2, {"lamp": "unsteady"}, **READING),
            check("look", 1, {"lamp": "bad"}),
            check("disc only", 1, {"lamp": "bad"}, when={"brakes": "disc"}),
        ],
        proof={
            "steps": [
                {"name": "roll", "say": "Roll."},
                {
                    "name": "light",
                    "say": "Light?",
                    "kind": "choice",
                    "choices": [{"name": "out"}, {"name": "lit"}],
                    "passes": ["out"],
                },
            ],
            "source": "a test",
        },
    )


def unit(*faults: Suspect, seed: int = 1) -> SimulatedUnit:
    return SimulatedUnit(trailer(), {"brakes": "drum"}, faults, seed=seed)


def ask(one: SimulatedUnit, prompt: str) -> str:
    return one.answer(Expectation(Expects.COMMAND, Prompt.read(prompt)))


LEFT = Suspect("sensor", "left")
LAMP = Suspect("lamp")


@pytest.mark.parametrize(
    ("prompt", "answer"),
    [
        ("ready", "next"),
        ("caution:chock the wheels", "yes"),
        ("fact:brakes", "drum"),
        ("fact:unit number", "4019"),
        ("access:drum:left", "next"),
        ("check:ohms:left", "over range"),
        ("check:look", "good"),
        ("check:disc only", "skip"),
        ("proof:roll", "next"),
        ("proof:light", "lit"),
        ("close:put back", "next"),
        ("confirm:check:ohms:left", "yes"),
        ("skip:check:ohms:left", "not on this unit"),
    ],
)
def test_answers_to_each_kind_of_prompt(prompt: str, answer: str) -> None:
    assert ask(unit(LEFT), prompt) == answer


def test_a_good_reading_lies_in_its_limits_and_stays_the_same_when_asked_again() -> None:
    one = unit(LEFT)
    said = ask(one, "check:ohms:right")
    assert Decimal(900) <= Decimal(said) <= Decimal(1400)
    assert ask(one, "check:ohms:right") == said
    assert ask(one, "choose:check:ohms:right") == said


def test_over_range_is_said_where_it_is_good() -> None:
    assert ask(unit(), "check:to ground") == "over range"


def test_an_unsteady_reading_names_its_ends_in_order() -> None:
    said = ask(unit(LAMP), "check:jumps")
    assert said.startswith("jumping between ")
    low, high = said.removeprefix("jumping between ").split(" and ")
    assert Decimal(low) < Decimal(high)


def test_fixes_change_the_unit_one_by_one() -> None:
    one = unit(LEFT, LAMP)
    assert ask(one, "fix:mend sensor:right") == "next"
    assert ask(one, "proof:light") == "lit"
    ask(one, "fix:mend sensor:left")
    assert ask(one, "check:ohms:left") != "over range"
    assert (one.cured, ask(one, "check:look"), ask(one, "proof:light")) == (False, "bad", "lit")
    ask(one, "fix:mend lamp")
    assert (one.cured, ask(one, "check:look"), ask(one, "proof:light")) == (True, "good", "out")


def test_the_same_seed_gives_the_same_answers() -> None:
    prompts = ["check:ohms:left", "check:ohms:right", "check:jumps"]
    first = [[ask(one, prompt) for prompt in prompts] for one in (unit(LAMP), unit(LAMP))]
    assert first[0] == first[1]
    assert first[0] != [ask(unit(LAMP, seed=2), prompt) for prompt in prompts]


def test_impossible_faults_and_unknown_prompts_are_refused() -> None:
    with pytest.raises(DefectError, match="nowhere"):
        unit(Suspect("sensor", "nowhere"))
    with pytest.raises(DefectError, match="held"):
        ask(unit(), "held")


@pytest.mark.parametrize(
    ("value", "words"),
    [("1.1875", "1 3/16"), ("0.9375", "15/16"), ("2", "2"), ("0", "0"), ("0.5", "1/2"), ("1.18", "1.18"),
     ("-0.25", "-0.25")],
)  # fmt: skip
def test_inches_are_read_off_a_rule_in_sixteenths(value: str, words: str) -> None:
    assert sixteenths(Decimal(value)) == words


@pytest.mark.parametrize(("name", "check", "mark"), [("pushrod-stroke", "stroke", "0.0625"),
                                                      ("tire-tread-depth", "tread", "1")])  # fmt: skip
@pytest.mark.parametrize("outcome", ["good", "low", "high"])
def test_a_rule_and_a_gauge_are_read_by_their_marks(name: str, check: str, mark: str, outcome: str) -> None:
    """A value stays on its side of the limit, and equal to the limit is good."""
    row = next(one for one in load_procedure(name).procedure.checks if one.name == check)
    limits = row.limits or row.limits_when[0].limits
    limited = row.model_copy(update={"limits": limits, "limits_when": ()})
    if (limits.low is None and outcome == "low") or (limits.high is None and outcome == "high"):
        return
    rng = Random(4)
    for _ in range(200):
        value = with_meter(draw_value(limited, outcome, rng), 0.005, rng, row.unit)
        assert value % Decimal(mark) == 0
        bad = (limits.low is not None and value < limits.low) or (limits.high is not None and value > limits.high)
        assert bad is (outcome != "good")
