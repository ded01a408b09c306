"""Ranges and displays that do not settle: two ends are never glued into one number."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from assistant.messages import Ask, Clarification, Outcome, Understanding
from assistant.numerals.number_parser import NumberSpan, number_pairs, number_spans
from assistant.numerals.tokenizer import NUMBER_KINDS, Item
from assistant.numerals.units import Unit
from assistant.numerals.vocabulary import Kind, Vocabulary
from assistant.understanding import clarifications
from assistant.understanding.values.disambiguation import Settler

_MARKS = frozenset({Kind.UNSTEADY, Kind.BETWEEN, Kind.TO, Kind.ABOVE, Kind.BELOW})

_SIDES = frozenset({Kind.ABOVE, Kind.BELOW})


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
        return _above_below(text, items, settler, said, vocabulary)
    ends = _ends(items, settler, said, vocabulary)
    if Kind.UNSTEADY in kinds:
        if ends:
            return Understanding(Outcome.UNSTEADY, text, unit=unit, low_end=min(ends), high_end=max(ends))
        if any(kind in NUMBER_KINDS for kind in kinds):
            return _one_end(text, items, settler, said, vocabulary)
        return Understanding(Outcome.UNSTEADY, text, unit=unit)
    if ends:
        return Understanding(
            Outcome.RANGE, text, unit=unit, low_end=min(ends), high_end=max(ends), confirm=True,
            ask=clarifications.LOW_HIGH, reason="range",
        )  # fmt: skip
    return _refuse(text, settler)


def _one_end(
    text: str, items: Sequence[Item], settler: Settler, said: Unit | None, vocabulary: Vocabulary
) -> Understanding:
    unit = settler.expectation.unit
    between = any(item.kind == Kind.BETWEEN or item.text.endswith("between") for item in items)
    if between or items[-1].kind in ("A", Kind.TO):
        return Understanding(Outcome.INCOMPLETE, text, unit=unit, ask=clarifications.LOW_HIGH, reason="incomplete")
    spans = number_spans(items, vocabulary, settler.unit, implied=settler.implied)
    found = settler.settle(spans[0], settler.fitting(spans[0].unit) or said).values if len(spans) == 1 else ()
    if any(item.kind == Kind.OVER_RANGE for item in items):
        # 'ol eight volts doesn't settle': a lead that comes and goes, or somebody's talk; nobody can tell
        return Understanding(
            Outcome.UNSTEADY, text, unit=unit, values=found[:1], confirm=True, ask=clarifications.IS_IT_RIGHT,
            reason="unusual",
        )  # fmt: skip
    return Understanding(Outcome.UNSTEADY, text, unit=unit, values=found[:1])


def _refuse(text: str, settler: Settler) -> Understanding:
    unit = settler.expectation.unit
    ask = clarifications.again(settler.unit)
    return Understanding(Outcome.NOT_UNDERSTOOD, text, unit=unit, ask=ask, reason="leftover")


def _unit_of(items: Sequence[Item], settler: Settler, vocabulary: Vocabulary) -> Unit | None:
    """The unit said last, when it fits the prompt."""
    units = [vocabulary.units[item.value] for item in items if item.kind == Kind.UNIT]
    return next((unit for unit in map(settler.fitting, reversed(units)) if unit), None)


def _ends(
    items: Sequence[Item], settler: Settler, said: Unit | None, vocabulary: Vocabulary
) -> tuple[Decimal, Decimal] | None:
    """Both ends in the prompt's unit, the first way whose ends the meter could show."""
    pairs: list[tuple[Decimal, Decimal]] = []
    for firsts, second in number_pairs(items, vocabulary, settler.unit, said, implied=settler.implied):
        high, low = _end(second, settler), _end(firsts[0], settler)
        if low is not None and high is not None and low > high:
            low = _end(firsts[-1], settler)  # 'ninety seven and one hundred': the hundred is the second's alone
        if low is not None and high is not None:
            pairs.append((low, high))
    plausible = [pair for pair in pairs if settler.plausible(pair[0]) and settler.plausible(pair[1])]
    best = plausible or pairs
    return best[0] if best else None


def _end(span: NumberSpan, settler: Settler) -> Decimal | None:
    values = settler.settle(span, span.unit).values
    return values[0] if len(values) == 1 else None


def _above_below(
    text: str, items: Sequence[Item], settler: Settler, said: Unit | None, vocabulary: Vocabulary
) -> Understanding:
    ends: dict[str, Decimal] = {}
    follows = [item.kind for item in items[1:]] + [Kind.BELOW]
    items = [  # 'above nine hundred and below twelve hundred': that 'and' belongs to no number
        item for item, kind in zip(items, follows, strict=True) if item.kind != "A" or kind not in _SIDES
    ]
    spans = number_spans(items, vocabulary, settler.unit, implied=settler.implied)
    marks = [at for at, item in enumerate(items) if item.kind in _SIDES]
    for mark, following in zip(marks, [*marks[1:], len(items)], strict=True):
        behind = [span for span in spans if mark < span.at < following]
        found = settler.settle(behind[0], settler.fitting(behind[0].unit) or said).values if len(behind) == 1 else ()
        if found:
            ends[items[mark].kind] = found[0]
    low, high = ends.get(Kind.ABOVE), ends.get(Kind.BELOW)
    unit = settler.expectation.unit
    if low is not None and high is not None and low >= high:
        ask = Clarification(Ask.IMPOSSIBLE_RANGE, (low, high), unit)
        return Understanding(Outcome.NOT_UNDERSTOOD, text, unit=unit, ask=ask, reason="impossible_range")
    ask = clarifications.SHOWN_EXACTLY
    if low is None and high is None:
        return Understanding(Outcome.NOT_UNDERSTOOD, text, unit=unit, ask=ask, reason="leftover")
    return Understanding(Outcome.RANGE, text, unit=unit, low_end=low, high_end=high, confirm=True, ask=ask)
