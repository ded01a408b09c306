"""Section A of the case collection, section B where a number is at stake, and the rules of the design (D3)."""

from __future__ import annotations

import csv
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from assistant.catalog import load_vocabulary
from assistant.messages import Ask, Clarification, Expectation, Expects, Hypothesis, Outcome, Understanding
from assistant.understanding.interpret import interpret

TABLE = Path(__file__).parents[2] / "data" / "meaning_numbers.tsv"


def rows() -> list[dict[str, str]]:
    with TABLE.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file, delimiter="\t", quoting=csv.QUOTE_NONE))


def reading_prompt(row: dict[str, str]) -> Expectation:
    span = tuple(Decimal(end) for end in row["span"].split(":")) if row["span"] else None
    return Expectation(
        Expects.READING,
        unit=row["unit"],
        span=span,  # type: ignore[arg-type]
        low=Decimal(row["low"]) if row["low"] else None,
        high=Decimal(row["high"]) if row["high"] else None,
    )


def say(words: str, expectation: Expectation) -> Understanding:
    return interpret([Hypothesis(words)], expectation, load_vocabulary())


@pytest.mark.parametrize("row", rows(), ids=lambda row: f"{row['id']} {row['said']} @{row['unit']}")
def test_case(row: dict[str, str]) -> None:
    found = say(row["said"], reading_prompt(row))
    assert found.outcome == row["outcome"], found
    if row["value"]:
        assert str(found.value) == row["value"], "the exact value, with zeros as said"
        assert found.unit == row["unit"]
    elif row["outcome"] != "reading":
        assert found.value is None, "only a reading has a value"
    if row["values"]:
        assert set(found.values) == {Decimal(value) for value in row["values"].split()}
    if row["confirm"]:
        assert found.confirm == (row["confirm"] == "yes"), found
    if row["outcome"] in ("choose", "incomplete", "not_understood") or found.confirm:
        assert found.ask, "a question needs words"
    for wish in row["more"].split():
        name, _, wanted = wish.partition("=")
        assert _text(getattr(found, name)) == wanted, found


def _text(value: Any) -> str:
    return " ".join(str(one) for one in value) if isinstance(value, tuple) else str(value)


def test_the_words_of_the_value_are_marked() -> None:
    found = say("i got twelve hundred ohms", Expectation(Expects.READING, unit="ohm"))
    assert found.said_at is not None
    assert found.heard[slice(*found.said_at)] == "twelve hundred"


def test_limits_never_select_a_meaning() -> None:
    """10.5 and 105 stay rivals whichever of them would pass."""
    for low, high in ((1, 20), (100, 120)):
        found = say("ten five", Expectation(Expects.READING, unit="ohm", low=Decimal(low), high=Decimal(high)))
        assert found.outcome == "choose"
        assert set(found.values) == {Decimal("10.5"), Decimal(105)}


def test_the_last_digit_of_the_meter_rules_a_meaning_out() -> None:
    """A meter that shows whole ohms cannot have shown 10.5."""
    found = say("ten five", Expectation(Expects.READING, unit="ohm", resolution=Decimal(1)))
    assert (found.value, found.confirm) == (Decimal(105), True)


@pytest.mark.parametrize("text", ["", "   ", "\n", "….", "[unclear]", "[unclear] [unclear]"])
def test_nothing_said_is_not_understood(text: str) -> None:
    assert say(text, Expectation(Expects.READING, unit="ohm")).outcome == "not_understood"


@pytest.mark.parametrize(
    ("text", "confirm"),
    [
        ("me i have ol eight wrong doesn't settle", True), ("twelve no i mean it keeps jumping", True),
        ("doesn't settle", False), ("eleven no i mean it jumps between ten and twelve", False),
    ],
)  # fmt: skip
def test_a_display_that_does_not_settle_behind_words_taken_back_takes_a_yes(text: str, confirm: bool) -> None:
    """Somebody's talk is heard so: nothing was read off, and what stood before it was no reading either."""
    found = say(text, Expectation(Expects.READING, unit="V", low=Decimal("9.5")))
    assert (found.outcome, found.confirm) == (Outcome.UNSTEADY, confirm)


@pytest.mark.parametrize(
    ("said", "picked"),
    [("the first", "10.5"), ("the second one", "105"), ("ten point five", "10.5"), ("one oh five", "105")],
)
def test_a_follow_up_picks_one_of_the_values_just_named(said: str, picked: str) -> None:
    rivals = (Decimal("10.5"), Decimal(105))
    found = say(said, Expectation(Expects.READING, unit="ohm", values=rivals))
    assert (found.outcome, found.value) == ("reading", Decimal(picked))


def test_a_bare_figure_said_again_names_itself_and_not_another_range_of_the_meter() -> None:
    """Asked '23.4 V or 0.0234 V?', whoever says 23.4 once more is not asked for ever."""
    asked = Expectation(Expects.READING, unit="V", span=(Decimal(-30), Decimal(30)), high=Decimal("0.8"))
    first = say("23.4", asked)
    assert first.outcome is Outcome.CHOOSE
    again = say("23.4", replace(asked, values=first.values))
    assert (again.outcome, again.value) == (Outcome.READING, Decimal("23.4"))
    milli = say("23.4 millivolts", replace(asked, values=first.values))
    assert milli.value == Decimal("0.0234")


@pytest.mark.parametrize(
    ("said", "unit", "high", "values"),
    [
        ("11.77", "V", "0.5", ["11.77"]),  # no millivolt range shows hundredths
        ("eleven point seven seven", "V", "0.5", ["11.77"]),
        ("1.20", "V", "0.5", ["1.20"]),
        ("12.6", "V", "0.5", ["12.6"]),  # a live 12-volt circuit
        ("23.4", "V", "0.5", ["23.4", "0.0234"]),
        ("3.4", "V", "0.5", ["3.4", "0.0034"]),
        ("234", "V", "0.5", ["234", "0.234"]),
        ("12", "V", "0.5", ["12", "0.012"]),
        ("11.77", "A", "0.05", ["11.77", "0.01177"]),  # a 20 mA range does
        ("1.18", "ohm", "3000", ["1.18"]),
    ],
)
def test_a_bare_figure_is_asked_about_as_milli_where_a_milli_range_could_show_it(
    said: str, unit: str, high: str, values: list[str]
) -> None:
    span = (Decimal(-30), Decimal(30)) if unit != "ohm" else (Decimal(0), Decimal(20000))
    found = say(said, Expectation(Expects.READING, unit=unit, span=span, high=Decimal(high)))
    got = list(found.values or (found.value,))
    assert [str(one) for one in got] == values


@pytest.mark.parametrize(
    "words",
    ["jumping between thirteen hundred", "jumping between thirteen hundred and", "bouncing between nine hundred to"],
)
def test_an_unsteady_reading_cut_before_its_second_end_is_no_answer(words: str) -> None:
    found = interpret([Hypothesis(words)], Expectation(Expects.READING, unit="ohm"), load_vocabulary())
    assert (found.outcome, found.ask) == (Outcome.INCOMPLETE, Clarification(Ask.LOWEST_HIGHEST))
