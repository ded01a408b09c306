"""The phrases that a recognizer should listen for at one prompt.

vosk builds a bigram model with discount 0.5 from them, so counts are weights. Values are spread over the whole span
of the prompt, denser around its limits, and never narrower than what a bad part would read: a wrong reading must be
as sayable as a good one.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise

from assistant.messages import Expectation, Expects
from assistant.numerals.readback import DIGITS
from assistant.numerals.tokenizer import UNKNOWN_WORD
from assistant.numerals.units import Unit, names_of
from assistant.numerals.verbalizations import cardinal, sayings
from assistant.numerals.vocabulary import Kind, Vocabulary


@dataclass(frozen=True, slots=True)
class Shape:
    """How much of each kind of phrase there is, fitted on recordings by the bench."""

    values: int = 1600
    """Most values that are said in all their forms."""
    least: float = 0.05
    """Sayings with a smaller weight are left out."""
    commands: int = 8
    """Times that each form of a command is listed beside readings."""
    displays: int = 20
    """Times that each form of a special display is listed."""
    unknown: int = 40
    """Times that the unknown word is listed."""


DEFAULT_SHAPE = Shape()
TOO_ALIKE = frozenset({"note"})
"""Forms that are understood but not listened for: 'no' is heard as one. 'Make a note' says the same."""
_BEFORE = (
    "it says",
    "i got",
    "it's",
    "that's",
    "reading",
    "meter says",
    "i have",
    "it reads",
    "i'm getting",
    "about",
)
"""Words that may stand before an answer and are listened for: a choice of the usual ones, since each one listed
draws a little of every answer to itself."""


def phrase_list(expectation: Expectation, vocabulary: Vocabulary, shape: Shape = DEFAULT_SHAPE) -> tuple[str, ...]:
    """Phrases for a prompt, repeated by weight, in words that the speech model has; the last is ``UNKNOWN_WORD``."""
    phrases: list[str] = []
    if expectation.expects is Expects.READING:
        phrases += _readings(expectation, vocabulary, shape)
    elif expectation.expects in (Expects.CHOICE, Expects.COMMAND):  # work may be done in one of several ways
        for choice in expectation.choices:
            phrases += [_plain(form, vocabulary) for form in (choice.name, *choice.also)] * shape.displays
    elif expectation.expects is Expects.IDENTIFIER:
        phrases += _identifiers(vocabulary)
    for jump in expectation.jumps:
        for form in (jump.name, *jump.also):
            phrases += [_plain(form, vocabulary), _plain(f"{form} next", vocabulary)] * shape.commands
    times = shape.commands if expectation.expects is Expects.READING else 2
    phrases += [_plain(form, vocabulary) for form in _command_forms(vocabulary)] * times
    return (*(phrase for phrase in phrases if phrase), *[UNKNOWN_WORD] * shape.unknown)


def grammar_words(vocabulary: Vocabulary) -> set[str]:
    """Every word that any grammar may hold, for checking against the speech model before use."""
    words: set[str] = {*vocabulary.numbers}
    for forms in vocabulary.forms.values():
        words |= {word for form in forms for word in _plain(form, vocabulary).split()}
    for form in _command_forms(vocabulary):
        words |= set(_plain(form, vocabulary).split())
    for unit in vocabulary.units.values():
        words |= {word for name in names_of(unit) for word in _plain(name, vocabulary).split()}
    words |= {word for name in vocabulary.letter_names.values() for word in name.replace("-", " ").split()}
    return {word for word in words if word.replace("'", "").isalpha() and word.isascii()}


def _command_forms(vocabulary: Vocabulary) -> list[str]:
    return [form for forms in vocabulary.commands.values() for form in forms if form not in TOO_ALIKE]


def _plain(form: str, vocabulary: Vocabulary) -> str:
    """A form in words the model has; '' when it is only a written one ('o.l.', '~')."""
    words = [vocabulary.unsaid.get(word, word) for word in form.lower().replace("-", " ").split()]
    text = " ".join(words)
    return text if all(mark.isalpha() or mark in " '" for mark in text) else ""


def _readings(expectation: Expectation, vocabulary: Vocabulary, shape: Shape) -> list[str]:
    phrases: list[str] = []
    for value in spread(expectation, vocabulary, shape.values):
        for saying in sayings(value, expectation.unit, vocabulary, expectation.resolution):
            if saying.weight >= shape.least:
                phrases.append(saying.words)
                if saying.weight >= 0.4:
                    phrases.append(saying.words)
    for kind in (Kind.OVER_RANGE, Kind.NOTHING, Kind.UNSTEADY):
        forms = [_plain(form, vocabulary) for form in vocabulary.forms[kind]]
        phrases += [form for form in forms if form] * shape.displays
    called = [_plain(form, vocabulary) for form in vocabulary.forms[Kind.OVER_RANGE]]
    phrases += [f"{before} {form}" for form in called if form for before in _BEFORE[:-1]]
    phrases += list(_unsteady(expectation, vocabulary))
    phrases += list(_introduced(expectation, vocabulary))
    return phrases


def _introduced(expectation: Expectation, vocabulary: Vocabulary) -> Iterator[str]:
    """Readings behind words that say nothing about them, and put right inside the utterance."""
    values = spread(expectation, vocabulary, 60)
    said = [_shortest(value, expectation, vocabulary) for value in values]
    for at, words in enumerate(said):
        yield f"{_BEFORE[at % len(_BEFORE)]} {words}"
        if at % 4 == 0 and at:
            yield f"{said[at - 1]} {('i mean', 'no make that', 'correction')[at // 4 % 3]} {words}"


def _unsteady(expectation: Expectation, vocabulary: Vocabulary) -> Iterator[str]:
    values = spread(expectation, vocabulary, 40)
    for low, high in pairwise(values):
        first, second = _shortest(low, expectation, vocabulary), _shortest(high, expectation, vocabulary)
        for marker in ("jumping between", "bouncing between", "between"):
            yield f"{marker} {first} and {second}"


def _shortest(value: Decimal, expectation: Expectation, vocabulary: Vocabulary) -> str:
    return max(
        sayings(value, expectation.unit, vocabulary), key=lambda saying: (saying.weight, -len(saying.words))
    ).words


def spread(expectation: Expectation, vocabulary: Vocabulary, count: int) -> list[Decimal]:
    """Values over the span of a prompt, about ``count``: a third of them around the limits, the rest everywhere."""
    unit = vocabulary.unit(expectation.unit)
    low, high = expectation.span or (unit.span if unit else (Decimal(0), Decimal(1000)))
    step = _step(expectation, unit, high)
    values: set[Decimal] = set()
    limits = [end for end in (expectation.low, expectation.high) if end is not None]
    if limits:
        inner_low, inner_high = max(low, min(limits) / 2), min(high, max(limits) * 2)
        values.update(_grid(inner_low, inner_high, step, count // 2))
    values.update(_grid(low, high, step, count // 4))
    values.update(_grid(low, low + (high - low) / 10, step, count // 4))
    if unit and unit.signed:
        values.update(-value for value in sorted(values)[:: max(1, len(values) // 150)] if value > 0)
    if unit and unit.fractions:
        values.update(Decimal(part) / 32 for part in range(1, int(min(high, Decimal(6)) * 32) + 1))
    return sorted(values)


def _step(expectation: Expectation, unit: Unit | None, high: Decimal) -> Decimal:
    if expectation.resolution:
        return expectation.resolution
    if unit and unit.whole:
        return Decimal(1)
    return Decimal("0.01") if high <= 40 else Decimal("0.1") if high <= 100 else Decimal(1)


def _grid(low: Decimal, high: Decimal, step: Decimal, count: int) -> Iterable[Decimal]:
    """About ``count`` multiples of ``step``, the stride chosen to hit every last digit."""
    first, last = int(low / step), int(high / step)
    stride = max(1, (last - first) // max(1, count))
    while stride > 1 and (stride % 2 == 0 or stride % 5 == 0):
        stride += 1
    for number in range(first, last + 1, stride):
        value = step * number
        yield value
        if stride > 1 and number % 3 == 0 and step == Decimal("0.01"):
            yield value.quantize(Decimal("0.1"))


def _identifiers(vocabulary: Vocabulary) -> list[str]:
    """Digit strings as they are said for unit numbers: every digit behind every digit, pairs, letters."""
    digits = [*DIGITS, "oh"]
    phrases: list[str] = []
    for first in digits:
        for second in digits:
            for third in digits[::3]:
                fourth = digits[(len(first) + len(third)) % 11]
                phrases += [f"{first} {second} {third} {fourth}", f"unit {second} {first} {fourth} {third}"]
    for number in range(10, 100):
        phrases.append(f"unit {cardinal(number)} {cardinal(109 - number)}")
    for letter in vocabulary.letter_names.values():
        name = _plain(letter, vocabulary)
        phrases += [f"unit {name} {digit} {name}" for digit in digits[::4]]
    return phrases
