"""Ranges and displays that do not settle: two ends are never glued into one number."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from assistant.messages import Ask, Clarification, Outcome, Understanding
from assistant.numerals.number_parser import split_values
from assistant.numerals.tokenizer import BREAK, NUMBER_KINDS, Item
from assistant.numerals.units import Unit
from assistant.numerals.vocabulary import Kind, Vocabulary
from assistant.understanding import clarifications
from assistant.understanding.disambiguation import Settler

_MARKS = frozenset({Kind.UNSTEADY, Kind.BETWEEN, Kind.TO, Kind.ABOVE, Kind.BELOW})


def range_of(text: str, items: Sequence[Item], settler: Settler, vocabulary: Vocabulary) -> Understanding | None:
    """A range or an unsteady reading; None when nothing in the utterance says that it is one."""
    kinds = [item.kind for item in items]
    if not _MARKS & set(kinds):
        return None
    unit = settler.expectation.unit
    if unit != "32nds":
        items = [item._replace(kind="F", value=32) if item.value == "32nds" else item for item in items]
    said = _unit_of(items, settler, vocabulary)
    if Kind.ABOVE in kinds or Kind.BELOW in kinds:
        return _above_below(text, items, settler, said)
    ends = _ends(items, settler, said)
    if Kind.UNSTEADY in kinds:
        if ends:
            return Understanding(Outcome.UNSTEADY, text, unit=unit, low_end=min(ends), high_end=max(ends))
        if any(kind in NUMBER_KINDS for kind in kinds):
            return _one_end(text, items, settler, said)
        return Understanding(Outcome.UNSTEADY, text, unit=unit)
    if ends:
        return Understanding(
            Outcome.RANGE, text, unit=unit, low_end=min(ends), high_end=max(ends), confirm=True,
            ask=clarifications.LOW_HIGH, reason="range",
        )  # fmt: skip
    return _refuse(text, settler)


def _one_end(text: str, items: Sequence[Item], settler: Settler, said: Unit | None) -> Understanding:
    unit = settler.expectation.unit
    between = any(item.kind == Kind.BETWEEN or item.text.endswith("between") for item in items)
    if between or items[-1].kind in ("A", Kind.TO):
        return Understanding(Outcome.INCOMPLETE, text, unit=unit, ask=clarifications.LOW_HIGH, reason="incomplete")
    run = [item for item in items if item.kind in NUMBER_KINDS]
    found = settler.settle(run, said).values
    return Understanding(Outcome.UNSTEADY, text, unit=unit, values=found[:1])


def _refuse(text: str, settler: Settler) -> Understanding:
    unit = settler.expectation.unit
    ask = clarifications.again(settler.unit)
    return Understanding(Outcome.NOT_UNDERSTOOD, text, unit=unit, ask=ask, reason="leftover")


def _unit_of(items: Sequence[Item], settler: Settler, vocabulary: Vocabulary) -> Unit | None:
    """The unit said last, when it fits the prompt."""
    for item in reversed(items):
        if item.kind == Kind.UNIT:
            found = vocabulary.units[item.value]
            if settler.unit and found.dimension == settler.unit.dimension:
                return found
    return None


def _ends(items: Sequence[Item], settler: Settler, said: Unit | None) -> tuple[Decimal, Decimal] | None:
    """Both ends, divided by 'to', or by the one 'and' that leaves a number on either side."""
    body = [item for item in items if item.kind in NUMBER_KINDS or item.kind == Kind.TO or item.kind == BREAK]
    cuts = [at for at, item in enumerate(body) if item.kind == Kind.TO]
    if not cuts:
        cuts = [at for at, item in enumerate(body) if item.kind == "A"]
    pairs: list[tuple[Decimal, Decimal]] = []
    for cut in cuts:
        low_part, high_part = body[:cut], body[cut + 1 :]
        high = _end(high_part, settler, said)
        low = _end([*low_part, *_shared_scale(low_part, high_part)], settler, said)
        if low is not None and high is not None and low > high:
            low = _end(low_part, settler, said)  # 'ninety seven and one hundred': the hundred is the second's alone
        if low is not None and high is not None:
            pairs.append((low, high))
    if not pairs and not cuts:
        values = split_values(body, implied=settler.implied)
        pairs = [(values[0], values[1])] if len(values) == 2 else []
    plausible = [pair for pair in pairs if settler.plausible(pair[0]) and settler.plausible(pair[1])]
    best = plausible or pairs
    return best[0] if best else None


def _shared_scale(low: Sequence[Item], high: Sequence[Item]) -> list[Item]:
    """'between nine and eleven hundred': the hundred belongs to both ends."""
    if high and high[-1].kind in "HKk" and low and all(item.kind in "DTY" for item in low):
        return [high[-1]]
    return []


def _end(part: Sequence[Item], settler: Settler, said: Unit | None) -> Decimal | None:
    if any(item.kind not in NUMBER_KINDS for item in part):
        return None
    values = settler.settle(part, said).values
    return values[0] if len(values) == 1 else None


def _above_below(text: str, items: Sequence[Item], settler: Settler, said: Unit | None) -> Understanding:
    ends: dict[str, Decimal] = {}
    mark, run = "", list[Item]()
    for item in [*items, Item("END", None, "", 0, 0)]:
        if item.kind in (Kind.ABOVE, Kind.BELOW, "END"):
            while run and run[-1].kind == "A":
                run.pop()
            found = settler.settle(run, said).values if run else ()
            if mark and found:
                ends[mark] = found[0]
            mark, run = item.kind, []
        elif item.kind in NUMBER_KINDS:
            run.append(item)
    low, high = ends.get(Kind.ABOVE), ends.get(Kind.BELOW)
    unit = settler.expectation.unit
    if low is not None and high is not None and low >= high:
        ask = Clarification(Ask.IMPOSSIBLE_RANGE, (low, high), unit)
        return Understanding(Outcome.NOT_UNDERSTOOD, text, unit=unit, ask=ask, reason="impossible_range")
    ask = clarifications.SHOWN_EXACTLY
    if low is None and high is None:
        return Understanding(Outcome.NOT_UNDERSTOOD, text, unit=unit, ask=ask, reason="leftover")
    return Understanding(Outcome.RANGE, text, unit=unit, low_end=low, high_end=high, confirm=True, ask=ask)
