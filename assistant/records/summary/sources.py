"""Where limits come from, told once under a table and not on each line, and which of them nobody has verified.

A procedure marks a limit that was not held against the published text (``unverified``); a record has that mark behind
the source, as ``from memory``.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from assistant.records.summary.summary import Reading

UNVERIFIED = "\N{DAGGER}"
"""Stands behind limits that nobody has verified."""
NOT_VERIFIED = (
    "Nobody has held this figure against the published text: it is from memory or from a copy. Look it up before you "
    "go by it."
)
"""What the sign means."""
_MARK = re.compile(r"[,;]?\s*\b(?:from memory|seen on secondary pages)\b")


@dataclass(frozen=True, slots=True)
class Footnotes:
    """Each source once, with its sign."""

    signs: Mapping[str, str] = field(default_factory=dict)
    """Source as a record has it to its sign, such as ``a`` or ``b\N{DAGGER}``."""
    lines: tuple[tuple[str, str], ...] = ()
    """Sign and what it stands for, in order."""

    def sign(self, source: str) -> str:
        """What stands behind limits with this source; '' where a record names none."""
        return self.signs.get(source, "")


def footnotes(readings: Iterable[Reading]) -> Footnotes:
    """The sources of the limits that these readings were held against."""
    letters: dict[str, str] = {}
    signs: dict[str, str] = {}
    for reading in readings:
        source = reading.observed.limit_source
        if source and source not in signs:
            plain, unverified = clean(source)
            letter = letters.setdefault(plain, _letter(len(letters)))
            signs[source] = letter + (UNVERIFIED if unverified else "")
    lines = [(letter, plain) for plain, letter in letters.items()]
    if any(sign.endswith(UNVERIFIED) for sign in signs.values()):
        lines.append((UNVERIFIED, NOT_VERIFIED))
    return Footnotes(signs, tuple(lines))


def clean(source: str) -> tuple[str, bool]:
    """A source without the mark that nobody has verified it, and whether it had one."""
    plain = _MARK.sub("", source).strip(" ,;")
    return plain or source, plain != source


def _letter(number: int) -> str:
    """a to z, then aa, ab and so on."""
    more, rest = divmod(number, 26)
    return (_letter(more - 1) if more else "") + chr(ord("a") + rest)
