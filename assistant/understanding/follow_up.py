"""After 'did you mean A, or B?': 'the first', 'the second one' or the value itself picks one."""

from __future__ import annotations

from decimal import Decimal

from assistant.messages import Command, Expectation, Expects, Outcome, Understanding
from assistant.numerals.tokenizer import scan
from assistant.numerals.vocabulary import Kind, Vocabulary
from assistant.understanding.choosing.choices import normal
from assistant.understanding.values.readings import understand_reading

_PICKS = (Kind.FIRST, Kind.SECOND, Kind.THIRD)


def pick(text: str, expectation: Expectation, vocabulary: Vocabulary) -> Understanding | None:
    """The competing value that an answer picks; None when there is no such question or it picks none."""
    values = expectation.values
    if not values or expectation.expects is not Expects.READING:
        return None
    said = normal(text)
    kept = [item.text for item in scan(said, vocabulary) if item.kind not in (Kind.CARRIER, Kind.FILLER)]
    core = " ".join(kept)
    if said in vocabulary.forms[Kind.NEITHER]:
        return Understanding(Outcome.COMMAND, text, command=Command.NO, unit=expectation.unit)
    for place, kind in enumerate(_PICKS):
        if said in vocabulary.forms[kind] or core in vocabulary.forms[kind]:
            if place >= len(values):
                break
            return Understanding(
                Outcome.READING, text, value=values[place], values=(values[place],), unit=expectation.unit
            )
    found = understand_reading(text, expectation, vocabulary)
    if found.outcome is Outcome.CHOOSE:
        named = [value for value in found.values if value in values]
        if len(named) == 2 and _other_range(named[0], named[1]):
            # a bare figure said again names itself, not the same figure on another range of the meter
            named = named[:1]
        if len(named) == 1 and len(values) > 1:
            return Understanding(Outcome.READING, text, value=named[0], values=(named[0],), unit=expectation.unit)
    return None


def _other_range(first: Decimal, second: Decimal) -> bool:
    """True for the same figure on two ranges of a meter: 1.549 V and 1.549 mV."""
    least, most = sorted((abs(first), abs(second)))
    return any(least * times == most for times in (1000, 1000000))
