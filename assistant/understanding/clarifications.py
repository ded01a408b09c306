"""The questions that understanding may ask, as values; their sentences are in ``phrasing``."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from assistant.messages import Ask, Choice, Clarification
from assistant.numerals.units import Unit

NAMED = 4
"""Choices that are named when none was understood; the others follow on 'go on'."""

ALONE_ONE = Clarification(Ask.ALONE_ONE)
ONE_AT_A_TIME = Clarification(Ask.ONE_AT_A_TIME)
LOW_HIGH = Clarification(Ask.LOWEST_HIGHEST)
REST = Clarification(Ask.INCOMPLETE)
AGAIN = Clarification(Ask.AGAIN)
SHOWN_EXACTLY = Clarification(Ask.SHOWN_EXACTLY)
YES_OR_NO = Clarification(Ask.WAS_IT_YES_OR_NO)
DIGIT_BY_DIGIT = Clarification(Ask.DIGIT_BY_DIGIT)
BY_ROLE = {
    "question": Clarification(Ask.QUESTION_FIRST),
    "expectation": Clarification(Ask.EXPECTED_ONLY),
    "earlier": Clarification(Ask.EARLIER_ONLY),
    "other_place": Clarification(Ask.OTHER_PLACE),
    "negation": Clarification(Ask.DENIED),
    "moving": Clarification(Ask.MOVING),
    "vague": SHOWN_EXACTLY,
}
"""Why an utterance is no answer -> what is asked then."""
OVER_RANGE = Clarification(Ask.IS_IT_OVER_RANGE)
IS_IT_RIGHT = Clarification(Ask.IS_IT_RIGHT)


def which(values: Sequence[Decimal], unit: str | None) -> Clarification:
    """Names the competing values."""
    return Clarification(Ask.WHICH_VALUE, tuple(values), unit)


def right(value: Decimal, unit: str | None) -> Clarification:
    """Asks for a yes."""
    return Clarification(Ask.IS_IT_VALUE, (value,), unit)


def exact(value: Decimal, unit: str | None) -> Clarification:
    """Asks for the exact figure near a limit."""
    return Clarification(Ask.EXACT, (value,), unit)


def again(unit: Unit | None) -> Clarification:
    """Asks for the reading alone."""
    return Clarification(Ask.JUST_READING, unit=unit.name) if unit and unit.plural else AGAIN


def wrong_unit(said: str, unit: str) -> Clarification:
    """A reading in a unit that does not fit the prompt."""
    return Clarification(Ask.WRONG_UNIT, unit=unit, said_unit=said)


def unit_number(identifier: str) -> Clarification:
    """Asks for a yes to a unit number."""
    return Clarification(Ask.IS_IT_IDENTIFIER, names=(identifier,))


def is_it_done() -> Clarification:
    """Asks whether work is done that was told in own words."""
    return Clarification(Ask.GUESSED, names=("done",))


def which_name(*names: str) -> Clarification:
    """Names the choices or the form of the command that may have been meant."""
    return Clarification(Ask.WHICH_NAME, names=names)


def one_of(choices: Sequence[Choice]) -> Clarification:
    """Names the first choices of the prompt."""
    if not choices:
        return AGAIN
    names = tuple(choice.name for choice in choices[: named_of(choices)])
    return Clarification(Ask.ONE_OF_MORE if len(choices) > len(names) else Ask.ONE_OF, names=names)


def named_of(choices: Sequence[Choice]) -> int:
    """How many choices are named: a single one more is not left for 'go on'."""
    return len(choices) if len(choices) <= NAMED + 1 else NAMED
