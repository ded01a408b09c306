"""Where an answer may end.

People stop to look at the meter: 'one point ... eight five ohms'. What was said so far tells how long to wait for
more. A beginning that was cut off all the same is asked for as a whole.
"""

from __future__ import annotations

from enum import StrEnum

from assistant.messages import Command, Expectation, Expects, Outcome
from assistant.numerals.tokenizer import UNKNOWN, scan
from assistant.numerals.vocabulary import Kind, Vocabulary
from assistant.understanding.utterance import understand

_WHOLE = frozenset({Outcome.OVER_RANGE, Outcome.NOTHING, Outcome.COMMAND, Outcome.CHOICE})
_GOES_ON = frozenset({Kind.UNSTEADY, Kind.BETWEEN, Kind.TO, Kind.ABOVE, Kind.BELOW, Kind.REPAIR, Kind.APPROXIMATE})
_OPEN_KINDS = frozenset("PASMX")


class Sofar(StrEnum):
    """What the words so far are."""

    NOTHING = "nothing"
    """No word, or only words that stand around an answer."""
    OPEN = "open"
    """A beginning that more must follow: 'one point', 'jumping between nine hundred'."""
    MAY_GO_ON = "may_go_on"
    """An answer that more could follow: 'twelve', 'unit one four'."""
    WHOLE = "whole"
    """An answer that nothing is added to: a number with its unit, a display, a command."""


def so_far(words: str, expectation: Expectation, vocabulary: Vocabulary) -> Sofar:
    """What the words heard so far are at this prompt."""
    unit = vocabulary.unit(expectation.unit)
    items = [item for item in scan(words, vocabulary, unit.dimension if unit else "") if item.kind != Kind.FILLER]
    if all(item.kind in (Kind.CARRIER, UNKNOWN) for item in items):
        return Sofar.NOTHING
    last = items[-1]
    found = understand(words, expectation, vocabulary)
    if found.outcome is Outcome.INCOMPLETE or last.kind in _OPEN_KINDS or last.kind in _GOES_ON:
        return Sofar.WHOLE if found.outcome in _WHOLE else Sofar.OPEN
    if found.outcome is Outcome.COMMAND and found.command is not None and found.command is not Command.NOTE:
        return Sofar.MAY_GO_ON if _begins_more(words, found.command, expectation, vocabulary) else Sofar.WHOLE
    if found.outcome in _WHOLE:
        return Sofar.WHOLE
    if any(item.kind == Kind.UNSTEADY for item in items) and found.high_end is None:
        return Sofar.OPEN
    if last.kind == Kind.UNIT and found.outcome in (Outcome.READING, Outcome.CHOOSE, Outcome.UNSTEADY, Outcome.RANGE):
        return Sofar.WHOLE
    return Sofar.MAY_GO_ON


def _begins_more(words: str, command: Command, expectation: Expectation, vocabulary: Vocabulary) -> bool:
    """Whether something else may start with these words: 'what' and 'what is left', 'no' and a reading.

    A longer way to say the same ('yes sir', 'hold on') need not be waited for.
    """
    if command is Command.NO and expectation.expects is Expects.READING:
        return True
    forms = [form for other, forms in vocabulary.commands.items() if other != command for form in forms]
    return any(form.startswith(f"{words} ") for form in forms)
