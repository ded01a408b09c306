"""A running session while the database is frozen, away or back: told within three seconds, kept, handed over."""

from __future__ import annotations

import time
from dataclasses import replace
from io import StringIO
from pathlib import Path

import pytest
from sqlalchemy.exc import SQLAlchemyError

from assistant.clock import ScriptedClock
from assistant.composition import new_session, resume_session
from assistant.display.terminal import Screen
from assistant.errors import OperatorError
from assistant.loop import Loop
from assistant.messages import Expectation, Fact, Resumed
from assistant.records.journal.verify import verify
from assistant.records.journal.writer import Journal
from assistant.records.store import spill
from assistant.records.store.folder import FolderStore
from assistant.records.store.handover import hand_over
from assistant.records.store.ports import find
from assistant.records.store.postgresql import DatabaseStore, open_database
from assistant.records.store.postgresql_connection import ImpatientConnection
from assistant.records.store.spill import SpillingJournal
from tests.fakes import FakeClock, FakeListener
from tests.records.cluster import Cluster
from tests.records.samples import SCENE, Clock, header

pytestmark = pytest.mark.postgresql
ID = header().session_id


@pytest.fixture(autouse=True)
def look_often(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(spill, "RETRY", 0.1)


def begun(store: DatabaseStore, count: int = 2) -> SpillingJournal:
    journal = store.create(replace(header(), invented=False), Clock())
    for record, said, at in SCENE[:count]:
        journal.append(record, said, at)
    assert journal.moved() == ""
    return journal


def until_back(journal: SpillingJournal) -> None:
    """Wait until the database was seen again."""
    ends = time.monotonic() + 20
    while not journal._back.is_set():
        assert time.monotonic() < ends, "the database was never seen again"
        time.sleep(0.02)


def whole(store: DatabaseStore, count: int) -> None:
    session = find(store, ID)
    assert verify(session).whole
    assert [entry.decisions for _, entry in session.entries()] == [record.decisions for record, _, _ in SCENE[:count]]


def test_a_session_goes_on_here_while_the_server_is_frozen(store: DatabaseStore, cluster: Cluster) -> None:
    """The first entry within three seconds, the next at once; afterwards all of it is in the database alone."""
    journal, folder = begun(store), store.folder
    cluster.freeze()
    try:
        took = []
        for number in (2, 3, 4):
            at = time.monotonic()
            assert journal.append(*SCENE[number]) == number + 1
            took.append(time.monotonic() - at)
        assert journal.moved() == "here"
        assert journal.moved() == ""
        assert took[0] < 3.0, took
        assert max(took[1:]) < 0.5, took
        assert str(folder / f"{ID}.jsonl") in journal.where
        kept = find(FolderStore(folder), ID)
        assert verify(kept).whole
        assert len(list(kept.entries())) == 5
    finally:
        cluster.thaw()
    until_back(journal)
    for number in range(5, len(SCENE)):
        assert journal.append(*SCENE[number]) == number + 1
    assert journal.moved() == "back"
    journal.close()
    whole(store, len(SCENE))
    assert FolderStore(folder).ids() == []
    assert list(hand_over(FolderStore(folder), store)) == []


def test_a_server_that_never_comes_back_leaves_it_for_the_handover(store: DatabaseStore, cluster: Cluster) -> None:
    journal, folder = begun(store), store.folder
    cluster.stop("immediate")
    try:
        assert journal.append(*SCENE[2]) == 3
        journal.close()
    finally:
        cluster.start()
    assert [one.fresh for one in hand_over(FolderStore(folder), store)] == [1]
    whole(store, 3)
    again = store.open(ID, Clock())
    assert again.append(*SCENE[3]) == 5  # 4 says that it was taken up again
    again.close()


def test_what_is_still_here_at_the_end_is_handed_over_when_it_closes(store: DatabaseStore, cluster: Cluster) -> None:
    journal, folder = begun(store), store.folder
    cluster.stop("immediate")
    try:
        journal.append(*SCENE[2])
    finally:
        cluster.start()
    ImpatientConnection.silent_at = -1e9
    journal.close()
    whole(store, 3)
    assert FolderStore(folder).ids() == []


def test_it_may_freeze_again_and_again(store: DatabaseStore, cluster: Cluster) -> None:
    journal = begun(store, 0)
    for number, entry in enumerate(SCENE):
        if number in (0, 1, 7):
            cluster.freeze()
        assert journal.append(*entry) == number + 1
        if number in (0, 1, 7):
            cluster.thaw()
            until_back(journal)
    journal.close()
    whole(store, len(SCENE))


def test_a_connection_that_was_cut_is_made_anew_without_a_word(store: DatabaseStore) -> None:
    journal = begun(store)
    connection = journal._shared._connection
    assert connection is not None
    driver = connection.connection.dbapi_connection
    assert driver is not None
    driver.close()
    assert journal.append(*SCENE[2]) == 3
    assert journal.moved() == ""
    assert FolderStore(store.folder).ids() == []
    journal.close()
    whole(store, 3)


def test_a_commit_whose_answer_was_lost_is_not_doubled_by_the_file(
    store: DatabaseStore, cluster: Cluster, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The line is in the database; here it stands with the same bytes, so that both are one."""
    journal = begun(store)
    connection = journal._shared._connected()
    commit = type(connection).commit

    def lost(self: object) -> None:
        commit(self)  # type: ignore[arg-type]
        cluster.stop("immediate")
        raise SQLAlchemyError("the answer was lost")

    monkeypatch.setattr(type(connection), "commit", lost)
    try:
        assert journal.append(*SCENE[2]) == 3
    finally:
        monkeypatch.undo()
        cluster.start()
    assert journal.moved() == "here"
    journal.append(*SCENE[3])
    journal.close()
    whole(store, 4)


def test_another_machine_that_went_on_meanwhile_is_named_and_nothing_is_mixed(
    store: DatabaseStore, cluster: Cluster, tmp_path: Path
) -> None:
    journal, folder = begun(store), store.folder
    cluster.stop("immediate")
    try:
        journal.append(*SCENE[2])
    finally:
        cluster.start()
    other = open_database(tmp_path / "other")
    there = other.open(ID, Clock())
    there.append(*SCENE[4])
    there.close()
    before = other.data(ID)
    until_back(journal)
    assert journal.append(*SCENE[3]) == 4
    journal.close()
    assert other.data(ID) == before
    (one,) = hand_over(FolderStore(folder), store)
    assert "continued in two places" in one.problem
    assert len(list(find(FolderStore(folder), ID).entries())) == 4
    other.engine.dispose()


def test_when_this_machine_cannot_keep_it_either_both_are_named(store: DatabaseStore, cluster: Cluster) -> None:
    journal, folder = begun(store), store.folder
    folder.mkdir(parents=True, exist_ok=True)
    (folder / f"{ID}.jsonl").write_text("something else\n", encoding="utf-8")
    cluster.stop("immediate")
    try:
        with pytest.raises(OperatorError, match=r"Entry 3 is not in the database .*Another record of session"):
            journal.append(*SCENE[2])
    finally:
        cluster.start()
    assert journal.append(*SCENE[2]) == 3
    journal.close()
    whole(store, 3)
    assert (folder / f"{ID}.jsonl").read_text(encoding="utf-8") == "something else\n"


def test_a_led_session_says_where_it_is_kept(store: DatabaseStore, cluster: Cluster) -> None:
    """Once when it comes here and once when it is back, before the answer's own reply; a resume elsewhere goes on."""
    clock, told = ScriptedClock(Clock().wall()), StringIO()
    work = new_session("trailer-abs-light-on", store, clock)
    assert isinstance(work.journal, SpillingJournal)
    kept = work.journal

    class Freezing(FakeListener):
        turn = 0

        def listen(self, expectation: Expectation, seconds: float | None) -> Fact:
            if self.turn == 1:
                told.write("[frozen]")
                cluster.freeze()
            elif kept._local is not None and "[thawed]" not in told.getvalue():
                told.write("[thawed]")
                cluster.thaw()
                until_back(kept)
            self.turn += 1
            return super().listen(expectation, seconds)

    listener = Freezing(["next", "yes", "4019", "trailer light", "yes", "yes"], FakeClock())
    loop = Loop(work.context, work.state, kept, listener, Screen(out=told), clock, moved=kept.moved)
    try:
        loop.run()
    finally:
        cluster.thaw()
        kept.close()
    text = " ".join(told.getvalue().split())
    here, back = (
        "From here on this session is kept on this machine.",
        "The database is back. It has this session again.",
    )
    assert text.count(here) == text.count(back) == 1, text
    assert text.index("[frozen]") < text.index(here) < text.index("[thawed]") < text.index(back)
    again, _ = resume_session(store, work.header.session_id, lambda _: clock)
    stops = FakeListener(["stop"], FakeClock())
    Loop(again.context, again.state, again.journal, stops, Screen(out=told), clock).run(Resumed(at=9.0))
    again.journal.close()
    assert verify(find(store, work.header.session_id)).whole


def test_a_file_goes_on_with_what_was_written_elsewhere(tmp_path: Path) -> None:
    """Byte for byte, and only where what lies there already is its beginning."""
    with Journal.create(tmp_path / "first", header(), Clock()) as journal:
        for entry in SCENE[:3]:
            journal.append(*entry)
        data = journal.data()
    for lies in (b"", data[:500], data):
        folder = tmp_path / f"with-{len(lies)}"
        folder.mkdir()
        if lies:
            (folder / f"{ID}.jsonl").write_bytes(lies)
        with Journal.carry_on(folder, ID, data, Clock()) as going:
            assert going.append(*SCENE[3]) == 4
        assert (folder / f"{ID}.jsonl").read_bytes().startswith(data)
        assert verify(find(FolderStore(folder), ID)).whole
    with pytest.raises(OperatorError, match="Another record"):
        Journal.carry_on(tmp_path / "first", ID, data[:500], Clock())
    assert (tmp_path / "first" / f"{ID}.jsonl").read_bytes() == data
