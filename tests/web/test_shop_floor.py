"""Where the page's sessions live: a folder or the shop's database, with the sound of answers or without."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
import soundfile

from assistant.clock import SystemClock
from assistant.commands.lead.serving import ShopFloor
from assistant.commands.lead.shop_rows import LISTED
from assistant.composition import new_session, resume_session
from assistant.messages import Heard
from assistant.records.index import listing
from assistant.records.journal.private import sounds_of
from assistant.records.journal.sound import NOTICE
from assistant.records.store.folder import FolderStore
from assistant.records.store.ports import find
from assistant.records.store.postgresql import DatabaseStore, open_database
from tests.records.cluster import Cluster, private_cluster
from tests.web.conftest import FakeHearing, Floor, FloorMaker, Line, noise, voice
from tests.web.test_websocket import speak


@pytest.fixture(scope="module")
def cluster() -> Iterator[Cluster]:
    """A database server of the tests' own."""
    yield from private_cluster()


@pytest.fixture
def shared(cluster: Cluster, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[DatabaseStore]:
    """The shop's database as this machine reaches it."""
    monkeypatch.setenv("LEADSMAN_DATABASE", cluster.address)
    store = open_database(tmp_path / "records")
    yield store
    store.engine.dispose()


@pytest.mark.postgresql
def test_a_session_begun_on_one_machine_goes_on_on_the_page(
    shared: DatabaseStore, make_floor: FloorMaker, tmp_path: Path
) -> None:
    """And back: nothing of it is lost, one at a time writes, and the list and the record are the shared ones."""
    desk = open_database(tmp_path / "desk")
    floor = make_floor(store=shared)
    floor.pair()
    work = new_session("lamp", desk, SystemClock(), unit="4471")
    session = work.header.session_id
    row = floor.client.get("/api/home").json()["records"][0]
    assert (row["id"], row["unit"], row["ending"]) == (session, "4471", "left")
    refused = floor.post("/api/resume", {"id": session, "key": "key-resume-1"})
    assert (refused.status_code, "another machine" in refused.json()["error"]) == (409, True)
    work.journal.close()
    assert floor.post("/api/resume", {"id": session, "key": "key-resume-2"}).json() == {"id": session}
    with floor.talk(session) as socket:
        line = Line(socket)
        line.answer("answer-1", line.standing(1), "next")
        assert line.fate("answer-1")["fate"] == "taken"
        line.standing(2)
        assert floor.post("/api/leave", {"id": session}).status_code == 200
    assert "<h1>Unit 4471</h1>" in floor.client.get(f"/record/{session}").text
    assert floor.client.get("/record/last").status_code == 404
    again, _ = resume_session(desk, session, SystemClock)
    assert again.state.phase.value == "facts"
    again.journal.close()
    heard = [one.fact for _, one in find(desk, session).entries() if isinstance(one.fact, Heard)]
    assert [one.hypotheses[0].words for one in heard] == ["next"]
    desk.engine.dispose()


@pytest.mark.postgresql
def test_a_database_that_goes_away_is_a_sentence_on_the_page(
    cluster: Cluster, shared: DatabaseStore, make_floor: FloorMaker
) -> None:
    """What the page shows then says what to do, and holds no secret."""
    floor = make_floor(store=shared)
    floor.pair()
    cluster.stop("immediate")
    try:
        answer = floor.client.get("/api/home")
    finally:
        cluster.start()
    assert answer.status_code == 409
    assert "Cannot use the database" in answer.json()["error"]
    assert "secret" not in answer.text


def spoken_session(floor: Floor) -> str:
    """Two spoken answers, one overheard in between."""
    floor.pair()
    session = floor.start()
    with floor.talk(session) as socket:
        line = Line(socket)
        standing = line.standing(1)
        speak(line, "spoken-0", standing, noise(0.2) + voice(0.5) + noise(0.2), held=True)
        line.until(lambda one: one["kind"] == "nothing")
        speak(line, "spoken-1", standing, noise(0.2) + voice(0.5) + noise(0.2), held=True)
        assert line.fate("spoken-1")["fate"] == "taken"
        standing = line.standing(2)
        line.answer("typed-answer-2", standing, "disc")
        line.fate("typed-answer-2")
        line.standing(3)
        kept = line.welcome["keeps_sound"]
        assert kept is (NOTICE in line.texts())
    floor.post("/api/leave", {"id": session})
    return session


def test_sound_is_kept_beside_its_entry_when_asked_for(make_floor: FloorMaker) -> None:
    """Of the accepted spoken answer alone; it is said at the start, and shown."""
    floor = make_floor(hearing=FakeHearing("[unclear]", "next"), keep_sound=True)
    session = spoken_session(floor)
    kept = sounds_of(floor.records, session)
    assert len(kept) == 1
    ((number, path),) = kept.items()
    facts = {line.seq: one.fact for line, one in find(FolderStore(floor.records), session).entries()}
    fact = facts[number]
    assert isinstance(fact, Heard)
    assert fact.hypotheses[0].words == "next"
    info = soundfile.info(path)
    assert (info.samplerate, info.channels) == (16000, 1)
    assert 0.8 < info.duration < 1.0


def test_no_sound_is_kept_unless_asked_for(make_floor: FloorMaker) -> None:
    """The usual case: nothing of it on disk, and nothing is said about it."""
    floor = make_floor(hearing=FakeHearing("[unclear]", "next"))
    session = spoken_session(floor)
    assert sounds_of(floor.records, session) == {}


def test_the_list_reads_only_what_has_grown(lamp_shop: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A shop's thousand records are not read again for each look at the first view."""
    assert lamp_shop.is_dir()
    store = FolderStore(tmp_path / "records")
    for number in range(3):
        new_session("lamp", store, SystemClock(), unit=str(number)).journal.close()
    floor = ShopFloor(store)
    assert {row.unit for row in floor.records()} == {"0", "1", "2"}
    read: list[str] = []
    data = FolderStore.data

    def noted(self: FolderStore, name: str) -> bytes:
        read.append(name)
        return data(self, name)

    monkeypatch.setattr(FolderStore, "data", noted)
    assert len(floor.records()) == 3
    assert read == []
    work, _ = resume_session(store, store.ids()[0], SystemClock)
    read.clear()
    assert len(floor.records()) == 3
    assert read == [store.ids()[0]]
    work.journal.close()
    assert LISTED >= 100


def test_a_list_of_many_asks_the_index_and_reads_only_what_stands_on_the_board(
    lamp_shop: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No name is gone through where nothing changed, and no journal read that is neither new nor on the board."""
    assert lamp_shop.is_dir()
    monkeypatch.setattr(listing, "FEW", 2)
    monkeypatch.setattr("assistant.commands.lead.shop_rows.LISTED", 3)
    store = FolderStore(tmp_path / "records")
    for number in range(5):
        new_session("lamp", store, SystemClock(), unit=str(number)).journal.close()
    floor = ShopFloor(store)
    assert [row.unit for row in floor.records()] == ["4", "3", "2"]
    assert {row.unit for row in floor.board()} == {"4", "3", "2"}
    looked: list[str] = []
    data, ids = FolderStore.data, FolderStore.ids

    def noted(self: FolderStore, name: str) -> bytes:
        looked.append(name)
        return data(self, name)

    def named(self: FolderStore) -> list[str]:
        looked.append("every name")
        return ids(self)

    monkeypatch.setattr(FolderStore, "data", noted)
    monkeypatch.setattr(FolderStore, "ids", named)
    assert len(floor.records()) == len(floor.board()) == 3
    assert looked == []
