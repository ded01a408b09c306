"""Every row of the table of transitions does what the theory of operation says.

The expectations are written by hand, from the theory at the head of ``session.dispatch`` and what a technician should
hear; none is taken from what the code does. ``rows_everywhere`` holds what every prompt must do,
``rows_of_main_modes`` and ``rows_over_prompts`` what a mode has of its own.
"""

from __future__ import annotations

from dataclasses import replace
from typing import cast

import pytest

from assistant.session.dialog_state import Mode
from assistant.session.dispatch import TABLE
from assistant.session.events import Event
from assistant.session.transition import Row
from assistant.session.turn import Result, Turn
from tests.rows import each_row
from tests.session.transitions.rows import differs
from tests.session.transitions.rows_everywhere import MENDED_AT, PROMPTS, Cases, at_every_prompt, told_wrong
from tests.session.transitions.rows_of_main_modes import MAIN_MODES
from tests.session.transitions.rows_over_prompts import OVER_PROMPTS

ROWS = [(mode, event) for mode, rows in TABLE.items() for event in rows]
OWN = MAIN_MODES | OVER_PROMPTS
EXPECTED: dict[Mode, Cases] = {
    mode: {
        **(at_every_prompt(PROMPTS[mode]) if mode in PROMPTS else {}),
        **(told_wrong(PROMPTS[mode]) if mode in MENDED_AT else {}),
        **OWN[mode],
    }
    for mode in Mode
}


def test_every_row_has_a_case_and_every_case_a_row() -> None:
    assert {(mode, event) for mode, cases in EXPECTED.items() for event in cases} == set(ROWS)


@each_row(ROWS)
def test_a_row_does_what_the_theory_says(mode: Mode, event: Event) -> None:
    rows = cast("dict[Event, Row]", TABLE[mode])
    row, met = rows[event], []

    def handler(turn: Turn) -> Result:
        met.append(turn)
        return row.handler(turn)

    with pytest.MonkeyPatch.context() as patch:
        patch.setitem(rows, event, replace(row, handler=handler))
        for case in EXPECTED[mode][event]:
            met.clear()
            wrong = differs(case, event)
            assert not wrong, f"{case.way}: {case.sent}: {wrong}"
            if not (mode is Mode.CONFIRM and case.way == "confirm a slip"):
                assert met, f"{case.way}: {case.sent}: another row answered"
