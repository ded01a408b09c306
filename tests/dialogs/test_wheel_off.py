"""What is asked fits what stands open: nobody turns a wheel whose hub is off; what was backed off is set again."""

from __future__ import annotations

import pytest

from assistant.procedure.load import load_procedure

NAMES = ("trailer-abs-light-on", "tractor-abs-light-on")


@pytest.mark.parametrize("name", NAMES)
def test_no_check_turns_or_rocks_a_wheel_whose_hub_is_off(name: str) -> None:
    procedure = load_procedure(name).procedure
    turning = [
        check
        for check in procedure.checks
        if (check.hands is not None and check.hands.turn) or check.ask.startswith(("Turn {place}", "Rock {place}"))
    ]
    assert len(turning) >= 5
    assert [check.name for check in turning if "hub off" not in check.spoiled_by] == []


@pytest.mark.parametrize("name", NAMES)
def test_an_adjuster_backed_off_for_the_drum_is_adjusted_again(name: str) -> None:
    """Common practice, no source."""
    procedure = load_procedure(name).procedure
    drum = next(access for access in procedure.access if access.name == "wheel and drum")
    assert "slack adjuster backed off" in drum.say
    assert any("brake adjusted" in item for item in drum.put_back_last)
    assert set(drum.looks) <= set(drum.put_back)
