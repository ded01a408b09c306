"""The list of sessions, the summary and the transcript of the invented session."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from assistant.errors import OperatorError
from assistant.messages import Heard, Hypothesis, Source
from assistant.messages.decisions import Record
from assistant.numerals.vocabulary import Vocabulary
from assistant.records.index.listing import listed
from assistant.records.journal.reader import Session, parse
from assistant.records.journal.writer import Journal
from assistant.records.report.transcript import head_rows, readings_table, transcript
from assistant.records.store.folder import FolderStore
from assistant.records.summary.collect import summarize
from assistant.records.summary.layout import WIDTH
from assistant.records.summary.sessions import LEFT
from assistant.records.summary.summary import SessionSummary
from tests.records.samples import SCENE, Clock, header, observed, session_in, write_scene


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return write_scene(tmp_path)


def read(path: Path) -> Session:
    return session_in(path.parent, path.stem)


def summary_of(path: Path) -> SessionSummary:
    return summarize(read(path))


def test_summary_of_a_cured_session(path: Path) -> None:
    one = summary_of(path)
    assert (one.unit, one.title, one.complaint) == ("0419", "Invented procedure", "The light stays on")
    assert (one.ending, one.causes) == ("cured and proven", ("open sensor, left rear",))
    assert one.correction == ("sensor replaced, left rear",)
    assert one.parts == ("sensor",)
    assert one.repairs[0].confirmed == "proven"
    assert one.minutes == 20.0
    assert one.minutes_held == 1.0
    assert one.minutes_by_phase == pytest.approx(
        {"cautions": 0.1, "facts": 55 / 60, "finding": 119 / 60, "repairing": 12.0, "proving": 4.0, "closing": 0.0}
    )
    assert sum(one.minutes_by_phase.values()) + one.minutes_held == pytest.approx(one.minutes)
    assert [(reading.observed.number, reading.withdrawn, reading.repairs_before) for reading in one.readings] == [
        (1, "scratch that", 0), (2, "", 0), (3, "", 1)
    ]  # fmt: skip
    assert one.not_proven == (
        "Skipped: resistance at the sensor, right rear (no scan tool).",
        "It does not show that the fault cannot come back.",
    )
    assert [note.what for note in one.notes] == ["tire is worn"]


def test_a_session_left_after_a_measured_repair(tmp_path: Path) -> None:
    one = summary_of(write_scene(tmp_path, 11))
    assert one.ending == LEFT
    assert one.causes == ("open sensor, left rear",)
    assert one.repairs[0].confirmed == "measured"
    assert one.not_proven == ("The session was left before its end: nothing after the last entry is known.",)


def test_a_repair_that_nothing_confirmed_is_no_cause(tmp_path: Path) -> None:
    one = summary_of(write_scene(tmp_path, 10))
    assert one.causes == ()
    assert "Sensor replaced, left rear: not measured again afterwards." in one.not_proven
    before = summary_of(write_scene(tmp_path / "before", 9))
    assert "Suspected and not repaired: open sensor, left rear." in before.not_proven


def test_listing_newest_first_and_what_was_left(tmp_path: Path) -> None:
    assert list(listed(FolderStore(tmp_path / "none"))) == []
    write_scene(tmp_path)
    later = replace(header("20260201-080000-abc"), unit="04-19")
    with Journal.create(tmp_path, later, Clock()) as journal:
        journal.append(*SCENE[0])
    with journal.path.open("ab") as file:
        file.write(b"{torn")
    store = FolderStore(tmp_path)
    rows = list(listed(store))
    assert [(row.id, row.unit, row.ending, row.cause, row.damaged) for row in rows] == [
        ("20260201-080000-abc", "04-19", LEFT, "", True),
        ("20260131-142305-k3f", "0419", "cured and proven", "open sensor, left rear", False),
    ]
    assert [row.id for row in listed(store, left=True)] == ["20260201-080000-abc"]
    assert [row.id for row in listed(store, left=True, unit="0419")] == ["20260201-080000-abc"]
    assert list(listed(store, left=True, unit="420")) == []


def test_sessions_are_found_by_a_part_of_their_identity(path: Path) -> None:
    folder = path.parent
    for name in (path.stem, "20260131", "k3f", "last"):
        assert session_in(folder, name).header.session_id == path.stem
    with pytest.raises(OperatorError, match="There is no session 2027"):
        session_in(folder, "2027")
    write_scene_as(folder, "20260131-142306-k4g")
    with pytest.raises(OperatorError, match="fits 2 sessions"):
        session_in(folder, "20260131")


def write_scene_as(folder: Path, session_id: str) -> None:
    with Journal.create(folder, header(session_id), Clock()):
        pass


HEAD = """\
Session 20260131-142305-k3f
INVENTED: a demonstration. The unit, the fault and every reading are made up.
Unit 0419. Invented procedure. Began January 31, 2026, 2:23 p.m. (UTC-05:00).

Complaint    The light stays on
Cause        open sensor, left rear (verified by the closing test)
Correction   sensor replaced, left rear
Parts        sensor
Ending       fixed and verified: The light went out.
Not verified Skipped: resistance at the sensor, right rear (no scan tool).
             It does not show that the fault cannot come back.
Time spent   20 minutes: setting up 1, finding 2, repair 12, verifying 4, on hold 1
Meter        made-up meter. Its accuracy is a typical figure, not from your meter's manual.
Air          41.0 degrees Fahrenheit
"""


def test_the_head(path: Path) -> None:
    assert transcript(read(path)).startswith(HEAD)


def test_the_talk_shows_both_sides_and_what_was_understood(path: Path, vocabulary: Vocabulary) -> None:
    assert "[or:" not in transcript(read(path), vocabulary)
    text = transcript(read(path), vocabulary, alternatives=True)
    talk = text[text.index("\nTalk\n") :].splitlines()
    for line in (
        "00:00  Leadsman Chock the wheels. Say yes.",
        '00:06  you      "yes"',
        "              = caution acknowledged: chocks",
        '02:00  you      "eleven eighty"   [or: eleven eighteen]',
        "              = reading 1 deleted: scratch that",
        "              = on hold",
        "              = done: sensor replaced, left rear",
        "              = skipped: resistance at the sensor, right rear (no scan tool)",
        "20:00  Leadsman Cured and proven.",
    ):
        assert line in talk
    assert "-- verifying the repair --------------------------" in talk
    joined = " ".join(" ".join(talk).split())
    assert "1,180 ohms, against 700 to 3,000 ohms, good [later deleted: scratch that]" in joined


def test_readings_show_conditions_limits_source_meter_and_withdrawals(path: Path, vocabulary: Vocabulary) -> None:
    text = " ".join(readings_table(read(path), vocabulary).split())
    assert "1 02:00 resistance at the sensor, left rear 1,180 ohms 700 to 3,000 ohms a deleted" in text
    assert "deleted: scratch that" in text
    assert "2 04:00 resistance at the sensor, left rear 4,210 ohms 700 to 3,000 ohms a too high" in text
    assert "too high key off; give or take 30 ohms" in text
    assert "heard as" not in text, "it was typed"
    assert text.endswith("a FHWA-MC-98-008, page 29"), "the source once, under the table"
    assert "measured again after a repair" in text


def test_lines_stay_within_the_columns(path: Path, vocabulary: Vocabulary) -> None:
    long = " ".join(["word"] * 80)
    with Journal.open(path.parent, path.stem, Clock()) as journal:
        journal.append(SCENE[3][0], (long, long), 1300.0)
    for line in transcript(read(path), vocabulary).splitlines():
        assert len(line) <= WIDTH
        assert line == line.rstrip()


def test_new_attempts_and_lost_entries_show(path: Path) -> None:
    lines = path.read_bytes().split(b"\n")
    path.write_bytes(b"\n".join([*lines[:4], *lines[6:]]) + b"{torn")
    Journal.open(path.parent, path.stem, Clock()).close()
    text = transcript(read(path))
    assert "---- 2 entries lost here ----" in text
    assert "attempt 2, 5 bytes of a torn end set aside ----" in text
    assert "entry 4: It is missing" in text


def test_a_record_without_its_header_is_still_shown() -> None:
    text = transcript(parse(b"nothing\n", "x1"))
    assert text.startswith("Session x1\nUnit not named. Procedure not known. Began not known.")
    assert "Damage" in text


def test_what_was_spoken_is_told_as_it_was_heard(tmp_path: Path, vocabulary: Vocabulary) -> None:
    with Journal.create(tmp_path, header(), Clock()) as journal:
        spoken = Heard(3.0, (Hypothesis("forty two ten"),), Source.MICROPHONE)
        journal.append(Record(spoken, (observed(),)), (), 3.0)
    assert 'heard as "forty two ten"' in readings_table(read(journal.path), vocabulary)


@pytest.mark.parametrize(
    ("whole", "phases", "told"),
    [
        (
            6.0,
            {"cautions": 0.8, "facts": 0.7, "finding": 3.3, "proving": 1.2},
            "setting up 2, finding 3, verifying 1",
        ),
        (8.3, {"finding": 3.4, "repairing": 1.4, "proving": 2.3}, "setting up 1, finding 4, repair 1, verifying 2"),
        (31.0, {"surveying": 30.4}, "setting up 1, survey 30"),
    ],
)
def test_the_parts_of_the_time_add_up_to_the_whole(
    path: Path, whole: float, phases: dict[str, float], told: str
) -> None:
    one = replace(summary_of(path), minutes=whole, minutes_by_phase=phases, minutes_held=0.0)
    assert one.spent == f"{whole:.0f} minutes: {told}"
    assert sum(int(number) for number in re.findall(r"\d+", one.spent)[1:]) == round(whole)


def test_what_waits_is_the_cause_that_was_found(path: Path) -> None:
    one = replace(summary_of(path), causes=(), ending="found, waiting", suspected=("dead lamp",))
    assert ("Cause", ["dead lamp (found, not repaired)"]) in head_rows(one)
