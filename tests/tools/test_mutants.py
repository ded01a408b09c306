"""The mutants that are tried: which changes are made, and that the list of those that live is about today's code."""

from __future__ import annotations

import ast
from collections.abc import Callable
from typing import Any

import pytest

from tests.tools.mutants import ROOMS, ROOT, all_of, listed, mutants_of, mutated

SOURCE = '''
"""A module."""
from decimal import Decimal
LIMIT = Decimal("2.5")

class Judge:
    """A class."""

    @property
    def word(self) -> "str | None":
        """A word."""
        return None

    def inside(self, value: int, spare: bool = False) -> bool:
        """Inside."""
        if value < 10 and not spare:
            return value + 1 > 0
        return any(one for one in [value] if one == 3)
'''
CHANGES = [
    ("", "Decimal('2.5') -> Decimal('12.5')"),
    ("Judge.inside", "False -> True"),
    ("Judge.inside", "value < 10 and (not spare) -> not (value < 10 and (not spare))"),
    ("Judge.inside", "value < 10 and (not spare) -> value < 10 or not spare"),
    ("Judge.inside", "value < 10 -> value <= 10"),
    ("Judge.inside", "value < 10 -> value < 11"),
    ("Judge.inside", "return value + 1 > 0 -> return None"),
    ("Judge.inside", "value + 1 > 0 -> value + 1 >= 0"),
    ("Judge.inside", "value + 1 -> value - 1"),
    ("Judge.inside", "value + 1 -> value + 2"),
    ("Judge.inside", "value + 1 > 0 -> value + 1 > 1"),
    ("Judge.inside", "return any((one for one in [value] if one == 3)) -> return None"),
    ("Judge.inside", "(one for one in [value] if one == 3) -> (one for one in [value] if not one == 3)"),
    ("Judge.inside", "one == 3 -> one != 3"),
    ("Judge.inside", "one == 3 -> one == 4"),
]
"""Nothing of annotations, decorators and docstrings; nothing of a return of None."""


def test_every_change_is_made_and_none_twice() -> None:
    found = mutants_of(SOURCE, "sample.py")
    assert sorted((one.function, one.change) for one in found) == sorted(CHANGES)
    assert [one.number for one in found] == list(range(len(CHANGES)))
    whole = ast.dump(ast.parse(SOURCE))
    trees = {ast.dump(mutated(SOURCE, one.number)) for one in found}
    assert len(trees) == len(found)
    assert whole not in trees


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        ("value < 10 -> value <= 10", True),
        ("value + 1 -> value + 2", False),
        ("one == 3 -> one != 3", True),
        ("one == 3 -> one == 4", False),
    ],
)
def test_a_mutant_runs_as_its_change_says(change: str, expected: bool) -> None:
    """Of 10 the original says no: not below 10, and not 3."""

    def inside(source: Any) -> bool:
        names: dict[str, Any] = {}
        exec(compile(source, "sample.py", "exec"), names)  # noqa: S102 - what is tried is code
        judge: Callable[[int], bool] = names["Judge"]().inside
        return judge(10)

    (number,) = [one.number for one in mutants_of(SOURCE, "sample.py") if one.change == change]
    assert not inside(ast.parse(SOURCE))
    assert inside(mutated(SOURCE, number)) is expected


@pytest.mark.parametrize("name", sorted(ROOMS))
def test_a_rooms_files_and_tests_are_there(name: str) -> None:
    """A room whose files moved would have no mutants, and all of none are caught."""
    room = ROOMS[name]
    for pattern in room.files:
        assert list((ROOT / "assistant").glob(pattern)), pattern
    assert [one for one in room.tests if not (ROOT / "tests" / one).exists()] == []


def test_those_listed_as_equivalent_can_still_be_made_and_say_why() -> None:
    made = {mutant.key for room in ROOMS.values() for mutant in all_of(room)}
    assert [key for key in listed() if key not in made] == []
    assert all(len(why.split()) > 2 for why in listed().values())
