"""Number words -> every exact value they can mean.

Grammar of one number, after the sign::

    number   = decimal | fraction | whole
    whole    = [whole] scale [["and"] whole] | [group] "hundred" [["and"] group] | group+
    decimal  = [whole] "point" group+ [scale]
    fraction = [whole "and"] [group] denominator [scale]
    group    = digit | teen | tens [digit]

A run of groups is read side by side ('eleven eighty' is 1180), never summed. A run that is no single number has no
meaning here; ``split_values`` then says which values it may hold, and nobody glues them.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from operator import mul
from typing import NamedTuple

from assistant.numerals.figures import as_words, figure_values
from assistant.numerals.plain import Read
from assistant.numerals.shapes import learn, repeats
from assistant.numerals.tokenizer import NUMBER_KINDS, Item, scan
from assistant.numerals.units import shift_point
from assistant.numerals.vocabulary import Vocabulary
from assistant.numerals.wholes import Token, fraction, groups_of, shape_of, whole


class Meaning(NamedTuple):
    """One value that a run of number words can mean."""

    value: Decimal
    """Exact, with trailing zeros as said."""
    why: str
    """'' plain, 'implied' a point left out; the rest want a yes: 'unusual', 'homophone', 'repeat', 'comma'."""


def parser(vocabulary: Vocabulary, *, implied: bool = False) -> Read:
    """A function from a phrase to every value it can mean as one number; to none when it holds anything else.

    Args:
        vocabulary: the compiled grammars.
        implied: whether a left-out point is usual here ('twelve six' for 12.6).

    Returns:
        A function that takes the phrase, heard or typed, and gives pairs as in ``Meaning``.
    """
    return vocabulary.plain.reader(implied=implied, otherwise=lambda words: _by_shape(words, vocabulary, implied))


def _by_shape(words: str, vocabulary: Vocabulary, implied: bool) -> list[Meaning]:
    """By the shape of plain number words, else the long way."""
    quick = vocabulary.quick
    fine, values = "", []
    try:
        for word in words.split():
            kind, value = quick[word]
            fine += kind
            values.append(value)
    except KeyError:
        return _long_way(words, vocabulary, implied)
    if values and values.count(values[0]) > 1 and repeats(list(zip(fine, values, strict=True))):
        return _long_way(words, vocabulary, implied)
    table = vocabulary.shapes["implied" if implied else ""]
    try:
        forms = table[fine]
    except KeyError:
        forms = learn(fine, implied, vocabulary, lambda tokens: _all(tokens, implied))
    if forms is None:
        return _long_way(words, vocabulary, implied)
    if len(forms) == 1 and not forms[0][2]:
        factors, constant, _, why = forms[0]
        return [Meaning(Decimal(sum(map(mul, factors, values), constant)), why)]
    found: list[Meaning] = []
    for factors, constant, places, why in forms:
        exact = Decimal(sum(map(mul, factors, values), constant))
        found.append(Meaning(exact.scaleb(-places) if places else exact, why))
    return found


def _long_way(words: str, vocabulary: Vocabulary, implied: bool) -> list[Meaning]:
    items = scan(words, vocabulary)
    if not items or any(item.kind not in NUMBER_KINDS for item in items):
        return []
    return meanings(items, implied=implied)


def _all(tokens: list[Token], implied: bool) -> list[Meaning]:
    return meanings([Item(kind, value, "", 0, 0) for kind, value in tokens], implied=implied)


def meanings(run: Sequence[Item], *, implied: bool) -> list[Meaning]:
    """Every value that a run of number items can mean as one number, plainest first, each value once."""
    tokens: list[Token] = [(item.kind, item.value) for item in run]
    negative = False
    if tokens and tokens[0][0] == "S":
        negative = tokens[0][1] < 0
        del tokens[0]
    if not tokens:
        return []
    found: list[Meaning] = []
    for variant, flag in _variants(tokens):
        found += [Meaning(value, flag or why) for value, why in _one(variant, implied)]
        found += [Meaning(value, "repeat") for value, _ in _repeated(variant, implied)]
    unique: dict[Decimal, Meaning] = {}
    for meaning in found:
        value = -meaning.value if negative else meaning.value
        if value not in unique or (unique[value].why and not meaning.why):
            unique[value] = Meaning(value, meaning.why)
    return list(unique.values())


def split_values(run: Sequence[Item], *, implied: bool) -> list[Decimal]:
    """The values of a run that is several plain numbers: the split into fewest; empty when there is none or two."""
    count = min(len(run), 14)
    best: list[list[list[Decimal]]] = [[] for _ in range(count + 1)]
    best[0] = [[]]
    for end in range(1, count + 1):
        for start in range(end):
            if not best[start] or (start and run[start].kind in "HKkA"):
                continue
            one = next((m.value for m in meanings(run[start:end], implied=implied) if m.why in ("", "comma")), None)
            if one is not None:
                best[end] += [[*before, one] for before in best[start]]
        fewest = min(map(len, best[end]), default=0)
        best[end] = [split for split in best[end] if len(split) == fewest][:3]
    if len(best[count]) != 1:
        return []
    kinds = [item.kind for item in run]
    half = len(kinds) // 2
    if not set(kinds) - set("DTY") and kinds[:half] != kinds[half:]:
        return []  # 'fourteen six twenty one': nobody can tell where one number ends
    return best[count][0]


def _variants(tokens: list[Token]) -> list[tuple[list[Token], str]]:
    """Readings of the article and of homophones: 'a hundred' is one hundred, 'seven a five' may be 785."""
    kinds = [kind for kind, _ in tokens]
    if not {"X", "h", "M"} & set(kinds):
        return [(tokens, "")]
    plain: list[Token] = []
    eight: list[Token] = []
    flag, differs = "", False
    for at, (kind, value) in enumerate(tokens):
        following = kinds[at + 1] if at + 1 < len(kinds) else ""
        if kind == "X" and following and following in "HKkF":
            plain.append(("D", 1))
            eight.append(("D", 1))
        elif kind == "X" and not following and at and kinds[at - 1] in "FHKk":
            continue
        elif kind == "X":
            differs = True
            eight.append(("D", 8))
            if at:
                flag = "homophone"
                plain.append(("D", 8))
        elif kind == "h":
            flag = "homophone"
            plain.append(("D", value))
            eight.append(("D", value))
        elif kind == "M" or (at and kinds[at - 1] == "M"):
            copies = tokens[at - 1][1] if kind != "M" else 0
            plain += [(kind, value)] * copies
            eight += [(kind, value)] * copies
        else:
            plain.append((kind, value))
            eight.append((kind, value))
    if differs and plain != eight:
        return [(plain, flag), (eight, "homophone")] if plain else [(eight, "homophone")]
    return [(plain, flag)]


def _repeated(tokens: list[Token], implied: bool) -> list[tuple[Decimal, str]]:
    """'twelve forty twelve forty' is 1240 said twice."""
    count = len(tokens)
    for copies in (2, 3):
        size, rest = divmod(count, copies)
        part = tokens[:size]
        if rest or not size or part * copies != tokens:
            continue
        if size >= 3 or any(kind not in "D" for kind, _ in part):
            return [(value, why) for value, why in _one(part, implied) if why in ("", "implied")]
    return []


def _one(tokens: list[Token], implied: bool) -> list[tuple[Decimal, str]]:
    if any(len(kind) > 1 for kind, _ in tokens):
        return []  # a pause stands inside: no single number, and its long name is no run of kinds
    kinds = "".join(kind for kind, _ in tokens)
    if "G" in kinds or "R" in kinds:
        direct = figure_values(tokens)
        if direct is not None:
            return direct
        words = as_words(tokens)
        spaced = set(kinds) == {"G"} and any(value[0] > 9 for _, value in tokens)
        found = _one(words, implied) if words else []
        return [(value, why or ("unusual" if spaced else "")) for value, why in found]
    if "S" in kinds or "M" in kinds:
        return []
    if "F" in kinds:
        return fraction(tokens)
    if "P" in kinds:
        return _decimal(tokens, kinds)
    found = [(Decimal(value), why) for value, why in whole(tokens)]
    if "k" in kinds:
        found += _shorthand(tokens, kinds)
    groups = groups_of(tokens)
    if groups and len(groups) > 1:
        found += _left_out_point(groups, implied)
    return found


def _left_out_point(groups: list[str], implied: bool) -> list[tuple[Decimal, str]]:
    """'twelve six' as 12.6. Where points are not usually left out only the odd shapes have this meaning.

    'Zero four seven' is one of them; four figures or more are a display that shows its leading zeros.
    """
    shape = shape_of(groups)
    if not implied and shape not in ("PS", "P0") and not (shape[0] == "0" and set(shape) - {"0"} and len(shape) < 4):
        return []
    found: list[tuple[Decimal, str]] = []
    for cut in range(1, len(groups)):
        before, after = shape[:cut], shape[cut:]
        if before not in ("0", "S", "P", "SS", "S0") or not (after == "P" or "P" not in after):
            continue
        why = "unusual" if (shape == "P0S" and implied) or (groups[0] == "10" and after == "S") else "implied"
        found.append((Decimal(f"{''.join(groups[:cut])}.{''.join(groups[cut:])}"), why))
    return found


def _decimal(tokens: list[Token], kinds: str) -> list[tuple[Decimal, str]]:
    if kinds.count("P") > 1:
        return []
    at = kinds.index("P")
    left, right = tokens[:at], tokens[at + 1 :]
    power = 0
    if right and right[-1][0] in "Kk":
        power = right[-1][1]
        right = right[:-1]
    groups = groups_of(right)
    if not groups:
        return []
    shape = shape_of(groups)
    if "P" in shape and shape not in ("P", "SP", "0P", "PS", "PP"):
        return []
    odd = "unusual" if shape in ("PS", "PP", "0P") else ""
    wholes = whole(left) if left else [(0, "")]
    digits = "".join(groups)
    return [(shift_point(Decimal(f"{value}.{digits}"), power), why or odd) for value, why in wholes]


def _shorthand(tokens: list[Token], kinds: str) -> list[tuple[Decimal, str]]:
    """'one k eight' is 1.8 k, and 'five hundred milli' half of one."""
    at = kinds.index("k")
    power = tokens[at][1]
    lefts, groups = whole(tokens[:at]), groups_of(tokens[at + 1 :])
    if groups is None:
        return []
    if not groups:
        return [(shift_point(Decimal(value), power), why) for value, why in lefts] if power < 0 else []
    return [(shift_point(Decimal(f"{value}.{''.join(groups)}"), power), "unusual") for value, _ in lefts]
