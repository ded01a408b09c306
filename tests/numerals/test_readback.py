"""Read-back: digit by digit (ICAO Annex 10 Volume II 5.2.1.4.1.1), with the unit; for the screen, grouped figures."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.catalog import load_vocabulary
from assistant.messages import Expectation, Expects
from assistant.numerals.readback import show_value, spell_identifier, spell_value
from assistant.understanding.utterance import understand

VOCABULARY = load_vocabulary()


@pytest.mark.parametrize(
    ("value", "unit", "spoken", "shown"),
    [
        ("1180", "ohm", "one one eight zero ohms", "1,180 ohms"),
        ("1", "ohm", "one ohm", "1 ohm"),
        ("-0.6", "V", "minus zero point six volts", "-0.6 V"),
        ("12.05", "V", "one two point zero five volts", "12.05 V"),
        ("11.50", "V", "one one point five zero volts", "11.50 V"),
        ("0", "V", "zero volts", "0 V"),
        ("1.375", "in", "one and three eighths inches, one point three seven five", "1 3/8 in"),
        ("0.5", "in", "one half of an inch, zero point five", "1/2 in"),
        ("0.21875", "in", "seven thirty-seconds of an inch, zero point two one eight seven five", "7/32 in"),
        ("0.027", "in", "zero point zero two seven inches", "0.027 in"),
        ("68", "%", "six eight percent", "68%"),
        ("20000", "ohm", "two zero zero zero zero ohms", "20,000 ohms"),
        ("4", "count", "four", "4"),
        ("234", "mV", "two three four millivolts", "234 mV"),
        ("1.18", "kohm", "one point one eight kilohms", "1.18 kilohms"),
        ("72", "degF", "seven two degrees Fahrenheit", "72°F"),
        ("7", "32nds", "seven thirty-seconds", "7/32 in"),
        ("7", None, "seven", "7"),
        ("0.333333333333333", "V", "zero point three three three volts", "0.333 V"),
        ("0.0666666666666667", "V", "zero point zero six six seven volts", "0.0667 V"),
        ("100.277777777778", "degC", "one zero zero point three degrees Celsius", "100.3°C"),
    ],
)
def test_a_value_is_spelled_and_shown(value: str, unit: str | None, spoken: str, shown: str) -> None:
    assert spell_value(Decimal(value), unit, VOCABULARY) == spoken
    assert show_value(Decimal(value), unit, VOCABULARY) == shown


@pytest.mark.parametrize("unit", list(VOCABULARY.units))
@pytest.mark.parametrize("value", ["0", "9", "4.85", "12.05", "150", "-3.5"])
def test_what_we_say_we_understand(unit: str, value: str) -> None:
    """The read-back, said by a person, is the value again; what the screen shows, typed, too."""
    known = VOCABULARY.units[unit]
    number = Decimal(value)
    if (known.whole and "." in value) or not (
        known.span[0] <= number <= known.span[1] or (known.signed and number < 0)
    ):
        return
    prompt = Expectation(Expects.READING, unit=unit)
    spoken = spell_value(number, unit, VOCABULARY).partition(",")[0]
    spoken = " ".join(VOCABULARY.unsaid.get(word, word) for word in spoken.lower().replace("-", " ").split())
    heard = understand(spoken, prompt, VOCABULARY)
    assert number == heard.value or number in heard.values
    assert understand(show_value(number, unit, VOCABULARY), prompt, VOCABULARY).value == number


def test_unit_numbers_are_spelled_letter_by_letter() -> None:
    """The spelling alphabet of ICAO Annex 10 Volume II 5.2.1.3."""
    assert spell_identifier("T-0419", VOCABULARY) == "tango dash zero four one nine"
    assert spell_identifier("x9/j", VOCABULARY) == "x-ray nine slash juliet"
