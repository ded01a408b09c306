"""A procedure as pages to print: everything named, in the order of work, and nothing cut by the edge of a page."""

from __future__ import annotations

import re
from html import unescape

import pytest

from assistant.phrasing.wording import first_up
from assistant.pictures.page import check_page, procedure_page, procedure_text
from assistant.procedure.load import list_procedures, load_procedure
from assistant.procedure.model import Procedure
from assistant.records.report.pdf import as_pdf
from tests.conftest import missing
from tests.diagnosis.problems import check, fault, fix, procedure
from tests.procedure.named import Named

PACK = {path.stem: load_procedure(path).procedure for path in list_procedures()}


def words_on(of: Procedure) -> str:
    """What the page says, without its markup and its look."""
    page = re.sub(r"<style>.*?</style>", "", procedure_page(of), flags=re.DOTALL)
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", page)).split())


@pytest.mark.parametrize("name", PACK)
def test_everything_is_named(name: str) -> None:
    rows: list[Named] = [*PACK[name].checks, *PACK[name].faults, *PACK[name].fixes]
    for said in (words_on(PACK[name]), " ".join(procedure_text(PACK[name]).split())):
        assert [one.name for one in rows if one.name not in said] == []
        assert first_up(PACK[name].title) in said


@pytest.mark.parametrize("name", PACK)
def test_a_check_with_a_meter_shows_where_the_tips_go(name: str) -> None:
    measured = sum(one.probe is not None for one in PACK[name].checks)
    assert procedure_page(PACK[name]).count("<svg ") == measured


def test_text_is_escaped() -> None:
    small = procedure(
        title="Light <on> & off",
        faults=[fault("a & b", 1), fault("<c>", 1)],
        fixes=[fix("a & b", 5), fix("<c>", 5, part="part")],
        checks=[check("look", 1, {"a & b": "bad"}), check("under", 2, {"<c>": "bad"}, needs=["lid"], after=["look"])],
        access=[{"name": "lid", "say": "Lift it.", "minutes": 4}],
    )
    assert "<on>" not in procedure_page(small)
    lines = [line.strip() for line in procedure_text(small).splitlines()]
    assert "Checks behind: lid (4 min)" in lines
    assert "after: look" in lines
    assert "bad → <c>" in lines


def test_checks_stand_in_the_order_of_what_they_open() -> None:
    lines = [line.strip() for line in procedure_text(PACK["trailer-abs-light-on"]).splitlines()]
    assert lines.index("port volts") < lines.index("wheel end volts") < lines.index("tone ring")


def test_what_a_reading_holds_under_and_what_does_not_fit_is_told() -> None:
    """A reading holds only under its conditions, and a unit that a procedure declines is told before the work."""
    text = words_on(PACK["seven-way-survey"])
    assert "with: key on; engine running; load ten amps" in text
    assert "does not fit: twenty four volts, flat blades" in text
    assert "answers: even, uneven, damaged" in words_on(PACK["tire-tread-depth"])


def test_one_check_has_all_of_its_pictures_and_the_same_in_words() -> None:
    main = PACK["trailer-abs-light-on"]
    one = next(each for each in main.checks if each.name == "tractor blue loaded")
    page = check_page(main, one, None)
    assert page.count("<svg ") == 4
    assert "Pin 7: blue, ABS power (red probe)." in page


def test_it_prints_as_pages_of_letter_size() -> None:
    try:
        import weasyprint
    except (ImportError, OSError):
        missing("weasyprint or its libraries are not installed")
    page = procedure_page(PACK["trailer-abs-light-never-lights"])
    assert as_pdf(page).startswith(b"%PDF")
    assert 2 <= len(weasyprint.HTML(string=page).render().pages) <= 6
