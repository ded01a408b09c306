"""Number words -> every span of them with every value it can mean, in one pass over the items of an utterance.

Grammar of one number, after the sign::

    number   = decimal | fraction | whole
    whole    = [whole] scale [["and"] whole] | [group] "hundred" [["and"] group] | group+
    decimal  = [whole] "point" group+ [scale]
    fraction = [whole "and"] [group] denominator [scale]
    group    = digit | teen | tens [digit]

A row of groups is read side by side ('eleven eighty' is 1180), never summed. A span that is no single number has no
meaning; it then says which values it may hold, and nobody glues them.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import NamedTuple

from assistant.numerals.figures import as_words, figure_values
from assistant.numerals.tokenizer import BREAK, NUMBER_KINDS, Item
from assistant.numerals.units import Unit, shift_point
from assistant.numerals.vocabulary import Kind, Vocabulary
from assistant.numerals.wholes import Token, fraction, groups_of, shape_of, whole

_MOST_WORDS_SPLIT = 14
"""A longer span is not split: no two readings have that many words."""


class Meaning(NamedTuple):
    """One value that a span of number words can mean."""

    value: Decimal
    """Exact, with trailing zeros as said."""
    why: str
    """'' plain, 'implied' a point left out; the rest want a yes: 'unusual', 'homophone', 'repeat', 'comma'."""


class NumberSpan(NamedTuple):
    """Number words in a row, the unit said with them, and what they can mean."""

    items: tuple[Item, ...]
    unit: Unit | None
    """The unit after the words, or the one before them when none follows."""
    meanings: tuple[Meaning, ...]
    """Every value as one number, in that unit, plainest first, each value once."""
    several: tuple[Decimal, ...]
    """Without a meaning: the values of the several plain numbers that the words are; empty when that is not clear."""
    at: int = 0
    """Place of the first word among the items of the utterance."""


def number_spans(
    items: Sequence[Item], vocabulary: Vocabulary, prompt: Unit | None, *, implied: bool
) -> list[NumberSpan]:
    """Every span of number words in an utterance with its unit and its values.

    Args:
        items: the utterance from the tokenizer.
        vocabulary: the compiled grammars.
        prompt: the unit asked for, None for a bare number.
        implied: whether a left-out point is usual at this prompt ('twelve six' for 12.6).
    """
    spans: list[NumberSpan] = []
    current: list[Item] = []
    start = 0
    leading: Unit | None = None

    def close(behind: Unit | None) -> None:
        nonlocal leading
        if current:
            words, unit = _with_denominator(tuple(current), behind or leading, vocabulary, prompt)
            spans.append(span_of(words, unit, implied=points_left_out(unit, prompt, implied), at=start))
            leading = None
            current.clear()
        elif behind:
            leading = behind

    for at, item in enumerate(items):
        if item.kind in NUMBER_KINDS:
            start = start if current else at
            current.append(item)
        else:
            close(vocabulary.units[item.value] if item.kind == Kind.UNIT else None)
    close(None)
    if leading and len(spans) == 1 and spans[0].unit is None:
        implied = points_left_out(leading, prompt, implied)
        spans = [span_of(spans[0].items, leading, implied=implied, at=spans[0].at)]
    return spans


def number_pairs(
    items: Sequence[Item], vocabulary: Vocabulary, prompt: Unit | None, unit: Unit | None, *, implied: bool
) -> list[tuple[tuple[NumberSpan, ...], NumberSpan]]:
    """Every way to read items as the two ends of a range, divided by 'to', by an 'and', or by nothing at all.

    Args:
        items: the utterance from the tokenizer.
        vocabulary: the compiled grammars.
        prompt: the unit asked for, None for a bare number.
        unit: the unit of an end that is said without one, None for that of the prompt.
        implied: whether a left-out point is usual at this prompt.

    Returns:
        First ends and second end of each way. There are two first ends where a scale may belong to both ends
        ('between nine and eleven hundred'): first with it, then without.
    """
    body = [item for item in items if item.kind in NUMBER_KINDS or item.kind in (Kind.TO, Kind.UNIT, BREAK)]
    cuts = [at for at, item in enumerate(body) if item.kind == Kind.TO]
    cuts = cuts or [at for at, item in enumerate(body) if item.kind == "A"]
    found: list[tuple[tuple[NumberSpan, ...], NumberSpan]] = []
    for cut in cuts:
        low, high = _numbers(body[:cut]), _numbers(body[cut + 1 :])
        if any(item.kind not in NUMBER_KINDS for item in (*low, *high)):
            continue
        firsts = [low]
        if low and high and high[-1].kind in "HKk" and all(item.kind in "DTY" for item in low):
            firsts.insert(0, [*low, high[-1]])
        first_unit, second_unit = (_own_unit(part, vocabulary, prompt) or unit for part in (body[:cut], body[cut:]))
        first_implied, second_implied = (points_left_out(one, prompt, implied) for one in (first_unit, second_unit))
        lows = tuple(span_of(first, first_unit, implied=first_implied) for first in firsts)
        found.append((lows, span_of(high, second_unit, implied=second_implied)))
    if not cuts:
        several = _several(_numbers(body), points_left_out(unit, prompt, implied))
        if len(several) == 2:
            first, second = (NumberSpan((), unit, (Meaning(value, ""),), ()) for value in several)
            found.append(((first,), second))
    return found


def _numbers(items: Sequence[Item]) -> list[Item]:
    return [item for item in items if item.kind != Kind.UNIT]


def _own_unit(items: Sequence[Item], vocabulary: Vocabulary, prompt: Unit | None) -> Unit | None:
    """The unit said last, when it fits the prompt."""
    units = [vocabulary.units[item.value] for item in items if item.kind == Kind.UNIT]
    return next((unit for unit in reversed(units) if prompt and unit.dimension == prompt.dimension), None)


def span_of(words: Sequence[Item], unit: Unit | None, *, implied: bool, at: int = 0) -> NumberSpan:
    """Number words as one span, whatever stands around them."""
    found = tuple(_meanings(words, implied))
    return NumberSpan(tuple(words), unit, found, () if found else _several(words, implied), at)


def points_left_out(said: Unit | None, prompt: Unit | None, implied: bool) -> bool:
    """Whether a left-out point is usual with the unit that was said; ``implied`` is whether it is at the prompt."""
    if said is None or prompt is None or said is prompt or said.dimension != prompt.dimension:
        return implied
    return said.implied_point


def _with_denominator(
    words: tuple[Item, ...], unit: Unit | None, vocabulary: Vocabulary, prompt: Unit | None
) -> tuple[tuple[Item, ...], Unit | None]:
    """'seven thirty seconds' is a fraction of an inch: the unit becomes a denominator; thousandths become a unit."""
    length = prompt is not None and prompt.dimension == "length"
    if length and unit is None and len(words) > 1 and words[-1].kind == "F" and words[-1].value == 1000:
        return words[:-1], vocabulary.unit("thou")
    counted = prompt is unit and all(item.kind != "A" for item in words)
    if unit and unit.name == "32nds" and not counted and words[-1].kind not in "FG":
        last = words[-1]
        return (*words, Item("F", 32, "", last.end, last.end)), vocabulary.unit("in")
    return words, unit


def _meanings(run: Sequence[Item], implied: bool) -> list[Meaning]:
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


def _several(run: Sequence[Item], implied: bool) -> tuple[Decimal, ...]:
    """The values of a run that is several plain numbers: the split into fewest; empty when there is none or two."""
    count = len(run)
    if count > _MOST_WORDS_SPLIT:
        return ()
    best: list[list[list[Decimal]]] = [[] for _ in range(count + 1)]
    best[0] = [[]]
    for end in range(1, count + 1):
        for start in range(end):
            if not best[start] or (start and run[start].kind in "HKkA"):
                continue
            one = next((m.value for m in _meanings(run[start:end], implied) if m.why in ("", "comma")), None)
            if one is not None:
                best[end] += [[*before, one] for before in best[start]]
        fewest = min(map(len, best[end]), default=0)
        best[end] = [split for split in best[end] if len(split) == fewest][:3]
    if len(best[count]) != 1:
        return ()
    kinds = [item.kind for item in run]
    half = len(kinds) // 2
    if not set(kinds) - set("DTY") and kinds[:half] != kinds[half:]:
        return ()  # 'fourteen six twenty one': nobody can tell where one number ends
    return tuple(best[count][0])


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
        return []  # a pause inside: not one number, and no kind of one letter as 'kinds' needs it
    kinds = "".join(kind for kind, _ in tokens)
    if "G" in kinds or "R" in kinds:
        direct = figure_values(tokens)
        if direct is not None:
            return direct
        words = as_words(tokens)
        spaced = set(kinds) == {"G"} and any(figure.value > 9 for _, figure in tokens)
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
