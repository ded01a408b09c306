"""What technicians say beside bare answers: nothing wrong counts, and most of it is served."""

from __future__ import annotations

import pytest

from tests.rows import each_row
from tests.session.partner_tables import fares, rows
from tests.understanding.spoken_tables import Row

LEAST = {
    "answers": 84.0,
    "questions": 94.0,
    "reports": 82.0,
    "breath": 77.0,
    "bay": 91.0,
    "yard": 92.0,
    "dock": 76.0,
}
"""Percent of the rows of a table, and of those that were set aside, that must be right."""
ROWS = [(table, row) for table in LEAST for row in rows(table)]


@each_row(ROWS)
def test_nothing_wrong_counts(table: str, row: Row) -> None:
    assert fares(row) != "wrong silent", table


@pytest.mark.parametrize("table", LEAST)
@pytest.mark.parametrize("aside", [False, True], ids=["worked on", "aside"])
def test_most_is_served(table: str, aside: bool) -> None:
    found = [fares(row) for row in rows(table) if row.aside is aside]
    assert 100 * found.count("right") / len(found) >= LEAST[table]


def test_the_tables_hold_every_way_of_speaking() -> None:
    for table in LEAST:
        told = list(rows(table))
        styles = {row.style for row in told}
        assert {"chatty", "spanish"} < styles
        assert styles & {"journeyman", "apprentice"}
        assert styles & {"hurried", "terse"}
        assert 0.3 <= sum(row.aside for row in told) / len(told) <= 0.4
