"""Sentences of a writer who was left out: what strangers say is served, or asked about, and hardly ever mistaken."""

from __future__ import annotations

import pytest

from tests.understanding.left_out import NONE, Left, fares, left_out

pytestmark = pytest.mark.sweep
AT_WORK = {"skip", "hold", "resume", "next", "go_back", "withdraw", "correction", "stop", "help", "note", "say_less",
           "say_more", "say_again", "yes", "no"}  # fmt: skip


@pytest.fixture(scope="module")
def rows() -> list[Left]:
    return list(left_out())


def share(rows: list[Left], how: str) -> float:
    return 100 * sum(fares(one) == how for one in rows) / len(rows)


def test_the_likeliest_intent_is_mostly_right(rows: list[Left]) -> None:
    assert len(rows) >= 8000
    assert 100 * sum(one.right for one in rows) / len(rows) >= 88


def test_above_the_margins_it_is_nearly_always_right(rows: list[Left]) -> None:
    for least, right in ((0.4, 95), (0.6, 97), (0.9, 99)):
        above = [one.right for one in rows if one.ahead >= least]
        assert 100 * sum(above) / len(above) >= right, least


def test_much_of_it_is_served_and_little_mistaken(rows: list[Left]) -> None:
    commands = [one for one in rows if one.intent in AT_WORK]
    talk = [one for one in rows if one.intent not in AT_WORK and one.intent not in NONE]
    none = [one for one in rows if one.intent in NONE]
    assert share(commands, "served") >= 86
    assert share(talk, "served") >= 80
    assert share(none, "served") >= 94
    assert share(commands, "misunderstood") <= 3
    assert share(talk, "misunderstood") <= 5
    assert share(rows, "wrong silent") <= 0.2
