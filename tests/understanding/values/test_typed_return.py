"""Every typed form of every value at a prompt returns it, or a question that names it; the mirror of the sayings."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction

import pytest

from assistant.catalog import load_vocabulary
from assistant.messages import Expectation, Expects, Outcome
from assistant.understanding.utterance import understand

VOCABULARY = load_vocabulary()
# prompt's unit, lowest, highest, step of the sweep, stride of the sample
PROMPTS = [
    ("ohm", "0", "20000", "1", 137),
    ("ohm", "0", "100", "0.1", 13),
    ("kohm", "0", "20", "0.01", 31),
    ("V", "-20", "30", "0.01", 43),
    ("mV", "-500", "5000", "1", 61),
    ("A", "-10", "20", "0.01", 37),
    ("in", "0", "12", "0.03125", 7),
    ("mm", "0", "300", "0.5", 11),
    ("psi", "0", "200", "1", 3),
    ("degF", "-60", "300", "1", 7),
    ("s", "0", "600", "0.5", 17),
]
IDS = [f"{unit} {low}..{high} by {step}" for unit, low, high, step, _ in PROMPTS]


def typed(value: Decimal, unit: str) -> Iterator[str]:
    """Ways to type a value: as figures, grouped, with a comma, as shorthand, as a sum, mixed with words."""
    text = format(value, "f")
    size = text.lstrip("-")
    whole, _, places = size.partition(".")
    sign = "-" if value < 0 else ""
    yield text
    yield text.replace("-", "−")
    for form in VOCABULARY.units[unit].typed[:4]:
        yield f"{text} {form}"
        yield f"{text}{form}"
    if int(whole) >= 1000:
        yield f"{sign}{int(whole):,}{'.' if places else ''}{places}"
        yield f"it's {sign}{int(whole):,}{'.' if places else ''}{places}"
    if places and len(places) != 3 and value:
        yield text.replace(".", ",")
        yield f"{sign}{whole} point {places}" if not places.startswith("0") else text
    if unit == "ohm" and value >= 1000:
        thousands = (value / 1000).normalize()
        yield f"{thousands:f}k"
        yield f"{thousands:f} kΩ"
        before, _, after = f"{thousands:f}".partition(".")
        if after:
            yield f"{before}k{after}"
    if unit == "V" and value and abs(value) < 1:
        yield f"{(value * 1000).normalize():f}mV"
    if not places and not sign and int(whole) > 100 and int(whole) % 100 > 0:
        yield f"{int(whole) // 100 * 100} and {int(whole) % 100}"
    if not places and not sign and len(whole) in (3, 4):
        yield " ".join(whole)
    if unit == "in" and value % 1 and not sign:
        parts = Fraction(value)
        over = parts - parts.numerator // parts.denominator
        lead = f"{parts.numerator // parts.denominator} " if parts > 1 else ""
        yield f"{lead}{over}"
        yield f'{lead}{over}"'


def grid(low: str, high: str, step: str, stride: int) -> Iterator[Decimal]:
    first, last = int(Decimal(low) / Decimal(step)), int(Decimal(high) / Decimal(step))
    for number in range(first, last + 1, stride):
        yield number * Decimal(step)


def check(unit: str, values: Iterator[Decimal]) -> None:
    prompt = Expectation(Expects.READING, unit=unit)
    wrong, count = [], 0
    for value in values:
        for text in typed(value, unit):
            count += 1
            found = understand(text, prompt, VOCABULARY)
            right = found.outcome is Outcome.READING and found.value == value
            asked = found.outcome is Outcome.CHOOSE and bool(found.ask)
            lone_one = asked and found.reason == "lone_one" and value == 1
            if not (right or lone_one or (asked and value in found.values)):
                wrong.append(f"{text!r} for {value}: {found.outcome} {found.value} {found.values} {found.reason}")
            if right and "," in text and "." not in text and len(text.rpartition(",")[2]) != 3 and not found.confirm:
                wrong.append(f"{text!r}: a decimal comma was taken without a yes")
    assert count > 100
    assert not wrong, f"{len(wrong)} of {count}: {wrong[:20]}"


@pytest.mark.parametrize("prompt", PROMPTS, ids=IDS)
def test_typed_forms_sampled(prompt: tuple[str, str, str, str, int]) -> None:
    check(prompt[0], grid(*prompt[1:]))


@pytest.mark.sweep
@pytest.mark.parametrize("prompt", PROMPTS, ids=IDS)
def test_typed_forms_of_values_side_by_side(prompt: tuple[str, str, str, str, int]) -> None:
    """Every value; of spans with thousands of them every seventh, which meets every last digit and every pair."""
    count = int((Decimal(prompt[2]) - Decimal(prompt[1])) / Decimal(prompt[3]))
    check(prompt[0], grid(*prompt[1:4], 7 if count > 4000 else 1))


@pytest.mark.parametrize(
    ("text", "unit", "low", "high"),
    [("10-12", "V", "10", "12"), ("10 - 12 V", "V", "10", "12"), ("1180–1200", "ohm", "1180", "1200"),
     ("9.5-10.5", "V", "9.5", "10.5"), ("900 to 1,400", "ohm", "900", "1400")],
)  # fmt: skip
def test_typed_ranges_are_two_ends_and_never_one_value(text: str, unit: str, low: str, high: str) -> None:
    found = understand(text, Expectation(Expects.READING, unit=unit), VOCABULARY)
    assert (found.outcome, found.low_end, found.high_end) == (Outcome.RANGE, Decimal(low), Decimal(high))
    assert found.value is None
    assert found.ask
