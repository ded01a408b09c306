"""The tool that tries every tuned constant on whole sessions: what it changes, and how it judges."""

from __future__ import annotations

from types import ModuleType

import pytest

from assistant.diagnosis import constants, posterior, problem_layout
from assistant.diagnosis.looking_ahead import lookahead
from assistant.pictures import layout
from assistant.session import dispatch
from assistant.simulator.trial import Trial
from assistant.simulator.truck import never_lights
from assistant.simulator.truck.lighting import light_wrong
from tests.session.conversation import procedure
from tests.tools.constants_on_sessions import VALUES, Difference, changed, difference, main, measured, verdict

WORDS_AND_TIME = {"CELLS", "OVERHEAD", "TIE", "EVEN", "BARELY", "NAMED", "EITHER", "MISSED"}
"""They change what is said, or how long it takes to work out, and no session."""


def test_every_constant_that_changes_a_session_is_tried_to_either_side() -> None:
    every = {name for name in vars(constants) if name.isupper()}
    assert set(VALUES) == every - WORDS_AND_TIME
    for name, values in VALUES.items():
        assert getattr(constants, name) not in values
        assert len(values) >= 2


def test_a_constant_is_changed_wherever_it_is_used_and_set_back() -> None:
    with changed("TRIES", 1):
        assert vars(problem_layout)["TRIES"] == 1
        assert constants.TRIES == 1
        assert vars(lookahead)["BEAM"] == constants.BEAM == 6, "the others stay"
    assert vars(problem_layout)["TRIES"] == constants.TRIES == 2


@pytest.mark.parametrize(
    ("name", "other"),
    [("ASKED", dispatch), ("TINY", posterior), ("TRIES", light_wrong), ("TRIES", never_lights), ("WIDTH", layout)],
)
def test_what_merely_has_the_name_of_a_constant_is_left_alone(name: str, other: ModuleType) -> None:
    """A trailer's draw has tries of its own, and a picture a width."""
    before = vars(other)[name]
    with changed(name, VALUES[name][0]):
        assert vars(other)[name] is before
    assert vars(other)[name] is before


def test_differences_are_taken_unit_by_unit() -> None:
    own = [Trial((), found=True, minutes=minutes) for minutes in (10, 20, 30)] + [Trial((), found=False, minutes=500)]
    other = [Trial((), found=True, minutes=minutes) for minutes in (9, 18, 27)] + [Trial((), found=True, minutes=100)]
    found = difference(own, other)
    assert (found.minutes, found.found, found.parts) == (-2.0, 1, 0)
    assert found.error == pytest.approx(1 / 3**0.5)


@pytest.mark.parametrize(
    ("told", "wanted"),
    [
        ([Difference(-1.0, 0.4, 0, 0), Difference(0.2, 0.3, 0, 0)], "better by the rule"),
        ([Difference(-1.0, 0.6, 0, 0)], "kept"),
        ([Difference(-1.0, 0.4, 0, 0), Difference(0.3, 0.3, 0, 0)], "kept"),
        ([Difference(-1.0, 0.4, -1, 0)], "kept"),
        ([Difference(-1.0, 0.4, 0, 1)], "kept"),
    ],
)
def test_a_value_is_better_only_where_it_harms_nowhere(told: list[Difference], wanted: str) -> None:
    assert verdict(told) == wanted


def test_the_same_units_are_led_with_either_value() -> None:
    """A floor that no fix passes: no unit of the bench is mended any more, and all three are lost."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setitem(VALUES, "TRY_FLOOR", (1.1,))
        (name, value, (found,)) = next(measured([procedure()], ["TRY_FLOOR"], 3, 0.0, 1))
    assert (name, value) == ("TRY_FLOOR", 1.1)
    assert found.found == -3
    assert verdict([found]) == "kept"


def test_an_unknown_constant_is_named(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["BEEM"])
    assert "no values to try for BEEM" in capsys.readouterr().err
