"""What the questions before the first check make likely, against what the trade says of such a light."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

import pytest

from assistant.diagnosis.fault_model import fault_model
from assistant.procedure.load import load_procedure

NAMES = ("trailer-abs-light-on", "tractor-abs-light-on")
PROCEDURES = {name: load_procedure(name).procedure for name in NAMES}
HARD = ("sensor open", "sensor shorted", "sensor grounded", "sensor wire open", "sensor wire shorted")
SUPPLY = ("bad ground", "high-resistance power")


def shares(name: str, facts: Mapping[str, str]) -> dict[str, float]:
    """Share of each fault over all its places, before any check."""
    seen = fault_model(PROCEDURES[name], dict(facts))
    found: dict[str, float] = defaultdict(float)
    for suspect, prior in zip(seen.suspects, seen.priors, strict=True):
        found[suspect.fault] += float(prior)
    return found


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("comes_on", ["at once", "comes and goes"])
def test_a_light_without_any_code_leaves_first_of_all_the_light_itself(name: str, comes_on: str) -> None:
    """Stays on with no codes: the light or its circuit. Common practice, no source."""
    found = shares(name, {"codes": "no codes", "comes on": comes_on})
    assert max(found, key=lambda fault: found[fault]) == "light circuit"
    assert sum(found[fault] for fault in HARD) < found["light circuit"] / 3


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("codes", ["no codes", "cannot read"])
def test_a_light_that_comes_and_goes_points_to_the_supply_and_its_joints(name: str, codes: str) -> None:
    """A module that browns out names no wheel; a circuit that is broken for good is there at once. Common practice,
    no source."""
    found = shares(name, {"codes": codes, "comes on": "comes and goes"})
    before = shares(name, {})
    assert sum(found[fault] for fault in SUPPLY) > sum(found[fault] for fault in HARD)
    for fault in SUPPLY:
        assert found[fault] > 1.5 * before[fault]


def test_that_only_one_tractor_was_tried_says_little_and_that_only_one_shows_it_says_much() -> None:
    """One trailer behind one tractor is what most who ask have; common practice, no source."""
    before, tried, one, every = (
        shares("trailer-abs-light-on", {"tractors": answer} if answer else {})["tractor side"]
        for answer in ("", "one tried", "only one", "every tractor")
    )
    assert 0.4 * before < tried < before
    assert one > 4 * before
    assert every < 0.05 * before
