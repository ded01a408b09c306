"""Tables of what technicians say: nothing wrong counts silently, and most of it is understood."""

from __future__ import annotations

from functools import cache

import pytest

from assistant.catalog import load_vocabulary
from assistant.messages import Hypothesis, Understanding
from assistant.understanding.interpret import interpret
from tests.rows import each_row
from tests.understanding.spoken_tables import Row, expectation, fares, rows

VOCABULARY = load_vocabulary()
LEAST = {
    "readings": 92.0,
    "choices": 90.0,
    "commands": 92.0,
    "identifiers": 92.0,
    "later": 92.0,
    "bay": 88.0,
    "floor": 88.0,
    "yard": 91.0,
    "dock": 78.0,
}
"""Percent of the rows of a table, and of those that were set aside, that must be right."""
ROWS = [(table, row) for table in LEAST for row in rows(table)]


@cache
def typed_as(row: Row) -> Understanding:
    """What is meant by the words as they stand."""
    return interpret((Hypothesis(row.said),), expectation(row.prompt), VOCABULARY)


@each_row(ROWS)
def test_nothing_wrong_counts_silently(table: str, row: Row) -> None:
    typed = typed_as(row)
    assert fares(row, typed) != "wrong silent", (table, typed)


@each_row(ROWS)
def test_nothing_wrong_counts_silently_as_it_was_heard(table: str, row: Row) -> None:
    """The same words as the first of a recognizer's alternatives, beside a far one."""
    heard = (Hypothesis(row.said.lower(), 0.0), Hypothesis("[unclear]", -30.0))
    found = interpret(heard, expectation(row.prompt), VOCABULARY, snr_db=25.0)
    assert fares(row, found) != "wrong silent", (table, found)


@pytest.mark.parametrize(("table", "aside"), sorted({(table, row.aside) for table, row in ROWS}))
def test_most_is_understood(table: str, aside: bool) -> None:
    found = [fares(row, typed_as(row)) for row in rows(table) if row.aside is aside]
    assert 100 * found.count("right") / len(found) >= LEAST[table]


def test_the_tables_are_large_enough() -> None:
    readings = list(rows("readings"))
    assert len(readings) >= 400
    assert len({row.kind for row in readings}) >= 15
    assert {row.style for row in readings} == {"terse", "chatty", "spanish"}
    assert 0.25 <= sum(row.aside for row in readings) / len(readings) <= 0.4
