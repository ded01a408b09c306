"""The questions that understanding may ask: short, and digit by digit where it matters."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from assistant.numerals.readback import spell_digits, spell_identifier, spell_value
from assistant.numerals.vocabulary import Vocabulary


def which(values: Sequence[Decimal], unit: str | None, vocabulary: Vocabulary) -> str:
    """Names the competing values: 'One zero point five ohms, or one zero five ohms?'."""
    spoken = [spell_digits(value) for value in values[:-1]] + [spell_value(values[-1], unit, vocabulary)]
    return sentence(f"Did you mean {', or '.join(spoken)}?")


def right(value: Decimal, unit: str | None, vocabulary: Vocabulary) -> str:
    """Asks for a yes: 'I have one two four zero ohms. Is that right?'."""
    return f"I have {spell_value(value, unit, vocabulary)}. Is that right?"


def exact(value: Decimal, unit: str | None, vocabulary: Vocabulary) -> str:
    """Asks for the exact figure near a limit."""
    return f"About {spell_value(value, unit, vocabulary)}. What does it show exactly?"


def again(unit: str | None, vocabulary: Vocabulary) -> str:
    """Asks for the reading alone."""
    known = vocabulary.unit(unit)
    return f"Just the reading, please, in {known.plural}." if known and known.plural else "Say that again, please."


def wrong_unit(said: str, unit: str, vocabulary: Vocabulary) -> str:
    """A reading in a unit that does not fit the prompt."""
    return (
        f"You said {vocabulary.units[said].plural}. This reading is in {vocabulary.units[unit].plural}. Say it again."
    )


ALONE_ONE = "A one on its own at the left, or one point something?"
ONE_AT_A_TIME = "I heard several numbers. One at a time, please."
LOW_HIGH = "Lowest, then highest, please."
REST = "I have the first part. Say the whole reading, please."


def sentence(text: str) -> str:
    """With a capital first letter."""
    return text[:1].upper() + text[1:]


def unit_number(identifier: str, vocabulary: Vocabulary) -> str:
    """Asks for a yes to a unit number."""
    return f"Unit {spell_identifier(identifier, vocabulary)}. Is that right?"
