"""Typed figures, alone and mixed with words ('20 point 5', '200 and 5', '2 hundred')."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from assistant.numerals.tokenizer import Figure
from assistant.numerals.units import ends, shift_point, to_decimal
from assistant.numerals.wholes import Token


def figure_values(tokens: Sequence[Token]) -> list[tuple[Decimal, str]] | None:
    """Values of a run that holds figures; None when it must be read as words, an empty list when it has no value."""
    kinds = "".join(kind for kind, _ in tokens)
    values = [value for _, value in tokens]
    if kinds == "R":
        return [(to_decimal(values[0]), "" if ends(values[0]) else "unusual")]
    if kinds == "G":
        return [(values[0].value, _why(values[0]))]
    if kinds in ("GK", "Gk", "GH"):
        power = 2 if kinds == "GH" else values[1]
        return [(shift_point(values[0].value, power), "unusual" if power < 0 else _why(values[0]))]
    if kinds in ("GR", "GAR") and values[0].value == int(values[0].value) and values[-1] < 1:
        return [(to_decimal(int(values[0].value) + values[-1]), "")]
    if kinds == "GPG" and all(_is_whole(figure) and not figure.form for figure in (values[0], values[2])):
        return [(Decimal(f"{values[0].digits}.{values[2].digits}"), "")]
    if kinds == "PG" and _is_whole(values[1]) and not values[1].form:
        return [(Decimal(f"0.{values[1].digits}"), "")]
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
        if value.form or not _is_whole(value) or len(value.digits) > 2:
            return None
        small = int(value.value)
        if small < 10:
            words += [("D", int(digit)) for digit in value.digits]
        elif small < 20:
            words.append(("T", small))
        else:
            words.append(("Y", small - small % 10))
            words += [("D", small % 10)] if small % 10 else []
    return words if all(kind != "R" for kind, _ in words) else None


def _why(figure: Figure) -> str:
    return "comma" if figure.form == "comma" else ""


def _is_whole(figure: Figure) -> bool:
    return figure.digits.isdecimal() and figure.form in ("", "grouped")


def _sum(first: Figure, second: Figure) -> list[tuple[Decimal, str]]:
    """'200 and 5' is 205; the second number must fit into the trailing zeros of the first."""
    if not (_is_whole(first) and _is_whole(second)) or not second.value:
        return []
    zeros = len(first.digits) - len(first.digits.rstrip("0"))
    return [(first.value + second.value, "")] if second.value < 10**zeros and first.value else []


def _row(figures: Sequence[Figure]) -> list[tuple[Decimal, str]] | None:
    """Figures with spaces: '12 400' is grouped by thousands; None for '1 2 0 0' and '12 40', read as words."""
    if any(not _is_whole(figure) for figure in figures):
        return []
    texts = [figure.digits for figure in figures]
    if len(texts[0]) <= 3 and texts[0][0] != "0" and all(len(text) == 3 for text in texts[1:]):
        return [(Decimal("".join(texts)), "unusual")]
    return None if all(len(text) <= 2 for text in texts) else []
