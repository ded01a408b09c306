"""One utterance at a prompt for a reading -> what it was.

Every word must have a part in the answer: number, unit, display, repair, or one of the words that may stand around a
reading. A word left over means that it is asked again.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from assistant.messages import Clarification, Command, Expectation, Outcome, Understanding
from assistant.numerals.number_parser import NumberSpan, number_spans
from assistant.numerals.tokenizer import BREAK, NUMBER_KINDS, UNKNOWN, WORD, Item, scan
from assistant.numerals.units import Unit
from assistant.numerals.vocabulary import Kind, Vocabulary
from assistant.understanding import clarifications
from assistant.understanding.clauses.clause import Spoken
from assistant.understanding.clauses.spoken import spoken
from assistant.understanding.commands import command_of
from assistant.understanding.values.disambiguation import Settler
from assistant.understanding.values.number_spans import fractions_first, join_thousands, tidy, unknown_inside
from assistant.understanding.values.ranges import range_of

_TAKING_BACK = {Command.WITHDRAW, Command.CORRECTION, Command.NO}
_OPEN_ENDS = frozenset("PASM")


_MOST_LEFT_OVER = 3
"""Words without a role beside a value: with more of them it was no answer."""
_AGAIN = frozenset({"leftover", "unknown_word", "unit"})
BY_COST = frozenset({"condemns", "twin"})
"""Reasons of words alone for which a yes is asked only when a mistake would cost more than asking."""


def understand_reading(text: str, expectation: Expectation, vocabulary: Vocabulary) -> Understanding:
    """What one utterance means at a prompt for a reading."""
    found = explained_reading(text, expectation, vocabulary)[0]
    if found.outcome is Outcome.COMMAND and found.withdrawn:
        return _remarked_on(text, expectation, vocabulary) or found
    return found


_NOT_AS_IT_SHOULD = re.compile(
    r"[\s,.;:!-]+(?:man|well|boy|dang|and|but)?[\s,]*\b(?:that|this|it)(?:'s|\s+is|\s+just)?\s*"
    r"(?:ain't|aint|isn't|isnt|not|can't be|cant be|cannot be|(?:don't|doesn't) (?:look|seem|sound))\s+"
    r"(?:right|good|normal)(?: at all)?[\s.!]*$",
    re.IGNORECASE,
)
"""Behind a number: what somebody thinks of the truck."""
_SAYS_NO = re.compile(r"\b(?:no|nope|nah|wait|sorry|oops|whoops|scratch|hang on|hold on)[\s,.;:!-]*$", re.IGNORECASE)


def _remarked_on(text: str, expectation: Expectation, vocabulary: Vocabulary) -> Understanding | None:
    """'Nine point one, that ain't right': a reading and a remark, asked about; behind a 'no' it is none."""
    remark = _NOT_AS_IT_SHOULD.search(text)
    if remark is None or _SAYS_NO.search(text[: remark.start()]):
        return None
    found = explained_reading(text[: remark.start()], expectation, vocabulary)[0]
    if found.outcome is not Outcome.READING or found.value is None:
        return None
    ask = clarifications.right(found.value, expectation.unit)
    return replace(found, heard=text, confirm=True, reason="leftover", ask=ask)


def explained_reading(text: str, expectation: Expectation, vocabulary: Vocabulary) -> tuple[Understanding, Spoken]:
    """What one utterance means at a prompt for a reading, and the clauses that it was divided into."""
    unit = vocabulary.unit(expectation.unit)
    dimension = unit.dimension if unit else ""
    items = scan(text, vocabulary, dimension)
    said = spoken(text, items, vocabulary, dimension=dimension, place=expectation.prompt.place or "")
    plain = _Reader(text, expectation, vocabulary, unit).read(tidy(items))
    commanded = plain.outcome is Outcome.COMMAND and not any(clause.valued for clause in said.clauses)
    if commanded or (not said.marked and not (plain.outcome is Outcome.NOT_UNDERSTOOD and plain.reason in _AGAIN)):
        return plain, said
    return _among_words(text, said, plain, expectation, vocabulary, unit), said


def _among_words(
    text: str,
    said: Spoken,
    plain: Understanding,
    expectation: Expectation,
    vocabulary: Vocabulary,
    unit: Unit | None,
) -> Understanding:
    """The answer among other words: counted when every word has a role, else asked about."""
    if said.refused:
        ask = clarifications.BY_ROLE.get(said.refused, clarifications.again(unit))
        return Understanding(Outcome.NOT_UNDERSTOOD, text, unit=expectation.unit, ask=ask, reason=said.refused)
    if said.zero and not said.answer.strip(" ,zero0.") and len(said.left_over) <= _MOST_LEFT_OVER:
        zero = Decimal(0)
        return Understanding(
            Outcome.READING, text, value=zero, values=(zero,), unit=expectation.unit, confirm=True, reason="state",
            ask=clarifications.right(zero, expectation.unit),
        )  # fmt: skip
    if said.zero or not any(clause.valued for clause in said.clauses):
        return plain
    items = scan(said.answer, vocabulary, unit.dimension if unit else "")
    found = _Reader(said.answer, expectation, vocabulary, unit).read(tidy(items))
    at = found.said_at
    place = None if at is None else (said.origin[at[0]], said.origin[at[1] - 1] + 1)
    found = replace(found, heard=text, said_at=place)
    return _with_doubt(found, said, expectation, unit)


def _with_doubt(found: Understanding, said: Spoken, expectation: Expectation, unit: Unit | None) -> Understanding:
    """Nothing counts silently beside a word that has no role, or beside a clause that may take it back."""
    if not said.left_over and not said.doubt:
        return found
    reason = said.doubt or "leftover"
    taken = found.outcome in (Outcome.READING, Outcome.OVER_RANGE, Outcome.UNSTEADY, Outcome.NOTHING)
    strange = any(not word.replace("'", "").isalpha() for word in said.left_over) or said.like_a_unit
    if found.outcome is Outcome.COMMAND or len(said.left_over) > _MOST_LEFT_OVER or strange:
        return Understanding(
            Outcome.NOT_UNDERSTOOD, found.heard, unit=found.unit, reason="leftover",
            ask=clarifications.again(unit),
        )  # fmt: skip
    if not taken or (found.confirm and found.reason not in BY_COST):
        return found  # what a mistake costs is no reason beside a word that nobody can place
    ask = clarifications.IS_IT_RIGHT
    if found.value is not None:
        ask = clarifications.right(found.value, expectation.unit)
    elif found.outcome is Outcome.OVER_RANGE:
        ask = clarifications.OVER_RANGE
    return replace(found, confirm=True, reason=reason, ask=ask)


class _Reader:
    """Reads the items of one utterance at one prompt."""

    def __init__(self, text: str, expectation: Expectation, vocabulary: Vocabulary, unit: Unit | None) -> None:
        self.text, self.expectation, self.vocabulary, self.unit = text, expectation, vocabulary, unit
        self.settler = Settler(expectation, unit)

    def read(self, items: list[Item]) -> Understanding:
        """The whole utterance."""
        items = fractions_first(items)
        has_number = any(item.kind in NUMBER_KINDS and item.kind not in "XA" for item in items)
        if not has_number or _is_sign_alone(items):
            command = command_of(self.text, items, self.vocabulary)
            if command:
                return command
        if has_number:
            repaired = self._repair(items)
            if repaired:
                return repaired
        return self._plain(items)

    def _repair(self, items: list[Item]) -> Understanding | None:
        """'eleven hundred, I mean twelve hundred': the value behind the last marker counts."""
        marks = [at for at, item in enumerate(items) if _takes_back(item)]
        if not marks:
            return None
        last = marks[-1]
        before = [item for item in items[:last] if not _takes_back(item)]
        after = [item for item in items[last + 1 :] if item.kind != BREAK]
        withdrawn = self._values(before)
        if any(item.kind == WORD for item in before):
            return self._refuse("leftover")
        command = items[last].value if items[last].kind == Kind.COMMAND else None
        if not after:
            if command is None:
                return self._make(
                    Outcome.INCOMPLETE, withdrawn=withdrawn, ask=clarifications.REST, reason="incomplete"
                )
            kept = Command.WITHDRAW if command == Command.NO else Command(command)
            return self._make(Outcome.COMMAND, command=kept, withdrawn=withdrawn)
        found = self._plain(after)
        if found.outcome is Outcome.NOT_UNDERSTOOD:
            return found
        if found.outcome is Outcome.UNSTEADY and found.low_end is None and before and not found.confirm:
            # 'ol eight, wrong, doesn't settle': nothing was read off, and what came before it is talk as likely
            found = replace(found, confirm=True, reason="unusual", ask=clarifications.IS_IT_RIGHT)
        marker = Command.CORRECTION if command or not before else None
        return replace(found, withdrawn=withdrawn, command=marker)

    def _values(self, items: Sequence[Item]) -> tuple[Decimal, ...]:
        found = [self.settler.settle(span, self.settler.fitting(span.unit)) for span in self._spans(items)]
        return tuple(settled.values[0] for settled in found if settled.values)

    def _spans(self, items: Sequence[Item]) -> list[NumberSpan]:
        return number_spans(items, self.vocabulary, self.unit, implied=self.settler.implied)

    def _unit_unused(self, spans: Sequence[NumberSpan], items: Sequence[Item]) -> bool:
        """Whether a unit was said that belongs to no number."""
        said = {item.value for item in items if item.kind == Kind.UNIT}
        used = {span.unit.name for span in spans if span.unit}
        if not spans:
            return any(self.settler.fitting(self.vocabulary.units[name]) is None for name in said)
        return not said <= (used | {"32nds"})

    def _unsaid_unit(self, span: NumberSpan) -> Unit | None:
        """'one point two k' is ohms at a prompt for kilohms, and '5/32' inches at one for 32nds."""
        if span.unit or not self.unit or self.unit.factor == 1:
            return None
        kinds = {item.kind for item in span.items}
        if "R" in kinds and self.unit.dimension == "length":
            return self.vocabulary.unit("in")
        if "k" not in kinds:
            return None
        units = self.vocabulary.units.values()
        return next((one for one in units if one.dimension == self.unit.dimension and one.factor == 1), None)

    def _plain(self, items: list[Item]) -> Understanding:
        """An utterance without repairs."""
        items = [item for item in items if not (item.kind == Kind.COMMAND and item.value == Command.YES)]
        if any(item.kind in (WORD, Kind.COMMAND, Kind.REPAIR) for item in items):
            return self._refuse("leftover")
        items, joined = join_thousands(items)
        found = range_of(self.text, items, self.settler, self.vocabulary)
        if found:
            return found
        if unknown_inside(items):
            return self._refuse("unknown_word")
        displays = {item.kind for item in items} & {Kind.OVER_RANGE, Kind.NOTHING}
        spans = self._spans(items)
        if self._unit_unused(spans, items):
            return self._refuse("unit")
        if displays:
            return self._display(displays, spans, items)
        if not spans:
            return self._refuse("unknown_word" if any(item.kind == UNKNOWN for item in items) else "leftover")
        approximate = any(item.kind == Kind.APPROXIMATE for item in items)
        found = self._values_of(spans, approximate)
        if joined and found.value is not None and not found.confirm:
            found = replace(found, confirm=True, reason="unusual", ask=self._right(found.value))
        return self._beside_unknown(found, items)

    def _display(self, displays: set[str], spans: Sequence[NumberSpan], items: Sequence[Item]) -> Understanding:
        if spans or len(displays) > 1:
            return self._refuse("leftover")
        unknown = any(item.kind == UNKNOWN for item in items)
        if Kind.NOTHING in displays:
            return self._make(Outcome.NOTHING, confirm=unknown)
        condemns = self.expectation.over_range == "bad" or (
            not self.expectation.over_range and self.expectation.high is not None
        )
        hedged = any(item.kind == Kind.APPROXIMATE for item in items)
        why = "unknown_word" if unknown else "approximate" if hedged else "condemns" if condemns else ""
        return self._make(
            Outcome.OVER_RANGE, confirm=bool(why), reason=why, ask=clarifications.OVER_RANGE if why else None
        )

    def _values_of(self, spans: Sequence[NumberSpan], approximate: bool) -> Understanding:
        if len(spans) == 1:
            return self._value_of(spans[0], approximate)
        found = [self._value_of(span, approximate) for span in spans]
        values = [one.value for one in found]
        if len(set(values)) == 1 and values[0] is not None:
            return replace(found[0], confirm=True, reason="repeat", ask=self._right(values[0]))
        if len(spans) == 2 and None not in values:
            return self._choose([value for value in values if value is not None], "two_values")
        return replace(self._refuse("several_values"), ask=clarifications.ONE_AT_A_TIME)

    def _value_of(self, span: NumberSpan, approximate: bool) -> Understanding:
        """One span of number words."""
        said = self.settler.fitting(span.unit) or self._unsaid_unit(span)
        if span.unit and not said and self.unit:
            refused = self._refuse("unit")
            return replace(refused, ask=clarifications.wrong_unit(span.unit.name, self.unit.name))
        if all(item.kind == "k" for item in span.items):
            return self._make(Outcome.INCOMPLETE, ask=clarifications.REST, reason="incomplete")  # 'k' of how many?
        if self._is_lone_one(span):
            return self._make(Outcome.CHOOSE, values=(Decimal(1),), ask=clarifications.ALONE_ONE, reason="lone_one")
        settled = self.settler.settle(span, said)
        if not settled.values:
            return self._no_value(span)
        if len(settled.values) > 1:
            return self._choose(settled.values, "two_meanings")
        scaled = self.settler.other_scale(span, settled.values[0])
        if scaled is not None:
            return self._choose((settled.values[0], scaled), "scale")
        return self._single(span, said, settled.values[0], settled.why, approximate)

    def _single(
        self, span: NumberSpan, said: Unit | None, value: Decimal, why: str, approximate: bool
    ) -> Understanding:
        outside = self.settler.side(value) != "inside"
        ask: Clarification | None = None
        if not why and approximate and self.settler.near_limit(value):
            why, ask = "approximate", clarifications.exact(value, self.expectation.unit)
        if not why and outside:
            why = "condemns"
        if not why and self.settler.dangerous_twin(span, said, value) is not None:
            why = "twin"
        return self._make(
            Outcome.READING, value=value, values=(value,), approximate=approximate, confirm=bool(why), reason=why,
            ask=ask or (self._right(value) if why else None), said_at=(span.items[0].start, span.items[-1].end),
        )  # fmt: skip

    def _no_value(self, span: NumberSpan) -> Understanding:
        if span.items[-1].kind in _OPEN_ENDS:
            return self._make(Outcome.INCOMPLETE, ask=clarifications.REST, reason="incomplete")
        values = [self.settler.bring(value, self.settler.fitting(span.unit)) for value in span.several]
        if len(values) == 2 and values[0] != values[1]:
            return self._choose(values, "two_values")
        if not values and not any(item.kind in "GRDST" for item in span.items):
            return self._make(Outcome.INCOMPLETE, ask=clarifications.REST, reason="incomplete")
        return replace(self._refuse("several_values"), ask=clarifications.ONE_AT_A_TIME)

    def _is_lone_one(self, span: NumberSpan) -> bool:
        if not self.unit or self.unit.dimension != "resistance" or span.unit or len(span.items) != 1:
            return False
        item = span.items[0]
        return (item.kind == "D" and item.value == 1) or (item.kind == "G" and item.text == "1")

    def _beside_unknown(self, found: Understanding, items: Sequence[Item]) -> Understanding:
        """A word that the recognizer did not know stands beside the value: never in silence."""
        unknown = [at for at, item in enumerate(items) if item.kind == UNKNOWN]
        if not unknown or found.outcome not in (Outcome.READING, Outcome.CHOOSE):
            return found
        words = sum(item.kind in NUMBER_KINDS or item.kind == Kind.UNIT for item in items)
        lost_head = any(at + 1 < len(items) and items[at + 1].kind in "HKkPAF" for at in unknown)
        if len(unknown) >= words or lost_head:
            return self._refuse("unknown_word")
        if found.outcome is Outcome.CHOOSE or found.value is None:
            return found
        return replace(found, confirm=True, reason="unknown_word", ask=self._right(found.value))

    def _choose(self, values: Sequence[Decimal], reason: str) -> Understanding:
        ask = clarifications.which(values, self.expectation.unit)
        return self._make(Outcome.CHOOSE, values=tuple(values), ask=ask, reason=reason)

    def _right(self, value: Decimal) -> Clarification:
        return clarifications.right(value, self.expectation.unit)

    def _refuse(self, reason: str) -> Understanding:
        return self._make(Outcome.NOT_UNDERSTOOD, reason=reason, ask=clarifications.again(self.unit))

    def _make(self, outcome: Outcome, **fields: object) -> Understanding:
        return Understanding(outcome, self.text, unit=self.expectation.unit, **fields)  # type: ignore[arg-type]


def _takes_back(item: Item) -> bool:
    return item.kind == Kind.REPAIR or (item.kind == Kind.COMMAND and item.value in _TAKING_BACK)


def _is_sign_alone(items: Sequence[Item]) -> bool:
    return all(item.kind in ("S", UNKNOWN, BREAK) for item in items)
