"""Tables as tests: one test for all rows of a table, which names every row that fails.

A test of its own for each row of thousands costs more to collect, to hand out and to count than to run.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Sequence
from typing import Any

SHOWN = 25
"""Rows told in full; of the others only how many they are."""


def each_row(rows: Sequence[Any]) -> Callable[[Callable[..., None]], Callable[[], None]]:
    """A test that checks every row: a row is the one argument of the check, or a tuple of all of them."""

    def made(check: Callable[..., None]) -> Callable[[], None]:
        one = len(inspect.signature(check).parameters) == 1

        def test() -> None:
            assert rows, "the table is empty"
            failed = []
            for row in rows:
                try:
                    check(row) if one else check(*row)
                except AssertionError as error:
                    failed.append(f"{row}: {error}")
                except Exception as error:
                    error.add_note(f"at the row {row}")
                    raise
            told = "\n".join(failed[:SHOWN])
            assert not failed, f"{len(failed)} of {len(rows)} rows fail:\n{told}"

        test.__name__, test.__qualname__ = check.__name__, check.__qualname__
        test.__doc__, test.__module__ = check.__doc__, check.__module__
        return test

    return made
