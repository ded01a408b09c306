"""What a line of a journal may hold, far beyond whatever a session writes: past it a line is taken for damaged.

A hash shows that a line is as somebody wrote it, not that it was this program. A number with a million digits, or one
that no clock, meter or count can show, would stop whoever shows it or reckons with it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import fields, is_dataclass
from datetime import datetime
from decimal import Decimal
from enum import Enum
from functools import cache
from typing import Annotated, Any, get_args, get_type_hints

import msgspec

JOURNAL_MOST = 64 << 20
"""Bytes of a journal: a day's session has two or three million."""
LINES_MOST = 200_000
"""Lines of a journal that are read; a session of a working day has some two thousand."""
LINE_MOST = 4 << 20
"""Bytes of a line: the longest, a header, holds a procedure file of some ten thousand."""
SECONDS_MOST = 1e9
"""Thirty years."""
NUMBER_MOST = 10**12
"""Of counts, and of numbers that are floats."""
DIGITS_MOST, POWER_MOST = 60, 30
"""Digits of an exact number, and powers of ten between its first digit and its point: a reading has some thirty."""

_SHAPES = bytes.maketrans(b"123456789_ABCDEFGHIJKLMNOPQRSTUVWXYZ", b"000000000eabcdefghijklmnopqrstuvwxyz")
"""Digits as one sign, letters as small ones, and what may part digits as the sign of a power."""
_RUN, _FRACTION, _POWER = b"0" * 13, b"0" * 41, 25
"""Too many digits before a point, and behind one, where not all of so many first ones may be zeros."""

Sequence = Annotated[int, msgspec.Meta(ge=0, le=10**9)]
Count = Annotated[int, msgspec.Meta(ge=0, le=10**9)]
Seconds = Annotated[float, msgspec.Meta(ge=0, le=SECONDS_MOST)]


def plainly_within(pieces: Iterable[msgspec.Raw]) -> bool:
    """Whether a glance at the text already shows that ``check_numbers`` would find nothing in its values.

    Nearly all numbers are short, and looking at each takes a third of the time in which a journal is read. Not at a
    glance: thirteen digits in a row before a point or very many behind it, a power of ten, digits parted by
    underscores, what may be NaN or Infinity, and signs that are written as escapes or in another script.
    """
    raw = b" ".join(pieces)
    shapes = raw.translate(_SHAPES)
    if b"0e" in shapes or b"e0" in shapes or b"nan" in shapes or b"inf" in shapes:
        return False
    at = shapes.find(_RUN)
    while at >= 0:
        behind_point = shapes[at - 1 : at] == b"."
        if not behind_point or shapes.startswith(_FRACTION, at) or not raw[at : at + _POWER].strip(b"0"):
            return False
        run = shapes[at : at + len(_FRACTION)]
        at = shapes.find(_RUN, at + len(run) - len(run.lstrip(b"0")))
    return raw.isascii() and b"\\" not in raw


def check_numbers(value: Any) -> None:
    """Every number in a fact, a decision or a header is one that can be shown and reckoned with.

    Raises:
        ValueError: one is not.
    """
    kind = value.__class__
    if kind is float or kind is int:
        if not -NUMBER_MOST <= value <= NUMBER_MOST:
            raise ValueError("a number in it is out of all bounds")
    elif kind is Decimal:
        if not value.is_finite():
            raise ValueError("not a number")
        if not -POWER_MOST <= value.adjusted() <= POWER_MOST or len(str(value)) > DIGITS_MOST:
            raise ValueError("a number in it is out of all bounds")
    elif kind is tuple or kind is list:
        for each in value:
            check_numbers(each)
    elif kind is dict:
        for each in value.values():
            check_numbers(each)
    else:
        for name in _numeric(kind):
            held = getattr(value, name)
            if held is not None:
                check_numbers(held)


@cache
def _numeric(kind: type) -> tuple[str, ...]:
    """Fields of a class that can hold a number, at any depth."""
    if not is_dataclass(kind):
        return ()
    hints = get_type_hints(kind)
    return tuple(each.name for each in fields(kind) if _holds_number(hints[each.name]))


def _holds_number(hint: Any) -> bool:
    if isinstance(hint, type) and not get_args(hint):
        if issubclass(hint, Enum | str | bool | type(None)):
            return False
        return not is_dataclass(hint) or bool(_numeric(hint))
    return any(_holds_number(each) for each in get_args(hint)) if get_args(hint) else True


def check_time(text: str) -> None:
    """A wall time that can be reckoned with.

    Raises:
        ValueError: it is none.
    """
    if not 1970 <= datetime.fromisoformat(text).year <= 9000:
        raise ValueError("started: no time of this age")
