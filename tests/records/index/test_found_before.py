"""A repair that waits is carried over: the next session on the unit begins there, through record and index."""

from __future__ import annotations

from datetime import UTC, date, datetime
from functools import partial
from pathlib import Path

import pytest

from assistant.messages import FoundBefore
from assistant.messages.decisions import CheckChosen, FixDone, HistoryTaken, Observed
from assistant.procedure.load import load_procedure
from assistant.records.index.found_before import day_in_words, found_in
from assistant.records.index.start import history_of
from assistant.records.journal.reader import Session
from assistant.records.report.transcript import transcript
from assistant.records.store.folder import FolderStore
from assistant.records.summary.collect import summarize
from tests.records.units import play_unit

FIX = "fix:replace the sensor:left rear"
WAITS = {FIX: ["skip"], f"skip:{FIX}": ["waiting for a sensor"]}
FAULT = ("sensor open", "left rear")
LATER = datetime(2026, 3, 9, 8, 0, tzinfo=UTC)
YES = {"offer:found before": ["yes"]}


@pytest.fixture(scope="module")
def put_off(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Session]:
    """A folder with one session: an open sensor was found, and the part is not in stock."""
    folder = tmp_path_factory.mktemp("records")
    return folder, play_unit(folder, FAULT, says=WAITS, number="4019")


def decided(session: Session, kind: type) -> list[object]:
    return [one for _, entry in session.entries() for one in entry.decisions if isinstance(one, kind)]


def found(session: Session) -> FoundBefore | None:
    return found_in(session, load_procedure("trailer-abs-light-on").procedure, date(2026, 3, 9))


def test_the_session_ends_found_and_waiting(put_off: tuple[Path, Session]) -> None:
    assert summarize(put_off[1]).ending == "found, waiting"
    told = found(put_off[1])
    assert told is not None
    assert (told.fault, told.place, told.fix) == ("sensor open", "left rear", "replace the sensor")
    assert told.day == "March 2"
    assert told.suspect == "Open sensor, left rear"
    assert told.reason == "waiting for a sensor"
    assert told.readings, "what condemned it is told"
    assert all("(2026-03-02)" in one for one in told.readings)
    assert any("over range" in one for one in told.readings)


def test_the_next_session_goes_straight_to_the_repair(put_off: tuple[Path, Session]) -> None:
    folder, _ = put_off
    session = play_unit(folder, FAULT, says=YES, number="4019", started=LATER)
    taken = decided(session, HistoryTaken)
    assert isinstance(taken[-1], HistoryTaken)
    assert taken[-1].found is not None
    assert not decided(session, CheckChosen), "nothing is measured anew first"
    assert not decided(session, Observed)
    assert [(one.fix, one.place) for one in decided(session, FixDone)] == [("replace the sensor", "left rear")]  # type: ignore[attr-defined]
    told = summarize(session)
    assert told.ending == "cured and proven"
    assert told.causes == ("open sensor, left rear",)
    printed = " ".join(transcript(session).split())
    assert "Open sensor, left rear was found on March 2. It waited: waiting for a sensor. Read then:" in printed
    assert "over range (2026-03-02)" in printed
    store = FolderStore(folder)
    procedure = load_procedure("trailer-abs-light-on").procedure
    asked = partial(history_of, store, procedure=procedure, now=LATER.replace(day=20), invented=True)
    assert asked("4019").found is None, "it was mended since"
    first_only = asked("4019", but=session.header.session_id)
    assert first_only.found == taken[-1].found, "what a header keeps for a unit that is named at the start"
    assert asked("5555").found is None, "another unit"
    other = load_procedure("battery-and-charging").procedure
    assert history_of(store, "4019", other, LATER, invented=True, but=session.header.session_id).found is None


def test_put_off_again_the_first_day_and_its_readings_stay(put_off: tuple[Path, Session], tmp_path: Path) -> None:
    play_unit(tmp_path, FAULT, says=WAITS, number="4019")
    again = {**YES, FIX: ["skip"], f"skip:{FIX}": ["still on order"]}
    session = play_unit(tmp_path, FAULT, says=again, number="4019", started=LATER)
    assert summarize(session).ending == "found, waiting"
    told, first = found(session), found(put_off[1])
    assert told is not None
    assert first is not None
    assert (told.day, told.readings, told.reason) == (first.day, first.readings, "still on order")


def test_another_procedure_knows_nothing_of_it(put_off: tuple[Path, Session]) -> None:
    assert found_in(put_off[1], load_procedure("battery-and-charging").procedure, date(2026, 3, 9)) is None


@pytest.mark.parametrize(
    ("started", "words"),
    [
        ("2026-03-03T13:40:00+00:00", "March 3"),
        ("2025-03-03T08:00", "March 3, 2025"),
        ("not a day", "an unknown day"),
    ],
)
def test_a_day_is_named_with_its_year_where_it_is_long_ago(started: str, words: str) -> None:
    assert day_in_words(started, date(2026, 3, 9)) == words
