"""Typed figures, alone and mixed with words ('20 point 5', '200 and 5', '2 hundred')."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from assistant.numerals.units import ends, shift_point, to_decimal

Token = tuple[str, Any]


def figure_values(tokens: Sequence[Token]) -> list[tuple[Decimal, str]] | None:
    """Values of a run that holds figures; None when it must be read as words, an empty list when it has no value."""
    kinds = "".join(kind for kind, _ in tokens)
    values = [value for _, value in tokens]
    if kinds == "R":
        return [(to_decimal(values[0]), "" if ends(values[0]) else "unusual")]
    if kinds == "G":
        return [(values[0][0], _flag(values[0]))]
    if kinds in ("GK", "Gk", "GH"):
        power = 2 if kinds == "GH" else values[1]
        return [(shift_point(values[0][0], power), "unusual" if power < 0 else _flag(values[0]))]
    if kinds in ("GR", "GAR") and values[0][0] == int(values[0][0]) and values[-1] < 1:
        return [(to_decimal(int(values[0][0]) + values[-1]), "")]
    if kinds == "GPG" and values[0][1] == "" and values[2][1] == "" and _is_whole(values[0]) and _is_whole(values[2]):
        return [(Decimal(f"{values[0][0]}.{values[2][0]}"), "")]
    if kinds == "PG" and values[1][1] == "" and _is_whole(values[1]):
        return [(Decimal(f"0.{values[1][0]}"), "")]
    if kinds == "GAG":
        return _sum(values[0], values[2])
    if set(kinds) == {"G"}:
        return _row(values)
    return None


def as_words(tokens: Sequence[Token]) -> list[Token] | None:
    """The same run with its figures below a hundred as number words; None when a figure is larger or not whole."""
    words: list[Token] = []
    for kind, value in tokens:
        if kind != "G":
            words.append((kind, value))
            continue
        number, flavour = value
        if flavour or not _is_whole(value) or number > 99:
            return None
        small = int(number)
        if small < 10:
            words.append(("D", small))
        elif small < 20:
            words.append(("T", small))
        else:
            words.append(("Y", small - small % 10))
            words += [("D", small % 10)] if small % 10 else []
    return words if all(kind != "R" for kind, _ in words) else None


def _flag(figure: tuple[Decimal, str]) -> str:
    return "comma" if figure[1] == "comma" else ""


def _is_whole(figure: tuple[Decimal, str]) -> bool:
    exponent = figure[0].as_tuple().exponent
    return exponent == 0 and figure[1] in ("", "grouped")


def _sum(first: tuple[Decimal, str], second: tuple[Decimal, str]) -> list[tuple[Decimal, str]]:
    """'200 and 5' is 205; the second must fit into the zeros of the first."""
    if not (_is_whole(first) and _is_whole(second)) or not second[0]:
        return []
    text = str(first[0])
    zeros = len(text) - len(text.rstrip("0"))
    return [(first[0] + second[0], "")] if second[0] < 10**zeros and first[0] else []


def _row(figures: Sequence[tuple[Decimal, str]]) -> list[tuple[Decimal, str]] | None:
    """Figures with spaces: '12 400' is grouped by thousands; None for '1 2 0 0' and '12 40', read as words."""
    if any(not _is_whole(figure) for figure in figures):
        return []
    texts = [str(figure[0]) for figure in figures]
    if len(texts[0]) <= 3 and texts[0] != "0" and all(len(text) == 3 for text in texts[1:]):
        return [(Decimal("".join(texts)), "unusual")]
    return None if all(len(text) <= 2 for text in texts) else []
