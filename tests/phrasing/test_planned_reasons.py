"""The planner's reasons in words."""

from __future__ import annotations

import pytest

from assistant.messages.reasons import Reason, ReasonSlot, Why
from assistant.phrasing.reasons import reason_text

PAIR: dict[str, ReasonSlot] = {"first": "open sensor", "second": "broken wire"}


@pytest.mark.parametrize(
    ("why", "slots", "text"),
    [
        (Why.SPLITS, {**PAIR, "minutes": 1, "access": "", "place": ""},
         "It splits open sensor from broken wire in a minute with nothing more to open."),
        (Why.SPLITS, {**PAIR, "minutes": 12, "access": "drum", "place": "left rear"},
         "It splits open sensor from broken wire in 12 minutes with drum at left rear first."),
        (Why.NARROWS, {"minutes": 3, "access": "nose box", "place": ""},
         "It narrows down what is left in 3 minutes with nose box to open first."),
        (Why.COMES_FIRST, {"check": "ohms"}, "It comes before ohms."),
        (Why.CONDEMNED, {"check": "ohms at the sensor", "suspect": "open sensor"},
         "Ohms at the sensor points to open sensor."),
        (Why.POINTED_AT, {"suspect": "open sensor"}, "The readings point to open sensor."),
        (Why.QUICK_TRY, {"minutes": 2, "suspect": "gap"}, "It takes 2 minutes to try and may be gap."),
        (Why.LITTLE_ELSE, {"suspect": "gap", "percent": 93}, "Little else is left but gap: 93 percent."),
        (Why.PASSED_BY, {"suspects": ("gap", "broken wire")},
         "It may be gap or broken wire, and what would settle it was skipped or declined."),
        (Why.NO_CHECK_LEFT, {"suspects": ()},
         "It may be many faults, and no check is left that tells them apart, or shows the part bad."),
    ],
)  # fmt: skip
def test_reasons_are_said_as_a_technician_would(why: Why, slots: dict[str, ReasonSlot], text: str) -> None:
    assert reason_text(Reason(why, slots)) == text
