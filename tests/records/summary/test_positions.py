"""A survey's table: rows and columns in the procedure's order, signs beside colors, what stands out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from html.parser import HTMLParser

import pytest

from assistant.messages import Grade
from assistant.messages.decisions import Observed
from assistant.records.report.page import record_html
from assistant.records.summary.layout import WIDTH
from assistant.records.summary.positions import Cell, PositionsTable, positions_text, table_of
from assistant.records.summary.summary import Reading, SessionSummary
from assistant.session.results.signs import Checks
from tests.records.samples import observed

PLACES = ("left front", "right front", "left rear", "right rear")


@dataclass(frozen=True)
class Order:
    """Order of a made-up survey."""

    checks: Iterable[str] = ("pressure", "ohms", "look")
    places: Iterable[str] = PLACES
    rules: Checks = field(default_factory=lambda: Checks({"look": ("even",)}))


def ohms(place: str, value: str, grade: Grade = Grade.GOOD) -> Observed:
    return replace(observed(grade=grade, value=value), place=place)


def look(place: str, choice: str) -> Observed:
    base = replace(
        observed(), check="look", title="look at the ring", place=place, choice=choice, weights={choice: 1.0}
    )
    return replace(base, value=None, unit=None, verdict=None)


def made(*readings: Observed) -> PositionsTable:
    table = table_of(readings, Order())
    assert table is not None
    return table


def page_of(*readings: Observed) -> str:
    """A survey's record as the page shows it."""
    order = Order()
    return record_html(
        SessionSummary(
            "20260101-000000-abc", "2026-01-01T08:00:00+00:00", "survey", "a survey", "", "7", True, "", "", "",
            readings=tuple(Reading(60.0, one) for one in readings), survey=True, checks=tuple(order.checks),
            places=tuple(order.places), rules=order.rules,
        )
    )  # fmt: skip


def test_rows_and_columns_stand_in_the_procedures_order_however_the_person_walked() -> None:
    table = made(look("right rear", "even"), ohms("right rear", "1190"), ohms("left front", "1200"))
    assert table.heads == ("resistance at the sensor, ohms", "look at the ring")
    assert [place for place, _ in table.rows] == ["left front", "right rear"]
    assert table.rows[0][1] == (Cell("1,200", "good"), Cell(""))
    assert table.rows[1][1] == (Cell("1,190", "good"), Cell("even", "good"))


@pytest.mark.parametrize(
    ("reading", "cell", "legend"),
    [
        (ohms("left rear", "1200"), "1,200", ""),
        (ohms("left rear", "4210", Grade.BAD_HIGH), "4,210 !", "! out of limits or faulty"),
        (ohms("left rear", "2990", Grade.TOO_CLOSE), "2,990 ?", "? too close to call"),
        (look("left rear", "even"), "even", ""),
        (look("left rear", "damaged"), "damaged !", "! out of limits or faulty"),
    ],
)
def test_a_cell_needs_no_color_to_be_read(reading: Observed, cell: str, legend: str) -> None:
    table = made(reading)
    assert [found.signed for _, cells in table.rows for found in cells] == [cell]
    assert table.legend == legend


def test_the_last_reading_of_a_position_counts() -> None:
    table = made(ohms("left rear", "4210", Grade.BAD_HIGH), ohms("left rear", "1210"))
    assert table.rows == (("left rear", (Cell("1,210", "good"),)),)


def test_what_stands_out_has_a_sign_a_sentence_and_a_count() -> None:
    """Median of 1190, 1200, 1210 and 2400 is 1205; the others lie within ten of it."""
    table = made(*(ohms(place, value) for place, value in zip(PLACES, ("1190", "1200", "1210", "2400"), strict=True)))
    assert [cells[0].signed for _, cells in table.rows] == ["1,190", "1,200", "1,210", "2,400 *"]
    assert table.remarks == (
        "resistance at the sensor, right rear: 2,400 ohms stands out from the others, which lie around 1,205 ohms.",
    )
    assert table.found == "4 read: 4 good; 1 stands out"


def test_what_is_read_once_is_no_row_of_its_own() -> None:
    once = replace(observed(grade=Grade.GOOD, value="96"), check="pressure", title="pressure", unit="psi", place=None)
    table = made(once, ohms("left rear", "4210", Grade.BAD_HIGH))
    assert table.whole == (("pressure", Cell("96 psi", "good")),)
    assert [place for place, _ in table.rows] == ["left rear"]
    assert table.found == "2 read: 1 good, 1 out of limits or faulty"
    alone = made(once)
    assert positions_text(alone).splitlines() == ["Every position", " pressure: 96 psi"]
    assert '<table class="positions"' not in page_of(once)


def test_nothing_read_is_no_table() -> None:
    assert table_of((), Order()) is None
    assert "Every position" not in page_of()


def test_many_checks_with_long_titles_stay_within_the_width_and_lose_no_word() -> None:
    names = [f"check {number}" for number in range(7)]
    readings = [
        replace(ohms(place, "1200"), check=name, title=f"volts of the sensor while turned by hand, {name}")
        for place in PLACES
        for name in names
    ]
    table = table_of(readings, Order(checks=names))
    assert table is not None
    lines = positions_text(table).splitlines()
    assert max(map(len, lines)) <= WIDTH
    words = " ".join(lines).split()
    assert words.count("1,200") == len(readings)
    assert all(words.count(word) >= len(names) for word in ("volts", "sensor", "turned", "hand,"))


class Tags(HTMLParser):
    """Counts what is opened and collects the text."""

    def __init__(self) -> None:
        super().__init__()
        self.opened: list[str] = []
        self.text: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.opened.append(tag)

    def handle_data(self, data: str) -> None:
        self.text.append(data)


def test_the_page_has_the_same_table_and_escapes_what_people_wrote() -> None:
    reading = replace(ohms("left rear", "4210", Grade.BAD_HIGH), title="<b>resistance</b>")
    page = Tags()
    html = page_of(reading, look("left rear", "damaged"))
    page.feed(html.partition('<table class="positions">')[2].partition("</table>")[0])
    assert page.opened.count("tr") == 2
    assert "b" not in page.opened
    assert {"Left rear", "4,210 !", "damaged !"} <= set(page.text)
    assert '<p class="key">! out of limits or faulty.</p>' in html
    assert any("<b>resistance</b>" in text for text in page.text)


def test_a_median_has_the_digits_of_the_reading() -> None:
    """The middle of 1190.5, 1200.25, 1210 and 2400.0 is 1205.125."""
    values = ("1190.5", "1200.25", "1210", "2400.0")
    table = made(*(ohms(place, value) for place, value in zip(PLACES, values, strict=True)))
    assert table.remarks[0].endswith("2,400.0 ohms stands out from the others, which lie around 1,205.1 ohms.")


@pytest.mark.parametrize(
    ("grade", "mark"), [(Grade.GOOD, "good"), (Grade.TOO_CLOSE, "close"), (Grade.BAD_LOW, "bad")]
)
def test_a_finished_survey_is_as_bad_as_the_worst_it_read(grade: Grade, mark: str) -> None:
    """Its end is no success where something is out of spec: color and shape say so at the head."""
    order = Order()
    readings = [ohms("left rear", "1190"), ohms("right rear", "400", grade)]
    one = SessionSummary(
        "20260101-000000-abc", "2026-01-01T08:00:00+00:00", "survey", "a survey", "", "7", True, "", "", "",
        readings=tuple(Reading(60.0, seen, mark=order.rules.mark(seen)) for seen in readings), survey=True,
        ending="survey complete", checks=tuple(order.checks), places=tuple(order.places), rules=order.rules,
    )  # fmt: skip
    assert one.mark == mark
    assert f'<p class="result {mark}">' in record_html(one)
