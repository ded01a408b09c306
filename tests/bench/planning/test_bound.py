"""The bound of the benchmark's charts, against the exact recursion and published orders."""

from __future__ import annotations

from collections import Counter
from random import Random

import pytest

from assistant.diagnosis.fault_model import Suspect, fault_model
from assistant.procedure.load import load_procedure
from assistant.simulator.units import draw_facts
from tests.bench.planning.bound import Relaxed, chances_of_facts
from tests.diagnosis.exact import exact_minutes
from tests.diagnosis.problems import laid_out, random_small, trials_only

MANY = 100_000


def test_fixes_alone_go_by_probability_over_cost() -> None:
    # FACTS 7.2 (Kadane and Simon): the same numbers and the same 9.175 minutes as in the planner's own test
    seen = fault_model(trials_only((0.40, 0.25, 0.20, 0.15), (8.0, 2.0, 2.5, 6.0)), {})
    assert Relaxed(seen, seen.priors).minutes(MANY) == (pytest.approx(9.175), True)


@pytest.mark.parametrize("seed", range(12))
def test_it_is_never_above_the_exact_optimum_under_the_rules(seed: int) -> None:
    small = random_small(3000 + seed)
    seen = fault_model(small, {})
    relaxed = Relaxed(seen, seen.priors)
    least, sure = relaxed.minutes(MANY)
    assert sure
    assert relaxed.floor() - 1e-9 <= relaxed.minutes(0)[0] <= least + 1e-9
    assert least <= exact_minutes(*laid_out(small)) + 1e-6


def test_it_is_the_exact_optimum_where_no_part_has_to_be_condemned() -> None:
    for seed in range(6):
        small = random_small(4000 + seed)
        free = small.model_copy(
            update={"fixes": tuple(fix.model_copy(update={"trial": True}) for fix in small.fixes)}
        )
        seen = fault_model(free, {})
        assert Relaxed(seen, seen.priors).minutes(MANY)[0] == pytest.approx(exact_minutes(*laid_out(free)), rel=1e-3)


def test_chances_of_facts_are_those_with_which_they_are_drawn() -> None:
    procedure = load_procedure("trailer-abs-light-never-lights").procedure
    suspect = Suspect("ground open")
    chances = chances_of_facts(procedure, suspect)
    assert sum(chances.values()) == pytest.approx(1.0)
    rng = Random(5)
    drawn = Counter(tuple(sorted(draw_facts(procedure, suspect, rng).items())) for _ in range(2000))
    assert set(drawn) <= set(chances)
    for facts, chance in chances.items():
        assert drawn[facts] / 2000 == pytest.approx(chance, abs=0.04)
