"""The main test: every saying of every value at a prompt parses back to it, or to a question that names it."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

import pytest

from assistant.catalog import load_vocabulary
from assistant.messages import Expectation, Expects, Outcome
from assistant.numerals.verbalizations import sayings
from assistant.understanding.utterance import understand

# prompt's unit, span stated by the prompt, lowest, highest and step of the sweep
PROMPTS = [
    ("ohm", None, "0", "20000", "1"),
    ("ohm", "0:200", "0", "20", "0.1"),
    ("ohm", None, "0", "100", "0.1"),
    ("kohm", None, "0", "20", "0.01"),
    ("Mohm", None, "0", "20", "0.01"),
    ("V", None, "-20", "30", "0.01"),
    ("V", None, "-20", "30", "0.1"),
    ("mV", None, "-500", "5000", "1"),
    ("A", None, "-10", "20", "0.01"),
    ("mA", None, "0", "2000", "1"),
    ("in", None, "0", "12", "0.03125"),
    ("in", None, "0", "2", "0.001"),
    ("mm", None, "0", "300", "0.5"),
    ("32nds", None, "0", "40", "0.5"),
    ("thou", None, "0", "2000", "1"),
    ("psi", None, "0", "200", "1"),
    ("kPa", None, "0", "1400", "1"),
    ("degF", None, "-60", "300", "1"),
    ("degC", None, "-50", "150", "0.5"),
    ("s", None, "0", "600", "0.5"),
    ("min", None, "0", "600", "1"),
    ("mph", None, "0", "80", "0.5"),
    ("km/h", None, "0", "130", "1"),
    ("Hz", None, "0", "5000", "1"),
    ("rev/s", None, "0", "10", "0.1"),
    ("rev/min", None, "0", "3000", "1"),
    ("count", None, "0", "1000", "1"),
    ("%", None, "0", "100", "0.5"),
]
IDS = [f"{unit} {low}..{high} by {step}" for unit, _, low, high, step in PROMPTS]


def grid(low: str, high: str, step: str, stride: int) -> Iterator[Decimal]:
    first, last = int(Decimal(low) / Decimal(step)), int(Decimal(high) / Decimal(step))
    for number in range(first, last + 1, stride):
        yield number * Decimal(step)


def check(unit: str, span: str | None, values: Iterator[Decimal], resolution: Decimal | None) -> None:
    vocabulary = load_vocabulary()
    ends = (Decimal(span.split(":")[0]), Decimal(span.split(":")[1])) if span else None
    prompt = Expectation(Expects.READING, unit=unit, span=ends)
    wrong: list[str] = []
    count = 0
    for value in values:
        for saying in sayings(value, unit, vocabulary, resolution):
            count += 1
            found = understand(saying.words, prompt, vocabulary)
            right = found.outcome is Outcome.READING and found.value == value
            asked = found.outcome is Outcome.CHOOSE and value in found.values and bool(found.ask)
            if not (right or asked):
                wrong.append(f"{saying.words!r} for {value}: {found.outcome} {found.value} {found.values}")
    assert count > 100
    assert not wrong, f"{len(wrong)} of {count} sayings: {wrong[:20]}"


@pytest.mark.parametrize("prompt", PROMPTS, ids=IDS)
def test_sayings_sampled(prompt: tuple[str, str | None, str, str, str]) -> None:
    """A sample of each prompt's values in the normal run."""
    unit, span, low, high, step = prompt
    count = int((Decimal(high) - Decimal(low)) / Decimal(step))
    stride = max(1, count // 150)
    while stride > 1 and (stride % 2 == 0 or stride % 5 == 0):
        stride += 1
    check(unit, span, grid(low, high, step, stride), None)


@pytest.mark.sweep
@pytest.mark.parametrize("prompt", PROMPTS, ids=IDS)
def test_sayings_of_every_value(prompt: tuple[str, str | None, str, str, str]) -> None:
    unit, span, low, high, step = prompt
    check(unit, span, grid(low, high, step, 1), None)


PADDED = [number for number, prompt in enumerate(PROMPTS) if Decimal(prompt[-1]) in (Decimal("0.1"), Decimal("0.5"))]
"""Prompts whose values leave zeros for the display to show."""


@pytest.mark.sweep
@pytest.mark.parametrize("number", PADDED, ids=[IDS[number] for number in PADDED])
def test_sayings_of_every_value_with_the_displays_zeros(number: int) -> None:
    unit, span, low, high, step = PROMPTS[number]
    check(unit, span, grid(low, high, step, 1), Decimal("0.01"))


@pytest.mark.parametrize(
    ("value", "unit", "form"),
    [
        ("1180", "ohm", "eleven eighty"),
        ("1180", "ohm", "one one eight zero"),
        ("1180", "ohm", "one one eight oh"),
        ("1180", "ohm", "eleven hundred eighty"),
        ("1180", "ohm", "one thousand one hundred and eighty"),
        ("1180", "ohm", "one point one eight k"),
        ("1205", "ohm", "twelve oh five ohms"),
        ("12.6", "V", "twelve six"),
        ("0.6", "V", "point six"),
        ("0.5", "V", "half a volt"),
        ("0.5", "V", "five hundred milli volts"),
        ("-0.2", "V", "negative zero point two"),
        ("1.375", "in", "one and three eighths inches"),
        ("0.21875", "in", "seven thirty seconds"),
        ("0.027", "in", "twenty seven thou"),
        ("1500", "ohm", "one and a half thousand"),
        ("9", "ohm", "niner"),
    ],
)
def test_ways_that_technicians_say_it(value: str, unit: str, form: str) -> None:
    """The forms that were asked for are among the sayings."""
    assert form in {saying.words for saying in sayings(Decimal(value), unit, load_vocabulary())}
