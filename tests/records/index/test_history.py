"""The index: the same whether it grew or was made again; what it tells of a unit; how it shifts suspicion."""

from __future__ import annotations

from dataclasses import asdict, replace
from datetime import date, timedelta
from pathlib import Path

import pytest
from sqlalchemy import select

from assistant import catalog
from assistant.messages import HistoryWeight
from assistant.messages.decisions import (
    AccessOpened,
    CautionAcknowledged,
    CheckChosen,
    FixChosen,
    FixDeclined,
    FixDone,
    Observed,
)
from assistant.records.index import reading
from assistant.records.index.index import FILE, FOLDER, folder_index
from assistant.records.index.journals import these
from assistant.records.index.queries import (
    Done,
    Often,
    Then,
    Visit,
    comebacks,
    fails_most,
    matching,
    over_time,
    slope,
    visits,
    work_on,
)
from assistant.records.index.rows import Rows, rows_of
from assistant.records.index.schema import readings, repairs, sessions
from assistant.records.index.weights import COMEBACK, LEAST, REPEATED, REPLACED, told_by
from assistant.records.journal.reader import Session
from assistant.records.journal.writer import Journal
from assistant.records.report.page import html_report
from assistant.records.report.transcript import transcript
from assistant.records.store.folder import FolderStore
from assistant.records.summary.collect import summarize
from assistant.records.summary.summary import LEFT
from tests.records.samples import SCENE, Clock, header, write_scene
from tests.records.units import STARTED, play_unit

Placed = CautionAcknowledged | AccessOpened | CheckChosen | Observed | FixChosen | FixDone | FixDeclined
"""Decisions that have a place."""


def write(folder: Path, day: str, unit: str, *, upto: int | None = None, place: str = "left rear") -> str:
    """One invented session that counts as real, on a day."""
    name = f"{day.replace('-', '')}-080000-{unit[-3:]}"
    made = replace(header(name), started=f"{day}T08:00:00-05:00", unit=unit, invented=False, weights=())
    with Journal.create(folder, made, Clock()) as journal:
        for record, said, at in SCENE[:upto]:
            if place != "left rear":
                moved = tuple(
                    replace(one, place=place) if isinstance(one, Placed) and one.place else one
                    for one in record.decisions
                )
                record = replace(record, decisions=moved)  # noqa: PLW2901
            journal.append(record, said, at)
    return name


def content(folder: Path) -> list[object]:
    index = folder_index(folder)
    with index.connect() as connection:
        names = {row.number: row.id for row in connection.execute(select(sessions.c.number, sessions.c.id))}
        rows: list[object] = [tuple(row)[1:] for row in connection.execute(select(sessions).order_by(sessions.c.id))]
        for table in (readings, repairs):
            rows += sorted((names[row[0]], *tuple(row)[1:]) for row in connection.execute(select(table)))
    return rows


def test_growing_and_rebuilding_give_the_same(tmp_path: Path) -> None:
    store = FolderStore(tmp_path)
    index = store.index()
    names = [write(tmp_path, f"2026-0{month}-10", "0419") for month in range(1, 5)]
    for name in names:
        index.put(store, name)
        index.put(store, name)
    grown = content(tmp_path)
    assert len([row for row in grown if row[0] in names]) > 4  # type: ignore[index]
    assert index.rebuild(store) == 4
    assert content(tmp_path) == grown


@pytest.mark.parametrize("jobs", [1, pytest.param(2, marks=pytest.mark.sweep)])
def test_rebuilding_in_several_processes_gives_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, jobs: int
) -> None:
    monkeypatch.setattr("assistant.records.index.reading.BATCH", 2)
    for month in range(1, 6):
        write(tmp_path, f"2026-0{month}-10", "0419")
    told: list[tuple[int, int]] = []
    store = FolderStore(tmp_path)
    assert store.index().rebuild(store, lambda done, of: told.append((done, of)), jobs) == 5
    assert told == [(2, 5), (4, 5), (5, 5)]
    assert len([row for row in content(tmp_path) if str(row[1]).startswith("2026-")]) == 5  # type: ignore[index]


def test_a_record_with_a_number_twice_does_not_keep_the_others_out(tmp_path: Path) -> None:
    names = [write(tmp_path, "2026-01-10", "0419", upto=9), write(tmp_path, "2026-02-10", "0419")]
    with Journal.open(tmp_path, names[0], Clock()) as journal:
        journal.append(*SCENE[8])
        journal.append(*SCENE[8])
    store = FolderStore(tmp_path)
    assert store.index().rebuild(store) == 2
    assert {row[0] for row in content(tmp_path)} == set(names)  # type: ignore[index]


def test_refreshing_brings_in_what_changed(tmp_path: Path) -> None:
    store = FolderStore(tmp_path)
    index = store.index()
    first = write(tmp_path, "2026-01-10", "0419", upto=5)
    assert index.refresh(store) == 1
    assert index.refresh(store) == 0
    with Journal.open(tmp_path, first, Clock()) as journal:
        journal.append(*SCENE[5])
    second = write(tmp_path, "2026-02-10", "0419")
    assert index.refresh(store) == 2
    (tmp_path / f"{second}.jsonl").unlink()
    index.refresh(store)
    with index.connect() as connection:
        assert [one.id for one in visits(connection, "0419", invented=False)] == [first]


@pytest.fixture
def folded(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Identities of the sessions that were read through, in order."""
    seen: list[str] = []
    made = rows_of

    def counting(session: Session, *rest: object) -> Rows:
        seen.append(session.header.session_id)
        return made(session, *rest)  # type: ignore[arg-type]

    monkeypatch.setattr(reading, "rows_of", counting)
    return seen


def test_a_rebuild_reads_through_only_what_changed(
    tmp_path: Path, folded: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    store = FolderStore(tmp_path)
    names = [write(tmp_path, f"2026-0{month}-10", "0419", upto=9) for month in range(1, 7)]
    index = store.index()
    assert index.rebuild(store) == 6
    assert folded == names
    folded.clear()
    assert index.rebuild(store) == 6
    assert folded == [], "nothing changed"
    with Journal.open(tmp_path, names[0], Clock()) as journal:
        journal.append(*SCENE[9])
    store.name_technician(names[1], "Pat Example")
    third = tmp_path / f"{names[2]}.jsonl"
    third.write_bytes(third.read_bytes().replace(b'"4210"', b'"4211"', 1))  # as long as before
    (tmp_path / f"{names[3]}.jsonl").unlink()
    last = write(tmp_path, "2026-08-10", "0777")
    assert index.rebuild(store) == 6
    assert folded == [*names[:3], last]
    kept = content(tmp_path), index.found_in("tire worn")
    with index.connect() as connection:
        assert [one.technician for one in visits(connection, "0419", invented=False)].count("Pat Example") == 1
        sums = fails_most(connection, invented=False)
        damaged = select(sessions.c.id).where(sessions.c.damaged)
        assert list(connection.execute(damaged).scalars()) == [names[2]]
    folded.clear()
    assert index.rebuild(store, anew=True) == 6
    assert len(folded) == 6
    assert (content(tmp_path), index.found_in("tire worn")) == kept
    with index.connect() as connection:
        assert fails_most(connection, invented=False) == sums
    folded.clear()
    monkeypatch.setattr(reading, "_MAKER", b"another version")
    index.rebuild(store)
    assert len(folded) == 6, "another version reads them otherwise"


def test_a_damaged_index_is_no_reason_to_keep_what_it_says(tmp_path: Path) -> None:
    store = FolderStore(tmp_path)
    for month in range(1, 7):
        write(tmp_path, f"2026-0{month}-10", "0419")
    index = store.index()
    index.rebuild(store)
    kept = content(tmp_path)
    with index.connect() as connection:
        connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
    index.engine.dispose()
    path = tmp_path / FOLDER / FILE
    data = bytearray(path.read_bytes())
    for start in range(2 * 4096, len(data), 2 * 4096):  # every second page but the first ones
        data[start : start + 4096] = b"\xff" * 4096
    path.write_bytes(bytes(data))
    assert index.rebuild(store) == 6
    assert content(tmp_path) == kept


def test_a_copy_under_another_name_is_passed_by_after_every_rebuild(tmp_path: Path) -> None:
    store = FolderStore(tmp_path)
    name = write(tmp_path, "2026-01-10", "0419")
    (tmp_path / "20260110-080000-zzz.jsonl").write_bytes((tmp_path / f"{name}.jsonl").read_bytes())
    for _ in range(2):
        store.strangers.clear()
        store.index().rebuild(store)
        assert list(store.strangers) == ["20260110-080000-zzz.jsonl"]
        assert [row[0] for row in content(tmp_path) if row[0] == name]  # type: ignore[index]
        assert not [row for row in content(tmp_path) if row[0] == "20260110-080000-zzz"]  # type: ignore[index]


@pytest.mark.parametrize("how", ["removed", "not a database", "another version"])
def test_an_index_that_is_lost_or_foreign_is_made_again(tmp_path: Path, how: str) -> None:
    store = FolderStore(tmp_path)
    name = write(tmp_path, "2026-01-10", "0419")
    index = store.index()
    index.refresh(store)
    index.engine.dispose()
    path = tmp_path / FOLDER / FILE
    if how == "another version":
        with index.connect() as connection, connection.begin():
            connection.exec_driver_sql("UPDATE leadsman_state SET value = '0'")
        index.engine.dispose()
        index._made = False
    else:
        for one in path.parent.iterdir():
            one.unlink()
        if how == "not a database":
            path.write_bytes(b"somebody's notes" * 500)
            index._made = False
    again = store.index()
    again.refresh(store)
    with again.connect() as connection:
        assert [one.id for one in visits(connection, "0419", invented=False)] == [name]


def test_the_sums_follow_every_session_that_comes_and_goes(tmp_path: Path) -> None:
    """Kept up session by session they say what counting every repair says."""
    store = FolderStore(tmp_path)
    index = store.index()

    def told() -> tuple[list[Often], list[Often]]:
        with index.connect() as connection:
            return fails_most(connection, invented=False), fails_most(connection, invented=False, since="2000-01-01")

    names = []
    for day, unit in (("2026-01-10", "0419"), ("2026-01-20", "0419"), ("2026-02-10", "0777"), ("2026-02-11", "0888")):
        names.append(write(tmp_path, day, unit))
        index.put(store, names[-1])
        index.put(store, names[-1])
        assert told()[0] == told()[1] != []
    assert [(one.count, one.units, one.last) for one in told()[0]] == [(4, 3, "2026-02-11")]
    for name in (names[3], names[1]):
        (tmp_path / f"{name}.jsonl").unlink()
        index.refresh(store)
        assert told()[0] == told()[1]
    kept = told()
    assert [(one.count, one.units, one.last) for one in kept[0]] == [(2, 2, "2026-02-10")]
    index.rebuild(store)
    assert told() == kept


def test_a_unit_is_found_however_its_number_is_written(tmp_path: Path) -> None:
    store = FolderStore(tmp_path)
    write(tmp_path, "2026-01-10", "TR-0419")
    store.index().refresh(store)
    with store.index().connect() as connection:
        for unit in ("TR-0419", "tr 0419", "tr0419"):
            assert len(visits(connection, unit, invented=False)) == 1
        assert visits(connection, "419", invented=False) == []
        assert visits(connection, "TR-0419", invented=True) == []


def test_what_a_unit_has_behind_it(tmp_path: Path) -> None:
    store = FolderStore(tmp_path)
    write(tmp_path, "2026-01-10", "0419")
    write(tmp_path, "2026-03-01", "0419")
    write(tmp_path, "2026-03-20", "0419", place="right rear")
    write(tmp_path, "2026-03-25", "0777", upto=6)
    store.technician("x")
    store.index().refresh(store)
    with store.index().connect() as connection:
        past = visits(connection, "0419", invented=False)
        done = work_on(connection, "0419", invented=False)
        assert [one.started[:10] for one in past] == ["2026-03-20", "2026-03-01", "2026-01-10"]
        assert [(one.day, one.title, one.place, one.confirmed) for one in done] == [
            ("2026-03-20", "sensor replaced", "right rear", "proven"),
            ("2026-03-01", "sensor replaced", "left rear", "proven"),
            ("2026-01-10", "sensor replaced", "left rear", "proven"),
        ]
        back = comebacks(past, done, "0419")
        assert [(one.day, one.days, one.repaired, one.same_place) for one in back] == [
            ("2026-03-20", 19, "sensor replaced, left rear", False)
        ]
        most = fails_most(connection, invented=False)
        assert [(one.fault, one.count, one.units, one.last) for one in most] == [("open sensor", 3, 1, "2026-03-20")]
        assert fails_most(connection, invented=False, since="2026-03-02")[0].count == 1
        rows = over_time(connection, "0419", "ohms", "Left Rear", invented=False)
        assert [(str(one.value), one.after_repair) for one in rows] == [("4210", False), ("1200", True)] * 2
        assert [one.ending for one in matching(connection, unit="0777")] == [LEFT]
        assert len(matching(connection, place="left rear", fault="open SENSOR")) == 2
        assert len(matching(connection, since="2026-03-01", until="2026-03-20")) == 2
        assert matching(connection, fault="100%_") == []


def test_the_trend_is_a_line_through_the_days() -> None:
    """Least squares by hand: 100 ohms in 365.25 days (worked out here)."""

    def then(day: str, value: int) -> Then:
        from decimal import Decimal

        return Then(day, "x", "ohms", "left rear", Decimal(value), "ohm", None, None, "good", after_repair=False)

    days = [date(2025, 1, 1) + timedelta(days=number * 100) for number in range(4)]
    rows = [then(day.isoformat(), 1000 + 40 * number) for number, day in enumerate(days)]
    assert slope(rows) == pytest.approx(0.4 * 365.25)
    assert slope(rows[:2]) is None


# weights

POSITIONS = {"open": ("left rear", "right rear"), "backed off": ("left rear", "right rear"), "ground": (None,)}
PARTS = {"open": "sensor"}
"""Fault to the part that its repair put in."""


def visit(day: str, name: str = "a") -> Visit:
    return Visit(name, f"{day}T08:00:00-05:00", "abs", "cured and proven", "", 60.0, "", invented=False)


def done(day: str, fault: str = "open", place: str = "left rear", name: str = "a", confirmed: str = "proven") -> Done:
    return Done(name, day, f"{fault} mended", place, PARTS.get(fault) or "", fault, fault, confirmed, "abs")


def weights(past: list[Visit], work: list[Done], today: str) -> dict[tuple[str, str | None], float]:
    told = told_by(past, work, date.fromisoformat(today), "abs", POSITIONS)
    return {(one.fault, one.place): one.times for one in told.weights}


def test_a_unit_that_was_never_here_changes_nothing() -> None:
    assert asdict(told_by([], [], date(2026, 3, 1), "abs", POSITIONS)) == {
        "sentence": "", "weights": (), "found": None, "counted": "", "facts": {}, "seen": "",
    }  # fmt: skip


def test_a_replaced_part_is_less_likely_and_that_fades() -> None:
    past, work = [visit("2026-01-01")], [done("2026-01-01")]
    assert weights(past, work, "2026-02-15")["open", "left rear"] == pytest.approx(
        REPLACED ** (1 - 45 / 365), abs=1e-3
    )
    assert weights(past, work, "2026-12-20")["open", "left rear"] > 0.9
    assert weights(past, work, "2027-02-01") == {}
    assert weights(past, [done("2026-01-01", "backed off")], "2026-03-15") == {}
    assert weights(past, [done("2026-01-01", confirmed="")], "2026-02-15") == {}


def test_a_comeback_raises_what_else_can_be_wrong_there() -> None:
    found = weights([visit("2026-03-01")], [done("2026-03-01")], "2026-03-11")
    assert found["backed off", "left rear"] == COMEBACK
    assert found["open", "left rear"] < 0.5
    assert ("backed off", "right rear") not in found
    assert ("ground", None) not in found


def test_the_same_fault_again_and_again_is_more_likely() -> None:
    past = [visit("2026-01-01", "b"), visit("2025-06-01", "a")]
    work = [done("2026-01-01", "backed off", name="b"), done("2025-06-01", "backed off")]
    assert weights(past, work, "2026-03-01") == {("backed off", "left rear"): REPEATED}


def test_factors_stay_within_bounds() -> None:
    days = ["2026-03-01", "2026-02-20"]
    past = [visit(day, day) for day in days]
    work = [done(day, name=day) for day in days]
    assert all(LEAST <= times <= 4.0 for times in weights(past, work, "2026-03-02").values())


@pytest.mark.parametrize(
    ("day", "today", "words"),
    [
        ("2026-03-01", "2026-06-01", "was here 1 time before: open mended, left rear, in March."),
        ("2025-03-01", "2026-06-01", "was here 1 time before: open mended, left rear, in March 2025."),
        ("2026-03-01", "2026-03-11", "was here 1 time before: open mended, left rear, in March, 10 days ago."),
    ],
)
def test_one_sentence_tells_it(day: str, today: str, words: str) -> None:
    told = told_by([visit(day)], [done(day)], date.fromisoformat(today), "abs", POSITIONS)
    assert told.sentence == f"This unit {words}"
    bare = told_by([visit(day)], [], date.fromisoformat(today), "abs", POSITIONS)
    assert "without a confirmed repair" in bare.sentence


def test_a_new_session_on_the_unit_starts_with_its_history(tmp_path: Path) -> None:
    """The factors stand in the header with their reasons, and the record still replays."""
    from assistant.composition import context_from
    from assistant.records.journal.replay import replay

    first = play_unit(tmp_path, ("sensor open", "left rear"), unit="4019", invented=False)
    second = play_unit(
        tmp_path, ("sensor open", "left rear"), unit="4019", started=STARTED + timedelta(days=12), invented=False
    )
    assert first.header.weights == ()
    found = {(one.fault, one.place): one for one in second.header.weights}
    weight = found["sensor open", "left rear"]
    assert isinstance(weight, HistoryWeight)
    assert weight.times < 0.5
    assert "Replaced in March" in weight.because
    assert found["corroded plug", "left rear"].times == COMEBACK
    assert replay(second, context_from(second.header)).same
    demo = play_unit(tmp_path, ("sensor open", "left rear"), unit="4019", started=STARTED + timedelta(days=20))
    assert demo.header.weights == ()


def test_a_number_told_inside_the_session_brings_its_history(tmp_path: Path) -> None:
    """One sentence, and factors that transcript and report show; the record replays without an index."""
    from assistant.composition import context_from
    from assistant.records.journal.replay import replay

    play_unit(tmp_path, ("sensor open", "left rear"), invented=False)
    second = play_unit(tmp_path, ("sensor open", "left rear"), started=STARTED + timedelta(days=12), invented=False)
    assert second.header.unit == ""
    assert second.header.weights == ()
    told = [entry for _, entry in second.entries() if entry.fact.kind == "history_told"]
    assert len(told) == 1
    sentence = told[0].said[0]
    assert sentence.startswith("This unit was here 1 time before: ")
    assert "12 days ago" in sentence
    assert "less likely: " in sentence
    summary = summarize(second)
    found = {(one.fault, one.place): one for one in summary.weights}
    assert found["sensor open", "left rear"].times < 0.5
    assert found["corroded plug", "left rear"].times == COMEBACK
    text = transcript(second, catalog.load_vocabulary())
    assert "suspicion times 3" in text
    assert "history of unit 4019" in text
    assert "Suspicion times 3" in html_report(summary, catalog.load_vocabulary())
    (tmp_path / FOLDER / FILE).unlink()
    assert replay(second, context_from(second.header)).same


def test_a_unit_that_was_never_here_brings_nothing(tmp_path: Path) -> None:
    session = play_unit(tmp_path, ("sensor open", "left rear"), invented=False)
    told = [entry for _, entry in session.entries() if entry.fact.kind == "history_told"]
    assert [one.kind for entry in told for one in entry.decisions][:1] == ["history_taken"]
    assert all("was here" not in text for entry in told for text in entry.said)


def test_search_goes_through_the_index(tmp_path: Path) -> None:
    store = FolderStore(tmp_path)
    write_scene(tmp_path)
    name = write(tmp_path, "2026-04-01", "0777", upto=3)
    assert store.index().candidates(store, "tire worn") == [header().session_id]
    assert store.index().candidates(store, "chock") == [name, header().session_id]
    assert store.index().candidates(store, '" OR *') == []
    assert store.index().candidates(store, "zebra") == []


def test_records_are_read_some_at_once_in_the_order_asked_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One that cannot be read is left out and named, and the others are still there."""
    monkeypatch.setattr("assistant.records.index.journals.AT_ONCE", 2)
    store = FolderStore(tmp_path)
    names = [write(tmp_path, f"2026-04-0{day}", f"07{day}7") for day in (1, 4, 2, 5, 3)]
    assert [one.header.session_id for one in these(store, names)] == names
    gone = tmp_path / f"{names[1]}.jsonl"
    gone.unlink()
    gone.mkdir()
    assert [one.header.session_id for one in these(store, names)] == [names[0], *names[2:]]
    assert names[1] in str(store.strangers)
