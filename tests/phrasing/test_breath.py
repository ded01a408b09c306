"""Lists cut into pieces that are short enough to hear."""

from __future__ import annotations

from itertools import pairwise

import pytest

from assistant.phrasing.speech_chunks import LONGEST, chunks_of, seconds_of


@pytest.mark.parametrize(
    ("text", "seconds"),
    [("", 0), ("Logged.", 0.78), ("Read 12.5, then stop.", 12 * 0.07 + 3 * 0.32 + 0.36 + 0.29)],
)
def test_letters_digits_and_pauses_take_time(text: str, seconds: float) -> None:
    assert seconds_of(text) == pytest.approx(seconds)


@pytest.mark.parametrize("count", range(60))
@pytest.mark.parametrize("around", ["", "Put back. Say yes when all of it is done, or no to take it one by one."])
def test_every_piece_is_heard_in_one_breath_and_nothing_is_lost(count: int, around: str) -> None:
    items = [f"{'tread depth, ' * (1 + number % 3)}left rear outer" for number in range(count)]
    groups = chunks_of(items, around)
    assert [item for group in groups for item in group] == items
    for group in groups:
        assert seconds_of(f"{around} {'; '.join(group)}.") <= LONGEST
    for group, following in pairwise(groups):
        assert seconds_of(f"{around} {'; '.join((*group, following[0]))}.") > LONGEST, (
            "no piece is shorter than need be"
        )


def test_an_item_too_long_by_itself_stands_alone() -> None:
    long = "a" * 200
    assert chunks_of(["b", long, "c"]) == (("b",), (long,), ("c",))
    assert chunks_of([]) == ()
