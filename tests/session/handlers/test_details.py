"""Work order, VIN and odometer told beside the session: understood by name, read back, kept, told by records."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest

from assistant.catalog import load_vocabulary
from assistant.composition import context_from, papers_from
from assistant.errors import OperatorError
from assistant.messages import Detail, Expectation, Expects, Outcome
from assistant.numerals.vin import check_digit_fits, well_formed
from assistant.records.journal.reader import Session
from assistant.records.journal.replay import replay
from assistant.records.report.data import work_order_line, work_orders_csv
from assistant.records.summary.collect import summarize
from assistant.understanding.utterance import understand
from tests.records.units import play_unit

VOCABULARY = load_vocabulary()
OHMS = Expectation(Expects.READING, unit="ohm")
VIN = "1M8GDM9AXKP042788"
"""A worked example of the check digit in public use, from memory."""


@pytest.mark.parametrize(
    ("words", "detail", "value"),
    [
        ("work order 4711", Detail.WORK_ORDER, "4711"),
        ("Work order number 47-11A", Detail.WORK_ORDER, "47-11A"),
        ("okay the work order is four seven one one", Detail.WORK_ORDER, "4711"),
        ("repair order zero zero eight", Detail.WORK_ORDER, "008"),
        ("odometer 312,450", Detail.ODOMETER, "312450"),
        ("the odometer reads three one two four five zero miles", Detail.ODOMETER, "312450"),
        (f"VIN: {VIN}", Detail.VIN, VIN),
        ("v i n one m eight g d m nine a x k p zero four two seven eight eight", Detail.VIN, VIN),
    ],
)
def test_they_are_understood_at_a_reading(words: str, detail: Detail, value: str) -> None:
    meant = understand(words, OHMS, VOCABULARY)
    assert (meant.outcome, meant.detail, meant.identifier) == (Outcome.REPORT, detail, value)


@pytest.mark.parametrize(
    "words",
    ["4711", "odometer is broken", "where is the work order", "miles away", "mileage 5 ohms", "vin", "the vin plate"],
)
def test_other_talk_is_none_of_them(words: str) -> None:
    assert understand(words, OHMS, VOCABULARY).detail is None


@pytest.mark.parametrize(
    ("vin", "fits"),
    [(VIN, True), ("1" * 17, True), (VIN[:-1] + "9", False), ("1M8GDM9A1KP042788", False), (VIN[:-1], False)],
)
def test_the_check_digit(vin: str, fits: bool) -> None:
    """49 CFR 565.15, from memory: the weighted sum's remainder by 11, X for ten."""
    assert check_digit_fits(vin) is fits


def test_characters_that_no_vin_has() -> None:
    assert well_formed(VIN)
    assert not any(well_formed(VIN[:-1] + mark) for mark in "IOQioq-")


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> Session:
    """The record of a session in which they are told."""
    return play_unit(
        tmp_path_factory.mktemp("details"),
        ("sensor open", "right front"),
        facts={"brakes": "disc"},
        says={"check:code names a wheel": ["work order 4711", "odometer 99", "odometer 312450", f"vin {VIN}"]},
    )


def test_the_last_one_counts_and_the_session_goes_on(told: Session) -> None:
    one = summarize(told)
    assert (one.work_order, one.odometer, one.vin) == ("4711", "312450", VIN)
    assert one.causes == ("open sensor, right front",)
    said = [text for _, entry in told.entries() for text in entry.said]
    assert any(text.startswith("Work order 4711") for text in said)
    assert replay(told, context_from(told.header)).same


def test_a_line_goes_out_for_the_shops_own_system(told: Session) -> None:
    line = work_order_line(summarize(told), "Pat Example")
    (row,) = csv.DictReader(io.StringIO(work_orders_csv([line]).removeprefix("\ufeff")))
    assert {name: text.strip("\t") for name, text in row.items()} == line
    assert json.loads(json.dumps(line)) == line
    assert (row["work order"], row["vin"], row["technician"]) == ("4711", VIN, "Pat Example")
    assert row["hours"] == f"{float(row['minutes']) / 60:.1f}"


def test_what_is_given_at_the_start_is_looked_at() -> None:
    assert papers_from(" Hill  Road ", "4711", "1m8g dm9a xkp0 42788", "312,450").vin == VIN
    with pytest.raises(OperatorError, match="is no VIN"):
        papers_from("", "", "123", "")
    with pytest.raises(OperatorError, match="is no odometer"):
        papers_from("", "", "", "many")


def test_a_vin_that_was_misheard_is_said_again(tmp_path: Path) -> None:
    """One character short; typed, a VIN without a check digit is kept, since vehicles made elsewhere need none."""
    wrong = VIN[:-1] + "9"
    session = play_unit(
        tmp_path, ("sensor open", "right front"), facts={"brakes": "disc"},
        says={"check:code names a wheel": [f"vin {wrong[:-1]}"]},
    )  # fmt: skip
    assert summarize(session).vin == ""
    assert summarize(session).causes == ("open sensor, right front",), "and the session goes on"
