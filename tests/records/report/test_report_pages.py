"""The report held against a truth fixed beforehand, by readers that are not ours.

HTML is read by the standard's own algorithm (tinyhtml5), pages by poppler.

The truths stand here before any session is led: which fault sits where, which look or reading shows it, what the
repair is, and that it is good afterwards.
"""

from __future__ import annotations

import base64
import csv
import io
import re
import shutil
import subprocess
from dataclasses import dataclass, replace
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from PIL import Image
from tinyhtml5.parser import HTMLParser

from assistant.composition import context_from
from assistant.numerals.vocabulary import Vocabulary
from assistant.records.journal.reader import Session
from assistant.records.report.data import as_csv, work_order_line
from assistant.records.report.page import Told, customer_html, html_report
from assistant.records.report.path import path_of
from assistant.records.report.pdf import as_pdf
from assistant.records.report.rows import Exhibit
from assistant.records.report.talk import turns_of
from assistant.records.report.transcript import transcript
from assistant.records.summary.collect import summarize
from assistant.records.summary.gaps import Gap, Lacks
from assistant.records.summary.summary import Timed
from assistant.svg import Drawing
from tests.conftest import missing
from tests.records.units import play_unit

LETTER = (612.0, 792.0)
"""Points of 8.5 by 11 inches; a point is a 72nd of an inch (ISO 32000)."""


@dataclass(frozen=True)
class Truth:
    """What is wrong with a unit, and what a record of its repair must show."""

    fault: tuple[str, str]
    cause: str
    correction: str
    check: str
    """The check that shows it, as the report names it."""
    bad: str
    """What that check shows before the repair; '' where any value outside the limits does."""
    good: str
    """The same afterwards."""


TRUTHS = {
    "open": Truth(
        ("sensor open", "right front"), "Open sensor, right front", "Sensor replaced, right front",
        "Resistance at the sensor, right front", "over range", "",
    ),
    "plug": Truth(
        ("corroded plug", "left rear"), "Corroded wheel-end plug, left rear",
        "Wheel-end plug cleaned, left rear", "Look at the wheel-end plug, left rear", "corroded", "clean",
    ),
}  # fmt: skip


@pytest.fixture(scope="module", params=list(TRUTHS))
def case(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> tuple[Truth, Session]:
    truth = TRUTHS[request.param]
    folder = tmp_path_factory.mktemp("pages")
    seen = {f"check:look at the plug:{truth.fault[1]}": ["corroded", "corroded", "clean"]}
    says = seen if truth.bad == "corroded" else {}
    return truth, play_unit(folder, truth.fault, facts={"brakes": "disc"}, says=says, invented=False)


def told_of(session: Session) -> Told:
    return Told(path_of(session, context_from(session.header)), turns_of(session), "Pat Example")


class Page:
    """A page as a browser reads it."""

    def __init__(self, html: str) -> None:
        parser = HTMLParser(namespace_html_elements=False)
        self.root: ET.Element = parser.parse(html)
        self.errors = parser.errors

    def section(self, heading: str) -> str:
        """Text from a heading of the second level to the next one."""
        text = "\n".join(self._walk(self.root))
        return next(part for part in text.split("\n##")[1:] if part.startswith(f"{heading}\n"))

    def _walk(self, element: ET.Element) -> list[str]:
        if element.tag in ("style", "head"):
            return []
        own = ["##" + words(element)] if element.tag == "h2" else []
        if element.tag == "tr":
            return [" | ".join(words(cell) for cell in element)]
        if element.tag in ("p", "li", "h3", "dt", "dd"):
            return [words(element)]
        return own + [line for child in element for line in self._walk(child)]


def words(element: ET.Element) -> str:
    return " ".join("".join(element.itertext()).split())


def test_the_page_is_html_by_the_standard(case: tuple[Truth, Session], vocabulary: Vocabulary) -> None:
    _, session = case
    one = summarize(session)
    for html in (html_report(one, vocabulary, told_of(session)), customer_html(one, vocabulary)):
        assert Page(html).errors == []


def test_the_parser_finds_what_is_no_html() -> None:
    assert Page("<!doctype html><title>x</title><p><div></p></section>").errors


def bad_word(truth: Truth) -> str:
    """One word for one verdict: a reading is out of limits, what is seen is a fault."""
    return "out of limits" if truth.bad == "over range" else "fault"


def test_the_page_tells_the_truth(case: tuple[Truth, Session], vocabulary: Vocabulary) -> None:
    truth, session = case
    page = Page(html_report(summarize(session), vocabulary, told_of(session)))
    assert page.section("Complaint").splitlines()[1].startswith("Trailer ABS light stays on")
    assert page.section("Cause").splitlines()[1:] == [truth.cause]
    assert page.section("Correction").splitlines()[1] == truth.correction
    evidence = page.section("Evidence").splitlines()
    assert evidence[1].startswith(truth.correction)
    assert "not verified" not in evidence[1]
    about = [line.split(" | ") for line in evidence if f"| {truth.check} |" in line]
    before, after = about[0], about[-1]
    assert (before[0], after[0]) == ("Before", "After")
    assert truth.bad in before[3]
    assert before[5] == f"■ {bad_word(truth)}"
    assert after[5].startswith("● good")
    assert not truth.good or after[3] == truth.good
    assert "INVENTED" not in words(page.root)


@pytest.mark.parametrize("case", [name for name, one in TRUTHS.items() if one.bad == "corroded"], indirect=True)
def test_a_look_that_condemns_is_bad_everywhere(
    tmp_path: Path, vocabulary: Vocabulary, case: tuple[Truth, Session]
) -> None:
    truth, session = case
    title = truth.check.lower()
    rows = list(csv.DictReader(io.StringIO(as_csv(summarize(session), vocabulary).lstrip("\ufeff"))))
    seen = {row["read"]: row["verdict"] for row in rows if f"{row['check']}, {row['place']}".lower() == title}
    assert seen == {"corroded": "fault", "clean": "good"}
    text = " ".join(transcript(session, vocabulary).split())
    assert "look at the wheel-end plug, left corroded fault rear" in text, "the title takes two lines"
    assert "look at the wheel-end plug, left rear: corroded, fault" in text
    page = html_report(summarize(session), vocabulary)
    assert '<td class="v bad"><span class="shape" aria-hidden="true">■</span> fault</td>' in page


def test_what_was_found_and_waits_for_its_repair_is_evidence_too(
    case: tuple[Truth, Session], vocabulary: Vocabulary
) -> None:
    """The same sessions as they stood before anything was repaired."""
    truth, session = case
    whole = summarize(session)
    before = tuple(row for row in whole.readings if not row.repairs_before)
    one = replace(whole, readings=before, repairs=(), causes=(), ending="found, waiting")
    page = Page(html_report(one, vocabulary))
    evidence = page.section("Evidence").splitlines()
    assert evidence[1] == "Found, not repaired"
    assert any(f"{truth.check} | {truth.bad}" in line and f"■ {bad_word(truth)}" in line for line in evidence)
    assert page.section("Correction").splitlines()[1] == "None"
    assert Page(customer_html(one, vocabulary)).errors == []


def test_a_source_is_told_once(case: tuple[Truth, Session], vocabulary: Vocabulary) -> None:
    _, session = case
    one = summarize(session)
    sources = {seen.observed.limit_source for seen in one.readings if seen.observed.limit_source}
    page = html_report(one, vocabulary)
    for source in sources:
        assert page.count(source) == 1


def test_a_limit_that_nobody_verified_has_one_footnote(case: tuple[Truth, Session], vocabulary: Vocabulary) -> None:
    _, session = case
    one = summarize(session)
    marked = "49 CFR 393.47(e), clamp chamber type 24: 1 3/4 inches, from memory"
    readings = [
        replace(row, observed=replace(row.observed, limit_source=marked)) if row.observed.limit_source else row
        for row in one.readings
    ]
    count = sum(bool(row.observed.limit_source) for row in readings)
    assert count, "something was read that has limits"
    page = Page(html_report(replace(one, readings=tuple(readings), repairs=()), vocabulary))
    text = words(page.root)
    assert text.count("from memory") == 1, "in the footnote that says what the sign means"
    assert text.count("clamp chamber type 24") == 1
    assert page.section("Readings and looks").count("a†") == count


def test_a_picture_stands_beside_the_check_it_belongs_to(case: tuple[Truth, Session], vocabulary: Vocabulary) -> None:
    _, session = case
    one = summarize(session)
    number = one.repairs[0].again[0][0]
    drawing = Drawing(100, 40, "the circuit")
    drawing.text(4, 20, "probe here")
    exhibits = {number: (Exhibit("both probes", drawing), Exhibit("the plug", None, "private/x/photo/1.jpg"))}
    html = html_report(one, vocabulary, Told(exhibits=exhibits))
    assert Page(html).errors == []
    evidence = html[html.index(">Evidence<") : html.index(">Readings and looks<")]
    assert "probe here" in evidence
    assert '<img src="private/x/photo/1.jpg" alt="the plug">' in evidence


OURS = re.compile(
    r"proven|condemn|uncertainty|suspicion|±|verdict|\bspec\b|remark|over range|under 1 minutes|\d{2}:\d{2}|"
    r"leadsman verify",
    re.IGNORECASE,
)
"""What a driver would not understand, or needs no telling."""


def test_the_customers_page_is_one_page_of_plain_words(
    pdf_library: None, tmp_path: Path, case: tuple[Truth, Session], vocabulary: Vocabulary
) -> None:
    truth, session = case
    own = "Light came on at Hill Road, stays on since the rain"
    one = replace(
        summarize(session), shop="Hill Road Truck Shop", work_order="4711", odometer="312450", complaint=own,
        complaint_title="Trailer ABS light stays on.",
    )  # fmt: skip
    html = customer_html(one, vocabulary)
    page = Page(html)
    assert page.errors == []
    assert f"<blockquote>{own}</blockquote>" in html
    found = page.section("What we found").splitlines()[1]
    if truth.good:  # a look whose word is in the cause: said once
        assert found.startswith(f"{truth.cause}.")
        assert found.lower().count(truth.bad) == 1
    else:
        shown = "no connection at all (an open circuit), where 700 to 3,000 ohms is good"
        assert found.startswith(f"{truth.cause}. {truth.check}: {shown}")
    done = page.section("What we did").splitlines()[1]
    assert done.startswith(truth.correction)
    assert page.section("What we did not check").count("low speed") <= 1
    known = page.section("How we know that it is fixed")
    assert "again after the work: " in known
    assert "ABS light after the test drive: out." in known
    assert "Stored codes: cleared." in known
    assert "?" not in known, "no question that was put to the technician"
    assert "is good" not in known, "limits stand where it was not good, once"
    assert "If the trouble comes back" in page.section("What to watch for")
    text = words(page.root)
    assert "March 2, 2026 · Work order 4711 · Odometer 312,450 miles" in text
    assert "This page is not a safety inspection" in text
    assert not OURS.search(text), OURS.search(text)
    pages, _, _ = laid_out(tmp_path, customer_html(one, vocabulary, paper="letter"))
    assert pages == 1


def test_the_customers_page_of_what_is_not_fixed_says_so(case: tuple[Truth, Session], vocabulary: Vocabulary) -> None:
    """The same session as it stood before its repair, and as it stood with a repair that nothing verified."""
    truth, session = case
    whole = summarize(session)
    before = tuple(row for row in whole.readings if not row.repairs_before)
    waits = replace(
        whole, readings=before, repairs=(), causes=(), ending="found, waiting", suspected=(truth.cause,), proof=(),
        gaps=(Gap(Lacks.PROOF, "The repair is not verified: waiting for a part."),),
    )  # fmt: skip
    page = Page(customer_html(waits, vocabulary))
    assert page.section("What we did").splitlines()[1] == "Nothing was repaired."
    assert truth.cause in page.section("What we found")
    assert "The trouble may still be there." in page.section("What to watch for")
    assert "How we know that it is fixed" not in words(page.root)
    assert "Do not drive with brakes, lights or tires that you are not sure of." in words(page.root)
    unsure = replace(
        whole, readings=before, causes=(), ending="cured, not proven", proof=(),
        repairs=tuple(replace(one, confirmed="", again=()) for one in whole.repairs),
        gaps=(Gap(Lacks.PROOF, "The repair is not verified: the light was not looked at."),),
    )  # fmt: skip
    page = Page(customer_html(unsure, vocabulary))
    told = page.section("Is it fixed?")
    assert "The repair is not verified" in told
    assert "not measured again after the work" in told


def test_work_that_did_not_help_is_no_evidence_that_it_is_fixed(
    case: tuple[Truth, Session], vocabulary: Vocabulary
) -> None:
    _, session = case
    whole = summarize(session)
    vain = replace(whole.repairs[0], title="cord replaced", place=None, confirmed="", in_vain=True, again=())
    page = Page(customer_html(replace(whole, repairs=(vain, *whole.repairs)), vocabulary))
    assert "Cord replaced" not in page.section("How we know that it is fixed")
    done = page.section("What we did")
    assert "Cord replaced." in done
    assert "It was still not good after this alone." in done


def test_what_was_found_good_is_a_list_and_says_how_many_more(
    case: tuple[Truth, Session], vocabulary: Vocabulary
) -> None:
    _, session = case
    whole = summarize(session)
    good = next(row for row in whole.readings if row.mark == "good")
    many = tuple(replace(good, observed=replace(good.observed, title=f"plug, wire {n}")) for n in range(10))
    one = replace(whole, readings=many, repairs=(), causes=(), suspected=(), ending="not present today")
    lines = Page(customer_html(one, vocabulary)).section("What we found").splitlines()
    text = " ".join(lines)
    assert "Plug, wire 0." in text
    assert "plug, wire 0, plug" not in text.lower()
    assert "And 2 more." in text


def test_wheels_that_were_off_are_torqued_again(case: tuple[Truth, Session], vocabulary: Vocabulary) -> None:
    _, session = case
    one = replace(summarize(session), put_back=("left rear wheel torque, and torque again after 50 to 100 miles",))
    watched = Page(customer_html(one, vocabulary)).section("What to watch for")
    assert "Have the wheel torque checked again after 50 to 100 miles." in watched


def test_own_words_are_the_complaint_with_the_title_behind(tmp_path: Path, vocabulary: Vocabulary) -> None:
    """As they were typed, in the record, on the customer's page, in the transcript, the table and the work order."""
    own = "Driver says: ABS lite comes on n stays, since Tuesdays rain"
    session = play_unit(tmp_path, ("corroded plug", "left rear"), facts={"brakes": "disc"}, own_words=own)
    one = summarize(session)
    assert (one.complaint, one.complaint_title) == (own, "Trailer ABS light stays on.")
    assert own not in [note.what for note in one.notes], "told once"
    page = Page(html_report(one, vocabulary, told_of(session)))
    assert page.section("Complaint").splitlines()[1:3] == [own, "Trailer ABS light stays on."]
    assert own in customer_html(one, vocabulary)
    assert f"Complaint    {own}\n             Trailer ABS light stays on.\n" in transcript(session, vocabulary)
    assert work_order_line(one)["complaint"] == f"{own} (Trailer ABS light stays on)"


def test_a_narrower_limit_after_a_repair_points_to_its_reason(
    case: tuple[Truth, Session], vocabulary: Vocabulary
) -> None:
    truth, session = case
    one = summarize(session)
    page = Page(html_report(one, vocabulary, told_of(session)))
    rows = [line.split(" | ") for line in page.section("Evidence").splitlines() if " | " in line]
    limits = {row[0]: row[4] for row in rows if row[2] == truth.check}
    if truth.good:
        assert limits == {"Before": "", "After": ""}
        return
    assert limits["Before"].startswith("700 to 3,000 ohms")
    assert re.fullmatch(r"700 to 1,750 ohms([a-z])narrower: see note \1", limits["After"])
    notes = page.section("Readings and looks").splitlines()
    letter = limits["After"][-1]
    assert "a healthy one reads near 900 to 1" in notes[notes.index(letter) + 1]


def test_a_plain_session_is_two_pages_of_letter_paper_with_the_talk_behind(
    pdf_library: None, tmp_path: Path, case: tuple[Truth, Session], vocabulary: Vocabulary
) -> None:
    """And nothing stands in the margins, where a printer would cut it."""
    _, session = case
    one = replace(
        summarize(session), shop="Hill Road Truck Shop", work_order="4711", vin="1M8GDM9AXKP042788", odometer="312450"
    )
    html = html_report(one, vocabulary, told_of(session), paper="letter")
    pages, size, texts = laid_out(tmp_path, html)
    assert size == pytest.approx(LETTER, abs=0.1)
    behind = next(number for number, text in enumerate(texts) if "Behind this record" in text)
    assert 1 <= behind <= 2
    for number, text in enumerate(texts):
        assert f"{number + 1} of {pages}" in text
        assert ("What was said" in text) <= (number >= behind)
    for words_of_first in ("Hill Road Truck Shop", "4711", "1M8GDM9AXKP042788", "Pat Example", "Evidence"):
        assert words_of_first in texts[0]
    assert any("Checked by" in text for text in texts[:behind])


@pytest.mark.sweep
@pytest.mark.parametrize("case", ["plug"], indirect=True)
def test_names_are_never_signed_on_a_page_of_their_own(
    case: tuple[Truth, Session], vocabulary: Vocabulary, tmp_path: Path
) -> None:
    """The same record with ever more skipped checks, until its end stands on the next page."""
    one = summarize(case[1])
    before: list[int] = []
    for more in range(0, 90, 5):
        skipped = tuple(Timed(60.0, f"check that was left out, number {number}") for number in range(more))
        _, _, texts = laid_out(tmp_path, html_report(replace(one, skipped=skipped), vocabulary, paper="letter"))
        signed = next(number for number, text in enumerate(texts) if "Checked by" in text)
        above = texts[signed].partition("Checked by")[0]
        assert signed == 0 or "check that was left out" in above or "ABS light after the test drive" in above, more
        before.append(signed)
    assert len(set(before)) > 1, "its end went from one page to the next"


def laid_out(folder: Path, html: str) -> tuple[int, tuple[float, float], list[str]]:
    """Pages, their size in points, and the text of each, by poppler."""
    if shutil.which("pdfinfo") is None or shutil.which("pdftotext") is None:
        missing("poppler is not installed (Debian: apt-get install poppler-utils)")
    path = folder / "report.pdf"
    path.write_bytes(as_pdf(html))
    told = dict(line.split(":", 1) for line in _run("pdfinfo", str(path)).splitlines() if ":" in line)
    width, height = (float(number) for number in re.findall(r"[\d.]+", told["Page size"])[:2])
    texts = _run("pdftotext", "-layout", str(path), "-").split("\f")[:-1]
    assert len(texts) == int(told["Pages"])
    return int(told["Pages"]), (width, height), texts


def _run(*command: str) -> str:
    return subprocess.run(command, check=True, capture_output=True, text=True).stdout


def test_a_photo_in_the_page_stands_in_the_pdf_and_nothing_else_is_fetched(tmp_path: Path) -> None:
    if shutil.which("pdfimages") is None:
        missing("poppler's pdfimages is not installed (Debian: apt-get install poppler-utils)")
    made = io.BytesIO()
    Image.new("RGB", (40, 30), (200, 30, 30)).save(made, "JPEG")
    photo = base64.b64encode(made.getvalue()).decode()
    pdf = tmp_path / "one.pdf"
    pdf.write_bytes(as_pdf(f'<p>before</p><img src="data:image/jpeg;base64,{photo}"><p>after</p>'))
    told = subprocess.run(["pdfimages", "-list", str(pdf)], capture_output=True, text=True, check=True).stdout
    assert re.search(r"image\s+40\s+30\b", told), told
    pdf.write_bytes(as_pdf('<p>before</p><img src="http://127.0.0.1:9/x.png">'))
    told = subprocess.run(["pdfimages", "-list", str(pdf)], capture_output=True, text=True, check=True).stdout
    assert len(told.splitlines()) == 2, "the table's head alone"
