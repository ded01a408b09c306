"""The short way through plain number phrases.

How the values of a row of number words add up depends on the classes of its words alone: 'eleven hundred eighty' and
'fifteen hundred twenty' are one shape. A shape is worked out once by the full grammar, at probe values, as a sum
``factor * value + ... + constant``; it is kept only when further probes agree with the sum, and phrases whose words
repeat go the long way, since a repeated number is a matter of values.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from decimal import Decimal

from assistant.numerals.vocabulary import Form, Vocabulary

_KINDS = {"Z": "D", "t": "T", "m": "K", "g": "K"}
_PROBES = {
    "D": (2, 3, 4, 5, 6, 7, 8, 9),
    "T": (11, 12, 13, 14, 15, 16, 17, 18),
    "Y": (20, 30, 40, 50, 60, 70, 80, 90),
}
_FIXED = {"Z": 0, "t": 10, "H": 100, "P": 0, "A": 0, "m": 3, "g": 6}
_MOST = 20_000

Token = tuple[str, int]
Full = Callable[[list[Token]], Sequence[tuple[Decimal, str]]]


def learn(shape: str, implied: bool, vocabulary: Vocabulary, full: Full) -> tuple[Form, ...] | None:
    """The meanings of a row of classes as sums, None when it has to go the long way; remembered."""
    table = vocabulary.shapes["implied" if implied else ""]
    forms = _forms(shape, full)
    if len(table) < _MOST:
        table[shape] = forms
    return forms


def repeats(pairs: Sequence[tuple[str, int]]) -> bool:
    """Whether words are said twice or three times over; then what they mean is no matter of their shape alone."""
    size = len(pairs)
    half, third = size // 2, size // 3
    if size > 1 and not size % 2 and pairs[:half] == pairs[half:]:
        return True
    return size > 2 and not size % 3 and pairs[:third] == pairs[third : 2 * third] == pairs[2 * third :]


def _forms(shape: str, full: Full) -> tuple[Form, ...] | None:
    base = [_probe(fine, 0, at) for at, fine in enumerate(shape)]
    first = _scaled(shape, base, full)
    if first is None:
        return None
    factors: list[list[int]] = [[] for _ in first]
    for at, fine in enumerate(shape):
        other = _probe(fine, 1, at)
        step = other - base[at]
        moved = _scaled(shape, [*base[:at], other, *base[at + 1 :]], full) if step else first
        if moved is None or [row[1:] for row in moved] != [row[1:] for row in first]:
            return None
        for row, (before, after) in zip(factors, zip(first, moved, strict=True), strict=True):
            quotient, rest = divmod(after[0] - before[0], step) if step else (0, 0)
            if rest:
                return None
            row.append(quotient)
    forms = tuple(
        (tuple(row), total - sum(f * v for f, v in zip(row, base, strict=True)), places, why)
        for row, (total, places, why) in zip(factors, first, strict=True)
    )
    checks = [[_probe(fine, 2, at) for at, fine in enumerate(shape)]]
    checks.append([_probe(fine, (at + 1) % 3, at) for at, fine in enumerate(shape)])
    agree = all(_scaled(shape, values, full) == [_sum(form, values) for form in forms] for values in checks)
    return forms if agree else None


def _probe(fine: str, which: int, at: int) -> int:
    """One of three values for a place, other ones at neighbouring places, so that no probe repeats its words."""
    values = _PROBES.get(fine)
    return values[(3 * which + at) % len(values)] if values else _FIXED[fine]


def _sum(form: Form, values: Sequence[int]) -> tuple[int, int, str]:
    factors, constant, places, why = form
    return sum(f * v for f, v in zip(factors, values, strict=True)) + constant, places, why


def _scaled(shape: str, values: Sequence[int], full: Full) -> list[tuple[int, int, str]] | None:
    """The full grammar's meanings at these values, as whole numbers of their last decimal place."""
    tokens = [(_KINDS.get(fine, fine), value) for fine, value in zip(shape, values, strict=True)]
    rows: list[tuple[int, int, str]] = []
    for value, why in full(tokens):
        exponent = value.as_tuple().exponent
        if not isinstance(exponent, int) or exponent > 0:
            return None
        rows.append((int(value.scaleb(-exponent)), -exponent, why))
    return rows
