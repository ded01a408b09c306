"""What a foreman and a customer found wrong in records: parts nobody used, findings counted twice, words of the data.

The truths stand here before a session is led; the sessions are played by a simulated unit, all invented.
"""

from __future__ import annotations

import csv
import html
import io
import re
from dataclasses import replace
from pathlib import Path

import pytest

from assistant.composition import Papers
from assistant.messages import decisions as d
from assistant.messages.decisions import Observed
from assistant.numerals.vocabulary import Vocabulary
from assistant.records.index.board import standing_of
from assistant.records.index.queries import fails_most, work_on
from assistant.records.index.rows import rows_of
from assistant.records.journal.reader import Session
from assistant.records.journal.writer import Journal
from assistant.records.report.customer import sections_of
from assistant.records.report.data import as_json, work_order_line, work_orders_csv
from assistant.records.report.page import customer_html, html_report
from assistant.records.report.transcript import transcript
from assistant.records.store.folder import FolderStore
from assistant.records.summary.collect import summarize
from assistant.records.summary.gaps import Gap, Lacks
from assistant.records.summary.positions import table_of
from assistant.records.summary.search import search
from assistant.records.summary.sessions import row_of
from assistant.records.summary.summary import Reading, SessionSummary
from assistant.session.results.signs import Checks
from tests.records.samples import TOML, Clock, header, heard, observed, session_in, written
from tests.records.units import play_unit

DISC = {"brakes": "disc"}
PLUG, SENSOR, BEARING = (
    ("corroded plug", "left rear"), ("sensor open", "left rear"), ("loose wheel bearing", "left rear"),
)  # fmt: skip
DATA_WORDS = re.compile(r"\b[a-z]+_[a-z]+\b|^(?:lately|comes on|coil temperature|sensors wired)$")
"""Names of the data that are none of the trade's."""


@pytest.mark.parametrize(
    ("told", "work", "parts"),
    [
        ("adjusted it", "wheel bearing set, left rear", ()),
        ("replaced it", "wheel bearing replaced, left rear", ("wheel bearing",)),
        ("next", "wheel bearing set, left rear", ()),  # asked which way then, the technician says it was set
    ],
)
def test_a_part_is_billed_only_where_somebody_told_of_it(
    told: str, work: str, parts: tuple[str, ...], tmp_path: Path, vocabulary: Vocabulary
) -> None:
    session = play_unit(
        tmp_path, BEARING, facts={"comes on": "after rolling"}, says={"fix:set the bearing:left rear": [told]}
    )
    one = summarize(session)
    assert work in one.correction
    assert [part for part in one.parts if part == "wheel bearing"] == list(parts)
    assert ("wheel bearing" in work_order_line(one)["parts"]) == bool(parts)
    done = next(each for each in sections_of(one, vocabulary) if each.title == "What we did")
    assert any("Part: wheel bearing." in line for line in done.lines) == bool(parts)


def test_an_unfinished_session_confirms_nothing(tmp_path: Path, vocabulary: Vocabulary) -> None:
    """The plug was clean after the work, and the session was left before the test drive."""
    left = play_unit(tmp_path, PLUG, facts=DISC, says={"proof:roll": ["leave"]}, number="11")
    one = summarize(left)
    assert one.repairs[-1].confirmed == "measured"
    cause = "corroded wheel-end plug, left rear (session not finished)"
    assert one.causes_told == (cause,)
    assert row_of(left).cause == cause
    assert work_order_line(one)["cause"] == cause
    index = FolderStore(tmp_path).index()
    index.refresh(FolderStore(tmp_path))
    with index.connect() as connection:
        assert fails_most(connection, invented=True) == []
        assert fails_most(connection, invented=True, since="2020-01-01") == []
        assert [work.confirmed for work in work_on(connection, "11", invented=True)] == [""]


def test_a_session_that_was_left_after_a_failed_closing_test_says_so_in_every_list(tmp_path: Path) -> None:
    """The plug was clean after the work, the light stayed lit on the road, and the session was left."""
    left = play_unit(
        tmp_path, PLUG, facts=DISC, says={"proof:light": ["lit"], "check:light at power-up": ["leave"]}, number="12"
    )
    one = summarize(left)
    assert one.ended == "left before its end"
    assert one.not_proven[0] == "The repair is not verified: light: lit."
    cause = "corroded wheel-end plug, left rear (closing test not passed)"
    assert row_of(left).cause == cause
    assert work_order_line(one)["cause"] == cause


def test_a_finding_that_waits_names_its_part_in_every_list(tmp_path: Path, vocabulary: Vocabulary) -> None:
    put_off = {"fix:replace the sensor:left rear": ["no, waiting for the part"]}
    session = play_unit(tmp_path, SENSOR, facts=DISC, says=put_off, invented=False)
    one = summarize(session)
    assert one.needed_told == ("sensor and clip, left rear (waiting)",)
    assert row_of(session).cause == "open sensor, left rear (found, not repaired); needs: sensor and clip"
    assert rows_of(session, 0).session["causes"] == row_of(session).cause
    board = standing_of(session, row_of(session))
    assert board is not None
    assert board.where == "found: open sensor, left rear (needs: sensor and clip)"
    assert board.waits_for == "the part"
    line = next(csv.DictReader(io.StringIO(work_orders_csv([work_order_line(one)]).lstrip("\ufeff"))))
    assert (line["parts"], line["parts needed"]) == ("", "sensor and clip, left rear (waiting)")
    assert as_json(one)["needed"] == [{"part": "sensor and clip", "place": "left rear", "waits": True}]
    page = customer_html(one, vocabulary)
    assert "It needs: sensor and clip, left rear (waiting)." in page
    assert page.count("no connection at all") == 1, "read twice, told once"
    report = html_report(one, vocabulary)
    assert report.count("Found and not repaired") == 0, "the cause says so"
    assert report.count("No repair was made") == 0, "the correction says so"


def test_the_chance_that_the_test_missed_something_is_told_to_the_customer_too(
    tmp_path: Path, vocabulary: Vocabulary
) -> None:
    one = summarize(play_unit(tmp_path, PLUG, facts=DISC))
    sure = replace(one, missed=0, gaps=())
    assert "percent" not in customer_html(sure, vocabulary)
    told = "The closing test passed; 2 percent that it missed what is still there."
    unsure = replace(one, missed=2, gaps=(Gap(Lacks.CHANCE, told),))
    page = customer_html(unsure, vocabulary)
    assert "A test drive can miss a fault that comes and goes: here the chance is 2 percent." in page
    assert "closing test" not in page, "that is the shop's word"
    assert told in html_report(unsure, vocabulary)


def test_questions_stand_in_the_record_in_the_trades_words(tmp_path: Path, vocabulary: Vocabulary) -> None:
    one = summarize(play_unit(tmp_path, PLUG, facts=DISC))
    assert "recent work" in one.not_asked
    assert not [name for name in one.not_asked if DATA_WORDS.search(name)]
    assert not [fact.what for fact in one.facts if DATA_WORDS.search(fact.what)]
    assert len(set(one.not_asked)) == len(one.not_asked)


def look(check: str, place: str | None, choice: str) -> Observed:
    base = replace(observed(), check=check, title=check, place=place, choice=choice, weights={choice: 1.0})
    return replace(base, value=None, unit=None, verdict=None)


SURVEY = Checks(
    {"stroke": ("in",), "found": ("touching",), "home": ("touching",), "count": ("none",)},
    sums={"count": ("stroke",), "home": ("found",)},
)
"""Rules of a made-up survey: one question sums up all strokes, another asks at each place once more."""


@pytest.mark.parametrize(
    ("readings", "found"),
    [
        ([look("stroke", "left", "in"), look("count", None, "none")], "1 read: 1 good"),
        ([look("stroke", "left", "over"), look("count", None, "one")], "1 read: 1 out of limits or faulty"),
        ([look("stroke", "left", "in"), look("count", None, "one")], "2 read: 1 good, 1 out of limits or faulty"),
        ([look("found", "left", "off"), look("home", "left", "off")], "1 read: 1 out of limits or faulty"),
        (
            [look("found", "left", "off"), look("home", "left", "touching")],
            "2 read: 1 good, 1 out of limits or faulty",
        ),
        ([look("found", "left", "off"), look("home", "right", "off")], "2 read: 2 out of limits or faulty"),
    ],
)
def test_a_survey_counts_a_fault_once(readings: list[Observed], found: str) -> None:
    numbered = [replace(one, number=number) for number, one in enumerate(readings, 1)]
    one = surveyed(numbered)
    table = table_of(numbered, one)
    assert table is not None
    assert table.found == found
    assert len(one.not_good) == int((re.search(r"(\d+) out of", found) or [0, 0])[1])


def surveyed(readings: list[Observed], **more: object) -> SessionSummary:
    rules = SURVEY
    made = SessionSummary(
        "20260101-000000-abc", "2026-01-01T08:00:00+00:00", "survey", "a survey", "Brakes.", "7", True, "", "", "",
        readings=tuple(Reading(60.0, one, mark=rules.mark(one)) for one in readings), survey=True,
        checks=("stroke", "found", "home", "count"), places=("left", "right"), rules=rules, ending="survey complete",
    )  # fmt: skip
    return replace(made, **more)  # type: ignore[arg-type]


def test_the_customers_page_of_a_survey_says_what_comes_next_and_what_was_left_out(vocabulary: Vocabulary) -> None:
    left_out = ("Not part of this survey: tire pressure.",)
    gaps = (Gap(Lacks.SCOPE, *left_out),)
    bad = surveyed([look("stroke", "left", "over")], gaps=gaps)
    told = {each.title: each.lines for each in sections_of(bad, vocabulary)}
    assert told["What we did not check"] == left_out
    assert "repaired before the unit goes back on the road" in told["What comes next"][0]
    good = surveyed([look("stroke", "left", "in")], gaps=gaps)
    told = {each.title: each.lines for each in sections_of(good, vocabulary)}
    assert told["What comes next"][0].startswith("Nothing needs repair now.")
    part = replace(good, ending="survey, not complete")
    told = {each.title: each.lines for each in sections_of(part, vocabulary)}
    assert told["What comes next"] == ("What was left out is still to be checked.",)


def test_a_work_order_that_is_looked_for_is_found_as_one(tmp_path: Path, vocabulary: Vocabulary) -> None:
    papers = Papers(work_order="WO-88")
    session = play_unit(tmp_path, PLUG, facts=DISC, number="4711", papers=papers, says={"proof:roll": ["leave"]})
    assert {hit.who for hit in search(session, "WO-88", vocabulary) if hit.at is None} == {"work order"}
    assert {hit.who for hit in search(session, "4711", vocabulary) if hit.at is None} == {"unit"}
    assert "WO-88" in transcript(session, vocabulary)


def test_what_was_not_checked_stands_where_nothing_showed(tmp_path: Path, vocabulary: Vocabulary) -> None:
    """As the session promised; the work order says that nothing was repaired, and no line says 'own words: yes'."""
    own = "Driver says the ABS light comes on at once"
    session = play_unit(
        tmp_path, facts={"codes": "stored only", "stored codes": "one", "active codes": "zero"}, own_words=own,
        says={"fact:own words": ["yes"]},
    )  # fmt: skip
    one = summarize(session)
    assert one.ending == "not present today"
    line = next(text for text in one.not_proven if text.startswith("Not checked: "))
    missing = line.removeprefix("Not checked: ").rstrip(".").split("; ")
    assert not set(missing) & {reading.observed.title for reading in one.readings}
    assert missing[-1] in " ".join(transcript(session, vocabulary).split())
    assert line in html.unescape(html_report(one, vocabulary))
    unchecked = next(each for each in sections_of(one, vocabulary) if each.title == "What we did not check")
    assert unchecked.lines[0].lower() == f"{line.removeprefix('Not checked: ')}".lower()
    assert "Nothing was repaired" not in " ".join(unchecked.lines), "what was done says so"
    page = html.unescape(customer_html(one, vocabulary))
    assert page.count("Nothing was repaired") == 1
    assert page.count("did not show today") == 2, "the headline and what was found"
    assert work_order_line(one)["correction"] == "complaint not present today; nothing repaired"
    assert "own words" not in [fact.what for fact in one.facts]


def test_a_known_good_cord_that_did_not_help_is_a_test_and_no_part(tmp_path: Path, vocabulary: Vocabulary) -> None:
    """The tractor's supply is weak: a good cord, tried first, changes nothing."""
    session = play_unit(tmp_path, ("tractor side", None))
    one = summarize(session)
    assert one.correction == ("tractor's supply repaired",)
    assert one.parts == ()
    assert one.tests_told == ("known good cord tried: did not help",)
    assert len(one.causes) == 1
    rows = rows_of(session, 0)
    assert [row["title"] for row in rows.repairs] == ["tractor's supply repaired"]
    line = work_order_line(one)
    assert (line["parts"], line["correction"]) == ("", "tractor's supply repaired")
    report = html.unescape(html_report(one, vocabulary))
    assert "Known good cord tried: <span" in report
    assert "Part: cord" not in report
    assert "Parts:" not in report
    assert "Test: known good cord tried: did not help" in report
    head = transcript(session, vocabulary).partition("\n\nReadings")[0]
    assert "Tests        known good cord tried: did not help" in head
    before, after = (
        next(row.observed for row in one.readings if row.observed.number == number)
        for number in one.tests[0].again[0]
    )
    fixed_at = one.repairs[0].at
    taken = {row.observed.number: row.at for row in one.readings}
    assert one.tests[0].at < taken[after.number] < fixed_at, "what the tractor's repair changed is not the cord's"
    assert (before.check, before.place) == (after.check, after.place)
    done = next(each for each in sections_of(one, vocabulary) if each.title == "What we did")
    assert done.lines == (
        "Known good cord tried: did not help. This was a test.", "Tractor's supply repaired.",
    )  # fmt: skip
    assert "cord replaced" not in " ".join(last_said(session))


def test_a_cord_that_cured_it_is_a_part(tmp_path: Path) -> None:
    one = summarize(play_unit(tmp_path, ("cord", None)))
    assert (one.correction, one.parts, one.tests) == (("cord replaced",), ("cord",), ())


def test_a_record_of_before_tells_a_trial_cord_by_its_procedure(tmp_path: Path) -> None:
    """Its procedure says only that the cord may be tried at once and puts in a part."""
    session = play_unit(tmp_path, ("tractor side", None))
    old = "\n".join(line for line in session.header.procedure_toml.splitlines() if not line.startswith("tried = "))
    again = replace(session, header=replace(session.header, procedure_toml=old))
    assert summarize(again).tests_told == ("known good cord tried: did not help",)


def test_a_part_that_is_not_in_stock_stands_under_parts_before_any_check_pointed_at_it(
    tmp_path: Path, vocabulary: Vocabulary
) -> None:
    """A good cord is to be tried; there is none, and the session goes on to its end."""
    session = play_unit(tmp_path, ("cord", None), says={"fix:replace the cord": ["no parts today"]})
    one = summarize(session)
    assert one.ending != "found, waiting"
    assert work_order_line(one)["parts needed"] == "cord (waiting)"
    assert "Parts needed: cord (waiting)" in html_report(one, vocabulary)
    assert "Parts needed cord (waiting)" in " ".join(transcript(session, vocabulary).split())
    assert "Parts that are still needed: cord (waiting)." in customer_html(one, vocabulary)


@pytest.mark.parametrize("came", [False, True])
def test_a_part_that_came_after_all_is_needed_no_more(came: bool, tmp_path: Path) -> None:
    procedure = TOML.replace('title = "sensor replaced"', 'title = "sensor replaced"\npart = "sensor"')
    made: list[d.Decision] = [
        d.FixChosen("replace", "left rear", "open", 0.9, False, written("Suspected.")),
        d.FixDeclined("replace", "left rear", "no parts today"),
        d.FixChosen("replace", "right rear", "open", 0.9, False, written("Suspected.")),
        d.FixDeclined("replace", "right rear", "I don't believe it"),
        *([d.FixDone("replace", "left rear", "sensor replaced", "sensor")] if came else []),
    ]
    with Journal.create(tmp_path, replace(header(), procedure_toml=procedure), Clock()) as journal:
        for number, decision in enumerate(made):
            journal.append(d.Record(heard(number, "so"), (decision,)), (), float(number))
    one = summarize(session_in(tmp_path))
    assert one.needed_told == (() if came else ("sensor, left rear (waiting)",))
    assert one.parts == (("sensor",) if came else ())


def last_said(session: Session) -> list[str]:
    """What was said with the last entry."""
    *_, (_, last) = session.entries()
    return list(last.said)
