"""What must be asked about an answer, as a value; ``phrasing.clarifying`` has its sentence."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum


class Ask(StrEnum):
    """What is asked before an answer counts, or when none was understood."""

    IS_IT_VALUE = "is_it_value"
    """A yes to one value."""
    IS_IT_OVER_RANGE = "is_it_over_range"
    """A yes to an over-range display."""
    IS_IT_IDENTIFIER = "is_it_identifier"
    """A yes to a unit number."""
    IS_IT_RIGHT = "is_it_right"
    """A yes to something that has no name of its own."""
    WHICH_VALUE = "which_value"
    """One of several values."""
    WHICH_NAME = "which_name"
    """One of several choices or commands, or a yes to a single one."""
    ALONE_ONE = "alone_one"
    """Whether a lone 1 is the display of an open circuit or the beginning of a number."""
    EXACT = "exact"
    """The exact figure of an approximate one near a limit."""
    SHOWN_EXACTLY = "shown_exactly"
    """The exact figure where only 'above' or 'below' was said."""
    JUST_READING = "just_reading"
    """The reading alone, in its unit."""
    WRONG_UNIT = "wrong_unit"
    """The reading again, in the unit of the prompt."""
    ONE_AT_A_TIME = "one_at_a_time"
    """One of several numbers said together."""
    LOWEST_HIGHEST = "lowest_highest"
    """Both ends of a reading that moves."""
    IMPOSSIBLE_RANGE = "impossible_range"
    """The reading again: above and below exclude each other."""
    INCOMPLETE = "incomplete"
    """The whole of a reading of which only the beginning came."""
    ONE_OF = "one_of"
    """One of the named choices."""
    ONE_OF_MORE = "one_of_more"
    """One of the named choices, or of those that 'go on' names."""
    DIGIT_BY_DIGIT = "digit_by_digit"
    """A unit number again, digit by digit."""
    WAS_IT_YES_OR_NO = "was_it_yes_or_no"
    """A yes or a no that was not heard for sure."""
    EXPECTED_ONLY = "expected_only"
    """What it is, after what it should be."""
    EARLIER_ONLY = "earlier_only"
    """What it is now, after what it was."""
    OTHER_PLACE = "other_place"
    """What it is here, after what it is elsewhere."""
    DENIED = "denied"
    """What it is, after what it is not."""
    NOT_THAT = "not_that"
    """Which of the other choices, after one was denied; the denied one is the first of the names."""
    QUESTION_FIRST = "question_first"
    """The answer, after a question."""
    MOVING = "moving_still"
    """What it settles at."""
    IS_IT_NAME = "is_it"
    """A yes to a choice."""
    ALL_DONE = "all_done"
    """A yes to all that a caution asks for, of which some was told to be done."""
    GUESSED = "guessed"
    """A yes to what may have been meant; its name is an intent."""
    AGAIN = "again"
    """Anything again."""


@dataclass(frozen=True, slots=True)
class Clarification:
    """A question about an answer."""

    ask: Ask
    values: tuple[Decimal, ...] = ()
    """The values it names, in ``unit``: those that compete, or the ends of a range."""
    unit: str | None = None
    """Unit of the prompt, by its name in ``grammars/units.toml``."""
    said_unit: str | None = None
    """The unit that was said and does not fit."""
    names: tuple[str, ...] = ()
    """The choices, forms of commands or the unit number that it names."""
