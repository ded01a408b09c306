"""``grammars/speech.toml``: every phrase around a reading does its part and changes no value."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.catalog import load_vocabulary
from assistant.messages import Expectation, Expects, Outcome, Report
from assistant.numerals.vocabulary import Kind
from assistant.understanding.utterance import understand
from tests.rows import each_row

VOCABULARY = load_vocabulary()
OHMS = Expectation(Expects.READING, unit="ohm")


@each_row([*VOCABULARY.forms[Kind.CARRIER], *VOCABULARY.forms[Kind.FILLER]])
def test_around(form: str) -> None:
    """Words around a reading say nothing about it; alone they are no answer."""
    assert understand(f"{form} eleven eighty ohms", OHMS, VOCABULARY).value == 1180
    assert understand(f"eleven eighty ohms {form}", OHMS, VOCABULARY).value == 1180
    alone = understand(form, OHMS, VOCABULARY)
    if alone.outcome is Outcome.REPORT:  # 'let me see', 'hmm': he is at it, and is given time
        assert alone.report is Report.WORKING
    else:
        assert alone.outcome is Outcome.NOT_UNDERSTOOD
    assert alone.value is None


@each_row(VOCABULARY.forms[Kind.APPROXIMATE])
def test_approximate(form: str) -> None:
    found = understand(f"{form} twelve hundred", OHMS, VOCABULARY)
    assert (found.value, found.approximate) == (1200, True)


@pytest.mark.parametrize("form", VOCABULARY.forms[Kind.BETWEEN])
@pytest.mark.parametrize("joint", ["and", "to"])
def test_between(form: str, joint: str) -> None:
    found = understand(f"{form} nine hundred {joint} eleven hundred", OHMS, VOCABULARY)
    assert (found.outcome, found.low_end, found.high_end) == ("range", 900, 1100)


@each_row(VOCABULARY.forms[Kind.TO])
def test_to(form: str) -> None:
    found = understand(f"nine hundred {form} eleven hundred", OHMS, VOCABULARY)
    assert (found.outcome, found.low_end, found.high_end) == ("range", 900, 1100)


@pytest.mark.parametrize("above", VOCABULARY.forms[Kind.ABOVE])
@pytest.mark.parametrize("below", VOCABULARY.forms[Kind.BELOW])
def test_above_and_below(above: str, below: str) -> None:
    """A038: an impossible range is refused, a possible one is a range."""
    found = understand(f"{above} nine hundred and {below} two thousand", OHMS, VOCABULARY)
    assert (found.outcome, found.low_end, found.high_end) == ("range", 900, 2000)
    assert understand(f"{above} two thousand and {below} nine hundred", OHMS, VOCABULARY).reason == "impossible_range"


@each_row(VOCABULARY.forms[Kind.REPAIR])
def test_repair(form: str) -> None:
    found = understand(f"eleven hundred {form} twelve hundred", OHMS, VOCABULARY)
    assert (found.value, found.withdrawn) == (1200, (Decimal(1100),))


@pytest.mark.parametrize("place", [0, 1, 2])
def test_picks(place: int) -> None:
    kind = (Kind.FIRST, Kind.SECOND, Kind.THIRD)[place]
    values = (Decimal(1), Decimal(2), Decimal(3))
    for form in VOCABULARY.forms[kind]:
        found = understand(form, Expectation(Expects.READING, unit="ohm", values=values), VOCABULARY)
        assert found.value == values[place], form


def test_neither() -> None:
    for form in VOCABULARY.forms[Kind.NEITHER]:
        prompt = Expectation(Expects.READING, unit="ohm", values=(Decimal(1), Decimal(2)))
        found = understand(form, prompt, VOCABULARY)
        assert (found.outcome, found.command) == ("command", "no"), form
