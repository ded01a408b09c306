"""Lines and branches covered, room by room: ``make cover``, or ``python -m tests.tools.coverage_by_room [DATA]``.

Reads what ``pytest --cov`` left. Ends with 1 when a room of the core falls short of ``LEAST`` percent of either, or
one of ``FLOORS`` of what it had.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import coverage

ROOT = Path(__file__).parent.parent.parent
CORE = ("messages", "procedure", "numerals", "verdict", "understanding", "phrasing", "diagnosis", "session")
"""Rooms without a clock, a device or a file: all of what they decide can be tested."""
HELD = ("messages", "procedure", "numerals", "verdict")
"""Rooms of the core of which ``make test-all`` demands it; the others are told by ``make cover`` alone."""
HELD_BY = (*HELD, "grammars", "inspection", "understanding")
"""Folders of tests that must reach them: their own, and those of what is built on them first."""
LEAST = 95.0
"""Percent of lines and of branches, each, that the tests of a core room must reach."""

TOGETHER = ("asr", "commands", "records", "simulator", "web")
"""Rooms that are counted by the tests of all their folders at once: commands lead into each of the others."""
FLOORS = {
    "asr": (96, 90), "audio": (95, 93), "commands": (94, 89), "display": (92, 84), "inputs": (92, 85),
    "inspection": (94, 92), "pictures": (98, 97), "records": (90, 83), "setup": (94, 89), "simulator": (95, 87),
    "tts": (73, 69), "web": (96, 91),
}  # fmt: skip
"""Room outside the core to the percent of its lines and of its branches below which it must not fall: a point below
what the tests of its own folder reached when they were counted last, for those of ``TOGETHER`` one or two. Of ``tts``
a fifth runs in a process of its own, which is not counted; of a hundred lines of ``records`` three need a
database server, whose tests are not among those that are counted."""


@dataclass(frozen=True)
class Covered:
    """What of one room the tests reached."""

    room: str
    lines: int
    lines_reached: int
    branches: int
    branches_reached: int

    @property
    def of_lines(self) -> float:
        """Percent of the lines that were reached."""
        return _percent(self.lines_reached, self.lines)

    @property
    def of_branches(self) -> float:
        """Percent of the branches that were taken."""
        return _percent(self.branches_reached, self.branches)

    @property
    def short(self) -> bool:
        """True when it belongs to the core and falls short, or has less than it had."""
        lines, branches = (LEAST, LEAST) if self.room in CORE else FLOORS.get(self.room, (0, 0))
        return self.of_lines < lines or self.of_branches < branches


def _percent(part: int, whole: int) -> float:
    return 100.0 if not whole else 100.0 * part / whole


def room_of(path: str) -> str:
    """The room of a file: a folder of ``assistant``, or a file of its own."""
    parts = Path(path).relative_to(ROOT / "assistant").parts
    return parts[0] if len(parts) > 1 else Path(parts[0]).stem


def measured(data: str) -> list[Covered]:
    """The rooms of a data file of coverage.py."""
    read = coverage.Coverage(data_file=data)
    read.load()
    sums: dict[str, Counter[str]] = {}
    for path in read.get_data().measured_files():
        if not Path(path).is_file() or Path(path).suffix != ".py":  # a page's template has lines that run, too
            continue
        room = sums.setdefault(room_of(path), Counter())
        _, statements, _, missing, _ = read.analysis2(path)
        room["lines"] += len(statements)
        room["lines_reached"] += len(statements) - len(missing)
        for exits, taken in read.branch_stats(path).values():
            room["branches"] += exits
            room["branches_reached"] += taken
    names = ("lines", "lines_reached", "branches", "branches_reached")
    return [Covered(room, *(sums[room][name] for name in names)) for room in sorted(sums)]


def table(rooms: Sequence[Covered]) -> str:
    """The rooms as lines of text, those of the core first."""
    lines = [f"{'room':<16}{'lines':>8}{'reached':>10}{'branches':>10}{'taken':>10}"]
    for one in sorted(rooms, key=lambda one: (one.room not in CORE, one.room)):
        mark = "  short" if one.short else "  core" if one.room in CORE else ""
        lines.append(
            f"{one.room:<16}{one.lines:>8}{one.of_lines:>8.1f} %{one.branches:>10}{one.of_branches:>8.1f} %{mark}"
        )
    return "\n".join(lines)


def main(arguments: Sequence[str] | None = None) -> int:
    """Print the table; 1 when a room falls short."""
    named = sys.argv[1:] if arguments is None else arguments
    rooms = measured(named[0] if named else ".coverage")
    print(table(rooms))
    short = [one.room for one in rooms if one.short]
    if short:
        print(f"Below {LEAST:.0f} % of lines or branches, or below what it had: {', '.join(short)}.")
    return 1 if short else 0


if __name__ == "__main__":
    sys.exit(main())
