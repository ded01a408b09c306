"""Whole numbers and fractions from number tokens: the parts of the grammar in ``number_parser``.

A value comes with '' when it is said in a usual way, 'unusual' when a yes is wanted.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Any

from assistant.numerals.units import to_decimal

Token = tuple[str, Any]
"""Class and value of one number word, see ``vocabulary.NumberWord``."""

_NATURAL = frozenset({"P", "SP", "PP", "P0S", "P00"})
_UNUSUAL = frozenset({"PS", "P0", "SSP", "PSS", "SPS", "S0P", "0SP", "0P", "PPS"})


def groups_of(tokens: Sequence[Token]) -> list[str] | None:
    """Digits of each group; None when a token is no digit, teen or tens."""
    groups: list[str] = []
    tens = 0
    for kind, value in tokens:
        if kind == "D":
            if tens and value:
                groups[-1] = str(tens + value)
            else:
                groups.append(str(value))
            tens = 0
        elif kind in "TY":
            groups.append(str(value))
            tens = value if kind == "Y" else 0
        else:
            return None
    return groups


def shape_of(groups: Sequence[str]) -> str:
    """Pattern of groups: 0 zero, S single digit, P pair."""
    return "".join("P" if len(group) == 2 else ("0" if group == "0" else "S") for group in groups)


def _side_by_side(groups: Sequence[str]) -> list[tuple[int, str]]:
    """A run of groups as one whole number."""
    if len(groups) == 1:
        return [(int(groups[0]), "")]
    shape = shape_of(groups)
    if "P" not in shape:
        if len(groups) > 9:
            return []
        return [(int("".join(groups)), "unusual" if shape[0] == "0" or len(groups) > 6 else "")]
    if shape in _NATURAL:
        return [(int("".join(groups)), "")]
    return [(int("".join(groups)), "unusual")] if shape in _UNUSUAL else []


def whole(tokens: Sequence[Token]) -> list[tuple[int, str]]:
    """Every whole number that the tokens can mean; empty when a word is left over."""
    scales = [value for kind, value in tokens if kind in "Kk"]
    if scales:
        return _scaled(tokens, max(scales)) if min(scales) > 0 else []
    hundreds = [at for at, (kind, _) in enumerate(tokens) if kind == "H"]
    if len(hundreds) > 1:
        return []
    if hundreds:
        return _hundreds(tokens, hundreds[0])
    groups = groups_of(tokens)
    return _side_by_side(groups) if groups else []


def _scaled(tokens: Sequence[Token], power: int) -> list[tuple[int, str]]:
    places = [at for at, (kind, value) in enumerate(tokens) if kind in "Kk" and value == power]
    if len(places) > 1:
        return []
    at, scale = places[0], 10**power
    if not at and tokens[0][0] == "k":
        return []  # 'thousand' may stand for one thousand; a lone 'k' has lost its number
    lefts = whole(tokens[:at]) if at else [(1, "")]
    rest = tokens[at + 1 :]
    joined = bool(rest) and rest[0][0] == "A"
    rest = rest[1:] if joined else rest
    if not rest:
        return [] if joined else [(left * scale, why) for left, why in lefts if left]
    single = groups_of(rest)
    odd = bool(single) and len(single or ()) > 1 and shape_of(single or ()) not in ("0S", "00S", "0P")
    return [
        (left * scale + right, why or more or ("unusual" if odd else ""))
        for left, why in lefts
        for right, more in _loose(rest)
        if left and 0 < right < scale
    ]


def _hundreds(tokens: Sequence[Token], at: int) -> list[tuple[int, str]]:
    groups = groups_of(tokens[:at])
    if groups is None or len(groups) > 1 or groups == ["0"]:
        return []
    left = int(groups[0]) if groups else 1
    why = "unusual" if left > 10 and left % 10 == 0 else ""
    rest = tokens[at + 1 :]
    joined = bool(rest) and rest[0][0] == "A"
    rest = rest[1:] if joined else rest
    if not rest:
        return [] if joined else [(left * 100, why)]
    return [(left * 100 + right, why or more) for right, more in _loose(rest) if 0 < right < 100]


def _loose(tokens: Sequence[Token]) -> list[tuple[int, str]]:
    """What may follow a hundred or a thousand; 'oh five' is five there."""
    start = 0
    while start < len(tokens) - 1 and tokens[start] == ("D", 0):
        start += 1
    return whole(tokens[start:])


def fraction(tokens: list[Token]) -> list[tuple[Decimal, str]]:
    """Halves to thousandths: 'two and a half', 'one and three eighths', 'one and a half thousand'."""
    power = 0
    if tokens[-1][0] in "Kk":
        power = tokens[-1][1]
        tokens = tokens[:-1]
    elif tokens[-1][0] == "H":
        power = 2
        tokens = tokens[:-1]
    if not tokens or tokens[-1][0] != "F" or any(kind == "F" for kind, _ in tokens[:-1]):
        return []
    bottom, before = tokens[-1][1], tokens[:-1]
    found: list[tuple[Decimal, str]] = []
    for units, top, why in _parts(before, bottom):
        if 0 < top < bottom or (not units and top and bottom == 32):
            ratio = (units + Fraction(top, bottom)) * Fraction(10) ** power
            found.append((to_decimal(ratio), why or ("unusual" if bottom == 3 else "")))
    return found


def _parts(before: list[Token], bottom: int) -> list[tuple[int, int, str]]:
    """Whole part and numerator in front of a denominator."""
    if not before:
        return [(0, 1, "")]
    found: list[tuple[int, int, str]] = [(0, top, why) for top, why in whole(before)]
    for at, (kind, _) in enumerate(before):
        if kind == "A":
            tops = whole(before[at + 1 :]) if before[at + 1 :] else [(1, "")]
            found += [(units, top, why or more) for units, why in whole(before[:at]) for top, more in tops]
    if len(before) > 1 and bottom <= 32:
        found += [(units, top, "unusual") for units, _ in whole(before[:-1]) for top, _ in whole(before[-1:])]
    return found
