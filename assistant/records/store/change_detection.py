"""What changed in a records folder since the index was made, told with as little looking as is safe.

* A **glance**: the folder's own time is what it was, so no journal was added, taken away or put in another's place.
  Only unfinished sessions are looked at, whose journals grow where they lie.
* The **names**: the folder's time changed. Names and the places of the files on the disk (which come with the names)
  are summed; when the sum is the old one and that of the newest names that the index lacks, nothing else changed.
* **Closely**: size and time of every journal, when the sum tells of anything else, and once a day: that also finds a
  finished journal that was changed where it lies.
"""

from __future__ import annotations

import contextlib
import heapq
import os
import time
import zlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from operator import mul
from pathlib import Path

from assistant.records.index.journals import Look
from assistant.records.journal.names import SUFFIX
from assistant.records.store.strangers import journals_in

A_DAY = 86_400_000_000_000
GRAIN = 20_000_000
COARSE = 4_000_000_000
"""Nanoseconds: how long a close look holds, and how old a folder's time must be before nothing can hide behind it, on
file systems with fine and with coarse times."""
MANY = 1000
"""Sessions from which looking at each costs more than a glance."""
NEWEST = 64
"""Names that are asked for in the index: a machine records fewer sessions between two looks."""
_SUM = (1 << 64) - 1
Known = Callable[[Sequence[str] | None], Mapping[str, int]]


@dataclass(frozen=True, slots=True)
class _Mark:
    """What a folder was like."""

    stamp: str = ""
    """Its own time in nanoseconds, '' when something may hide behind it."""
    closely: int = 0
    """When each journal was looked at, in nanoseconds; 0 for never."""
    total: int = -1
    """Sum over names and places; -1 when it was not made."""

    @classmethod
    def read(cls, text: str) -> _Mark:
        """From its text; an empty one when it says nothing."""
        parts = text.split("@")
        if len(parts) != 3 or not all(part.lstrip("-").isdigit() for part in parts[1:]):
            return cls()
        return cls(parts[0], int(parts[1]), int(parts[2]))

    def __str__(self) -> str:
        return f"{self.stamp}@{self.closely}@{self.total}"


def look(
    folder: Path, known: Known, left: Mapping[str, int], mark: str, strangers: dict[str, str] | None = None
) -> Look:
    """What changed; see the module. Arguments as for ``Store.look``; ``strangers`` as for ``journals_in``."""
    now, before = time.time_ns(), _Mark.read(mark)
    fresh = 0 <= now - before.closely < A_DAY
    stamp = _stamp(folder)
    if fresh and stamp and stamp == before.stamp:
        return Look(_grown(folder, left), [], mark)
    settled = stamp if _settled(folder, stamp, wait=before.total >= 0) else ""
    if fresh and before.total >= 0:
        new = _added(folder, known, before.total, strangers)
        if new is not None:
            total = (before.total + _places(new)) & _SUM
            names = sorted((name[: -len(SUFFIX)] for name in new), reverse=True)
            return Look([*names, *_grown(folder, left)], [], str(replace(before, stamp=settled, total=total)))
    marked = replace(before, stamp=settled, closely=now)
    return _closely(folder, known(None), before.closely, marked, strangers)


def _grown(folder: Path, left: Mapping[str, int]) -> list[str]:
    """Unfinished sessions whose journals are not as long as they were, the newest first."""
    found = []
    for name, size in left.items():
        with contextlib.suppress(OSError):
            if os.stat(f"{folder}/{name}{SUFFIX}").st_size != size:  # noqa: PTH116 - without an object for each
                found.append(name)
    return sorted(found, reverse=True)


def _added(folder: Path, known: Known, total: int, strangers: dict[str, str] | None) -> dict[str, int] | None:
    """Names and places of the files that were added since; None when that does not explain the folder."""
    there = {entry.name: entry.inode() for entry in journals_in(folder, strangers)}
    newest = heapq.nlargest(NEWEST, there)
    have = known([name[: -len(SUFFIX)] for name in newest])
    new = {name: there[name] for name in newest if name[: -len(SUFFIX)] not in have}
    return new if (_places(there) - _places(new)) & _SUM == total else None


def _closely(
    folder: Path, index: Mapping[str, int], since: int, mark: _Mark, strangers: dict[str, str] | None
) -> Look:
    """Size and time of every journal against the index."""
    there, late, places = {}, [], {}
    for entry in journals_in(folder, strangers):
        with contextlib.suppress(FileNotFoundError):
            found, name = entry.stat(follow_symlinks=False), entry.name[: -len(SUFFIX)]
            there[name] = found.st_size
            places[entry.name] = entry.inode()
            if since and found.st_mtime_ns >= since:
                late.append(name)
    many = len(there) >= MANY
    mark = replace(mark, stamp=mark.stamp if many else "", total=_places(places) if many else -1)
    if there == index:
        return Look(late, [], str(mark))
    stale = sorted((name for name, size in there.items() if index.get(name) != size), reverse=True)
    return Look([*stale, *set(late).difference(stale)], [name for name in index if name not in there], str(mark))


def _places(files: Mapping[str, int]) -> int:
    """One number for names and the places that they have on the disk, the same in any order."""
    total: int = sum(map(mul, map(zlib.crc32, map(str.encode, files)), files.values()))
    return total & _SUM


def _stamp(folder: Path) -> str:
    """The folder's own time; '' when it cannot be told."""
    try:
        return str(folder.stat().st_mtime_ns)
    except OSError:
        return ""


def _settled(folder: Path, stamp: str, *, wait: bool) -> bool:
    """True when whatever is added from now on shows in the folder's time; asked before the folder is read.

    Times have a grain: what is added within the same one does not show. Ours is a tick of the system, a hundredth of
    a second at most, for which it may ``wait``; a file system that keeps whole seconds is known by their look.
    """
    if not stamp:
        return False
    age = time.time_ns() - int(stamp)
    if int(stamp) % 1_000_000_000 == 0:
        return age > COARSE
    if wait and 0 <= age < GRAIN:
        time.sleep((GRAIN - age) / 1e9)
        age = GRAIN
    return age >= GRAIN and _stamp(folder) == stamp
