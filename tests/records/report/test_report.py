"""The report: everything in one file, nothing fetched, tables that a spreadsheet opens, pages of the right size."""

from __future__ import annotations

import contextlib
import csv
import io
import json
import re
import zlib
from dataclasses import replace
from decimal import Decimal
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from markupsafe import escape

from assistant.composition import context_from
from assistant.errors import OperatorError
from assistant.messages import Grade
from assistant.numerals.vocabulary import Vocabulary
from assistant.records.journal.reader import Session, parse
from assistant.records.report.data import COLUMNS, as_csv, as_json, as_text, work_order_line, work_orders_csv
from assistant.records.report.page import Kept, Told, html_report, record_html
from assistant.records.report.path import path_of
from assistant.records.report.pdf import as_pdf
from assistant.records.report.pictures import reading_pictures, trend_picture
from assistant.records.report.talk import turns_of
from assistant.records.summary.collect import summarize
from assistant.records.summary.summary import Reading
from assistant.svg import round_ticks, tick_text
from tests.records.samples import observed, write_scene
from tests.records.units import play_unit


@pytest.fixture(scope="module")
def session(tmp_path_factory: pytest.TempPathFactory) -> Session:
    folder = tmp_path_factory.mktemp("report")
    return play_unit(
        folder, ("sensor open", "right front"), ("sensor backed off", "left rear"), facts={"brakes": "disc"}
    )


@pytest.fixture(scope="module")
def html(session: Session, vocabulary: Vocabulary) -> str:
    return html_report(summarize(session), vocabulary, told_of(session))


def told_of(session: Session) -> Told:
    path = path_of(session, context_from(session.header))
    return Told(path, turns_of(session), "Pat Example", [Kept(1.5, "ready", "private/x/sound/1.flac")])


class Checker(HTMLParser):
    """Keeps what a page would fetch, and whether its tags close."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.fetched: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in {"meta", "br", "rect", "line", "circle", "polygon", "polyline"}:
            self.open.append(tag)
        self.fetched += [f"{tag} {name}" for name, _ in attrs if name in {"src", "href", "srcset", "data"}]

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Closed at once."""

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


def test_nothing_is_fetched_and_every_tag_closes(html: str) -> None:
    checker = Checker()
    checker.feed(html)
    assert checker.open == []
    assert checker.fetched == ["audio src"]
    assert "url(" not in html
    assert "@import" not in html
    assert "<script" not in html


def test_everything_that_a_reader_looks_for_is_in_it(html: str, session: Session) -> None:
    one = summarize(session)
    for words in (
        "INVENTED", "Unit 4019", "Complaint", "Cause", "Correction", "Evidence", "Found by",
        "Not verified by this record", "Readings and looks", "Readings against their limits",
        "The path through the suspects", "Time spent", "Cautions acknowledged", "Closing test", "Behind this record",
        "Technician (Pat Example)", "Checked by",
        "Open sensor, right front", "Sensor backed off, left rear", "FHWA-MC-98-008, page 29", one.meter,
    ):  # fmt: skip
        assert words in html, words
    for sentence in one.not_proven:
        assert str(escape(sentence)) in html
    for caution in one.cautions:
        assert str(escape(caution.detail)) in html
    assert html.count('<td class="at">') == len(one.readings)
    for turn in turns_of(session):
        assert str(escape(turn.text)) in html


def test_text_of_people_is_escaped(tmp_path: Path) -> None:
    one = summarize(parse(write_scene(tmp_path).read_bytes(), "x"))
    page = html_report(replace(one, unit="<b>&'\"", complaint="<script>x</script>"))
    assert "<script>" not in page
    assert "&lt;script&gt;" in page
    assert "Unit &lt;b&gt;&amp;" in page


def test_the_page_shows_the_same_record_without_a_style_or_a_script_in_it(
    html: str, session: Session, vocabulary: Vocabulary
) -> None:
    """The page's policy forbids both; what stands in the file and on the page is the same element."""
    fragment = record_html(summarize(session), vocabulary, told_of(session))
    checker = Checker()
    checker.feed(fragment)
    assert checker.open == []
    for word in ("<style", " style=", "<script", "javascript:"):
        assert word not in fragment
    assert re.sub(r"<style>.*?</style>", "", html, flags=re.DOTALL).count(fragment) == 1


def test_every_picture_is_whole_svg_with_its_marks_in_it(html: str) -> None:
    pictures = re.findall(r"<svg.*?</svg>", html, re.DOTALL)
    assert len(pictures) >= 3
    for picture in pictures:
        root = ET.fromstring(picture)  # noqa: S314 - our own
        _, _, width, height = (float(part) for part in root.attrib["viewBox"].split())
        for shape in root.iter("{http://www.w3.org/2000/svg}circle"):
            assert 0 <= float(shape.attrib["cx"]) <= width
            assert 0 <= float(shape.attrib["cy"]) <= height
        for text in root.iter("{http://www.w3.org/2000/svg}text"):
            assert 0 <= float(text.attrib["y"]) <= height


def readings(*values: tuple[str, Grade, int]) -> list[Reading]:
    return [
        Reading(60.0 * number, observed(number, grade, value=value), "", repairs)
        for number, (value, grade, repairs) in enumerate(values, 1)
    ]


def test_before_and_after_stand_on_one_axis_with_their_limits(vocabulary: Vocabulary) -> None:
    made = reading_pictures(readings(("4210", Grade.BAD_HIGH, 0), ("1200", Grade.GOOD, 1)), vocabulary)
    assert [title for title, _ in made] == ["resistance at the sensor, ohms"]
    picture = made[0][1].svg()
    assert "left rear · before" in picture
    assert "left rear · after" in picture
    assert picture.count('class="limit"') == 2
    assert 'class="step"' in picture
    root = ET.fromstring(picture)  # noqa: S314 - our own
    space = "{http://www.w3.org/2000/svg}"
    dot = next(root.iter(f"{space}circle"))
    square = next(root.iter(f"{space}polygon"))
    limits = sorted({float(one.attrib["x1"]) for one in root.iter(f"{space}line") if one.attrib["class"] == "limit"})
    middle = sum(float(pair.split(",")[0]) for pair in square.attrib["points"].split()) / 4
    assert limits[0] < float(dot.attrib["cx"]) < limits[1] < middle


def test_a_reading_that_was_taken_back_is_in_no_picture(vocabulary: Vocabulary) -> None:
    back = replace(readings(("4210", Grade.BAD_HIGH, 0))[0], withdrawn="scratch that")
    assert reading_pictures([back], vocabulary) == []


def test_the_path_ends_where_the_repair_left_it(session: Session) -> None:
    points = path_of(session, context_from(session.header))
    assert points[0].label == "start"
    assert sum(point.repair for point in points) == 2
    sums = [sum(point.shares.values()) for point in points]
    first, last = (number for number, point in enumerate(points) if point.repair)
    assert sums[:first] == pytest.approx([1.0] * first)
    assert not any(sums[last:]), "what was repaired is to be verified, and nothing else is suspected"
    between = [one for one in sums[first:last] if one]
    assert sums[first] == 0.0
    assert between == pytest.approx([1.0] * len(between))
    assert between, "the first repair was no cure"
    before = next(point for number, point in enumerate(points) if points[number + 1].repair)
    assert max(before.shares, key=lambda name: before.shares[name]) == "open sensor, right front"
    assert path_of(session, None) == ()


def test_csv_opens_in_a_spreadsheet_without_repair(session: Session, vocabulary: Vocabulary) -> None:
    one = replace(summarize(session), unit="0419")
    text = as_csv(one, vocabulary)
    assert text.startswith("\ufeffsession,began")
    assert text.endswith("\r\n")
    rows = list(csv.DictReader(io.StringIO(text.removeprefix("\ufeff"))))
    assert tuple(rows[0]) == COLUMNS
    assert len(rows) == len(one.readings)
    for row, reading in zip(rows, one.readings, strict=True):
        assert row["unit number"] == "0419"
        value = reading.observed.value
        assert row["value"] == ("" if value is None else f"{value:f}")
        if value is not None:
            assert Decimal(row["value"]) == value
            assert reading.observed.verdict is not None
            assert Decimal(row["judged as"]) == reading.observed.verdict.corrected


def test_csv_with_a_decimal_comma(session: Session, vocabulary: Vocabulary) -> None:
    """Seen in a spreadsheet set to German: of 0.035 it makes 35, so numbers and separator follow the place."""
    one = summarize(session)
    plain = list(csv.DictReader(io.StringIO(as_csv(one, vocabulary).removeprefix("\ufeff"))))
    rows = list(
        csv.DictReader(io.StringIO(as_csv(one, vocabulary, comma=True).removeprefix("\ufeff")), delimiter=";")
    )
    numbers = ("value", "judged as", "low limit", "high limit", "uncertainty")
    assert any("," in row[name] for row in rows for name in numbers)
    for row, same in zip(rows, plain, strict=True):
        assert {**row, **{name: row[name].replace(",", ".") for name in numbers}} == same


GUARDED = (
    "=1+1", "+1+A1", "-1-A1", "@SUM(A1)", "\t=1", "\r=1", "\n=1", "＝1", "＋A", "－A", "＠A", " =1+1", "'=1", "''-A1",
)  # fmt: skip
PLAIN = (
    "0419", "1e5", "3-4", "12:30", "left rear", "-5", "+5", "-1.125", "-0,5", "1,234", "'quoted'", "o'clock", "",
    "5%", "2026-03-02T13:40:00+00:00", "a=b", "'",
)  # fmt: skip


@pytest.mark.parametrize("text", [*GUARDED, *PLAIN])
def test_only_what_could_be_a_formula_is_guarded_and_all_comes_back(text: str) -> None:
    """Signs and the apostrophe are those of OWASP's page on CSV injection (from memory: equals, plus, minus, at, tab,
    carriage return, line feed, and full-width forms). The way back is the one that ``as_text`` names."""
    cell = as_text(text)
    assert cell == (f"'{text}" if text in GUARDED else text)
    table = io.StringIO(newline="")
    csv.writer(table, lineterminator="\r\n").writerow([cell])
    read_again = next(csv.reader(io.StringIO(table.getvalue(), newline="")), [""])[0]
    back = read_again[1:] if re.match(r"'+[ \u00a0]*[=+\-@\t\r\n＝＋－＠]", read_again) else read_again
    assert back == text


def test_no_cell_begins_with_a_tab(session: Session, vocabulary: Vocabulary) -> None:
    one = replace(summarize(session), unit="0419", work_order="4711", odometer="312450")
    line = work_order_line(one)
    for table in (as_csv(one, vocabulary), work_orders_csv([line])):
        cells = [cell for row in csv.reader(io.StringIO(table.removeprefix("\ufeff"), newline="")) for cell in row]
        assert not any(cell.startswith(("\t", "'")) for cell in cells)
        assert "0419" in cells
    assert {"4711", "312450"} <= set(cells)


def test_json_is_the_whole_summary(session: Session) -> None:
    one = summarize(session)
    data = json.loads(
        json.dumps(as_json(one, path_of(session, context_from(session.header)), "Pat"), allow_nan=False)
    )
    assert data["causes"] == list(one.causes)
    assert data["technician"] == "Pat"
    assert [reading["observed"]["number"] for reading in data["readings"]] == list(range(1, len(one.readings) + 1))
    assert len(data["path"]) == len(path_of(session, context_from(session.header)))
    assert set(type(one).__dataclass_fields__) <= set(data)


@pytest.mark.parametrize(("paper", "size"), [("letter", (612.0, 792.0)), ("a4", (595.3, 841.9))])
def test_pdf_pages_have_the_size_that_was_asked_for(
    pdf_library: None, tmp_path: Path, vocabulary: Vocabulary, paper: str, size: tuple[float, float]
) -> None:
    """Points are a 72nd of an inch (ISO 32000); letter is 8.5 x 11 inches, A4 is 210 x 297 mm (ISO 216)."""
    summary = summarize(parse(write_scene(tmp_path).read_bytes(), "x"))
    data = as_pdf(html_report(summary, vocabulary, paper=paper))
    assert data.startswith(b"%PDF-")
    plain = data
    for stream in re.findall(rb"stream\r?\n(.*?)\r?\nendstream", data, re.DOTALL):
        with contextlib.suppress(zlib.error):
            plain += zlib.decompress(stream)
    boxes = re.findall(rb"/MediaBox ?\[ ?0 0 ([\d.]+) ([\d.]+) ?\]", plain)
    assert boxes
    for width, height in boxes:
        assert (float(width), float(height)) == pytest.approx(size, abs=0.1)


def test_a_missing_library_is_one_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(__import__("sys").modules, "weasyprint", None)
    with pytest.raises(OperatorError, match=r"weasyprint.*Run: pip install"):
        as_pdf("<p>x</p>")


def test_axis_numbers_are_round() -> None:
    assert round_ticks(0, 3000) == [0, 500, 1000, 1500, 2000, 2500, 3000]
    assert round_ticks(-0.13, 0.52) == pytest.approx([0.0, 0.2, 0.4])
    assert round_ticks(5, 5) == [5]
    assert [tick_text(value) for value in (0.5, 3000.0, 0.30000000000000004)] == ["0.5", "3,000", "0.3"]


def test_a_trend_shows_every_day() -> None:
    picture = trend_picture("ohms", [("2026-01-01", 1100, "good"), ("2026-02-01", 3300, "bad")], 700, 3000).svg()
    assert picture.count("<circle") == 2
    assert "2026-02-01" in picture
