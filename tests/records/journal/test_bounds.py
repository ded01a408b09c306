"""A glance at a line's text never passes a number that the close look would refuse."""

from __future__ import annotations

from decimal import Decimal

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.records.journal.bounds import check_numbers, plainly_within

WRITTEN = st.one_of(
    st.decimals(allow_nan=True).map(str),
    st.integers().map(str),
    st.floats().map(str),
    st.text("0123456789.eE_-+ nNaAiIfFsS٣１", max_size=70),
    st.integers(-(10**70), 10**70).map(lambda number: f"0.{abs(number)}"),
)
"""Numbers as a forger may write them: Python's own ways, and strings of the signs that numbers are made of."""


@given(WRITTEN)
def test_what_passes_at_a_glance_passes_the_close_look(text: str) -> None:
    raw = msgspec.json.encode({"value": text})
    glance = plainly_within([msgspec.Raw(raw)])
    try:
        held = msgspec.json.decode(raw, type=dict[str, Decimal])
    except (msgspec.ValidationError, ValueError):
        return  # no number at all
    try:
        check_numbers(held)
    except ValueError:
        assert not glance, text


@given(st.one_of(st.integers(), st.floats(allow_nan=False, allow_infinity=False)))
def test_the_same_of_bare_numbers(number: float) -> None:
    glance = plainly_within([msgspec.Raw(msgspec.json.encode([number]))])
    try:
        check_numbers([number])
    except ValueError:
        assert not glance, number


@pytest.mark.parametrize(
    "line", ['{"value":"1180","at":680.25,"words":"one"}', '{"low":"700","high":"3000.5","next":null}']
)
def test_plain_lines_need_no_close_look(line: str) -> None:
    assert plainly_within([msgspec.Raw(line.encode())])
