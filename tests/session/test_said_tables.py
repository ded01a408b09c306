"""What technicians say in the middle of the work: nothing wrong counts, and most of it is served."""

from __future__ import annotations

import pytest

from tests.rows import each_row
from tests.session.said_tables import Row, fares, rows

LEAST = {
    "mend": 80.0,
    "trap": 85.0,
    "two": 70.0,
    "question": 95.0,
    "ways": 90.0,
    "caution": 80.0,
    "complaint": 95.0,
    "unit": 80.0,
    "lamps": 80.0,
    "done": 60.0,
}
"""Percent of the rows of a class, and of those that were set aside, that must be right."""
ROWS = [row for row in rows() if row.kind in LEAST]


@each_row(ROWS)
def test_nothing_wrong_counts(row: Row) -> None:
    assert fares(row) != "wrong silent"


@pytest.mark.parametrize("kind", LEAST)
@pytest.mark.parametrize("aside", [False, True], ids=["worked on", "aside"])
def test_most_is_served(kind: str, aside: bool) -> None:
    found = [fares(row) for row in rows() if row.aside is aside and row.kind == kind]
    assert 100 * found.count("right") / len(found) >= LEAST[kind]
