"""Lines of tables and keys: what messages point at must be where the editor finds it."""

from __future__ import annotations

import pytest

from assistant.procedure.lines import Lines

TEXT = '''# a comment with [[checks]] in it
format = 1
note = """
[[checks]]
name = "not a table"
"""
list = [
    "a [ bracket",  # and ] here
    "name = 3",
]

[[checks]]
name = "one"
[checks.limits]
low = 1
[checks.finds]
"a fault" = { low = 0.5, "a b" = 0.5 }

[[checks]]
name = "two"
limits.low = 2

[proof]
source = 'x'
[[proof.steps]]
name = "s1"
  [[proof.steps]]
  name = "s2"
'''


@pytest.mark.parametrize(
    ("path", "line"),
    [
        (("format",), 2),
        (("list",), 7),
        (("list", 0), 8),
        (("list", 1), 9),
        (("list", 2), 7),
        (("checks", 0), 12),
        (("checks", 0, "name"), 13),
        (("checks", 0, "limits", "low"), 15),
        (("checks", 0, "finds", "a fault"), 17),
        (("checks", 0, "finds", "a fault", "a b"), 17),
        (("checks", 0, "missing"), 12),
        (("checks", 1, "limits", "low"), 21),
        (("proof", "source"), 24),
        (("proof", "steps", 0, "name"), 26),
        (("proof", "steps", 1), 27),
        (("proof", "steps", 1, "name"), 28),
        (("nothing",), None),
    ],
)
def test_a_path_is_found_on_its_line(path: tuple[str | int, ...], line: int | None) -> None:
    assert Lines(TEXT).of(*path) == line
