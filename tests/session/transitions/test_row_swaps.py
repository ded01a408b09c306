"""No row of the table of transitions can be given another handler without a test noticing.

Each row in turn gets each other handler that its mode uses, with leave to lead anywhere, so that only what is seen
counts and not the modes that the row names. A swap is caught when a case of ``test_rows`` for that row fails.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import cast

import pytest

from assistant.session.dialog_state import Mode
from assistant.session.dispatch import TABLE
from assistant.session.events import Event
from assistant.session.transition import Handler, Relative, Row
from tests.session.transitions.rows import differs
from tests.session.transitions.test_rows import EXPECTED

SHARE = 0.98
"""Least share of the swaps, those declared equal left out, that must be caught."""
EVERYWHERE = frozenset((*Mode, *Relative))
_IS_ANSWER = "what is said as a correction is the event CORRECTED, so a plain answer replaces nothing"
_NO_ANSWER = "an answer of a kind that the fact does not take is not understood, whoever finds that out"


def _equal(mode: Mode, events: tuple[Event, ...], handler: str, why: str) -> dict[tuple[Mode, Event, str], str]:
    return {(mode, event, handler): why for event in events}


_NUMBERS = (Event.RANGE, Event.UNSTEADY, Event.OVER_RANGE, Event.NOTHING)
EQUAL: dict[tuple[Mode, Event, str], str] = {
    **_equal(Mode.READY, (Event.WITHDRAW,), "taking_back.correction", "nothing was answered yet"),
    **_equal(Mode.READY, (Event.CORRECTION,), "taking_back.withdraw", "nothing was answered yet"),
    **_equal(Mode.FACT, (Event.READING, Event.CHOICE, Event.IDENTIFIER), "taking_back.corrected", _IS_ANSWER),
    **_equal(Mode.CHECK, (Event.READING, Event.CHOICE), "taking_back.corrected", _IS_ANSWER),
    **_equal(Mode.PROOF, (Event.CHOICE,), "taking_back.corrected", _IS_ANSWER),
    **_equal(Mode.FACT, _NUMBERS, "answering.answer", _NO_ANSWER),
    **_equal(Mode.FACT, (*_NUMBERS, Event.NOT_UNDERSTOOD), "taking_back.corrected", _NO_ANSWER),
    **_equal(Mode.SPREAD, (Event.SAY_AGAIN,), "finding.end_of_spread", "without a number it asks again as well"),
}
"""Swaps that no meeting of the row can show, and why."""


def swaps(modes: tuple[Mode, ...]) -> Iterator[tuple[Mode, Event, Handler]]:
    """Every row of these modes with every other handler of its mode."""
    for mode in modes:
        handlers = dict.fromkeys(row.handler for row in TABLE[mode].values())
        for event, row in TABLE[mode].items():
            yield from ((mode, event, other) for other in handlers if other is not row.handler)


def name_of(handler: Handler) -> str:
    """Module and name of a handler."""
    return f"{handler.__module__.rpartition('.')[2]}.{handler.__name__}"


def caught(mode: Mode, event: Event, other: Handler) -> bool:
    """Whether a case of the row fails when another handler answers it."""
    rows = cast("dict[Event, Row]", TABLE[mode])
    with pytest.MonkeyPatch.context() as patch:
        patch.setitem(rows, event, Row(other, EVERYWHERE, EVERYWHERE))
        for case in EXPECTED[mode][event]:
            try:
                if differs(case, event):
                    return True
            except Exception:  # noqa: BLE001 - a swapped handler may fail in any way; failing is being caught
                return True
    return False


def survivors(modes: tuple[Mode, ...]) -> tuple[int, list[str]]:
    """How many swaps were tried, and those that no case noticed."""
    tried, left = 0, []
    for mode, event, other in swaps(modes):
        name = name_of(other)
        if (mode, event, name) in EQUAL:
            continue
        tried += 1
        if not caught(mode, event, other):
            left.append(f"{mode} {event}: {name}")
    return tried, left


def hold(modes: tuple[Mode, ...]) -> None:
    """Fail when too few swaps are caught."""
    tried, left = survivors(modes)
    share = 1 - len(left) / tried
    equal = sum(mode in modes for mode, _, _ in EQUAL)
    print(
        f"{tried - len(left)} of {tried} swaps caught ({share:.2%}), {equal} more declared equal; "
        f"not caught: {', '.join(left) or 'none'}"
    )
    assert share >= SHARE, f"only {share:.1%} of {tried} swaps were caught; not: {', '.join(left)}"


def test_swaps_declared_equal_can_be_made_and_are_not_caught() -> None:
    made = {(mode, event, name_of(other)): other for mode, event, other in swaps(tuple(Mode))}
    for mode, event, name in EQUAL:
        assert not caught(mode, event, made[mode, event, name]), f"{mode} {event} {name} is told apart"


@pytest.mark.parametrize("mode", [Mode.CHECK, Mode.CONFIRM, Mode.PROOF, Mode.UNWRITTEN])
def test_swaps_are_caught_where_a_wrong_answer_would_cost_most(mode: Mode) -> None:
    hold((mode,))


@pytest.mark.sweep
def test_swaps_are_caught_in_every_mode() -> None:
    hold(tuple(Mode))
