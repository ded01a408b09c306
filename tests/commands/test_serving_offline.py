"""The page served while the shop's database is away: sessions go on in the folder, and to it once it is back."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import create_engine

from assistant.clock import SystemClock
from assistant.commands.lead.serving import ShopFloor
from assistant.commands.lead.serving_offline import Returning, open_store_or_wait
from assistant.composition import new_session
from assistant.errors import OperatorError
from assistant.records.store.folder import FolderStore
from assistant.records.store.postgresql import DatabaseStore
from tests.inputs.sound_card import until
from tests.procedure.small import SMALL
from tests.records.cluster import Cluster, private_cluster
from tests.records.samples import SCENE


@pytest.fixture(autouse=True)
def _lamp(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "shop" / "dialogs").mkdir(parents=True)
    (tmp_path / "shop" / "dialogs" / "lamp.toml").write_text(SMALL, encoding="utf-8")
    monkeypatch.setenv("LEADSMAN_SHOP", str(tmp_path / "shop"))


@pytest.fixture
def cluster() -> Iterator[Cluster]:
    yield from private_cluster()


def test_a_folder_is_opened_as_before_and_an_invalid_address_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[str] = []
    place, away = open_store_or_wait(tmp_path, "folder", told.append)
    assert isinstance(place, FolderStore)
    assert not away
    monkeypatch.setenv("LEADSMAN_DATABASE", "mysql://here")
    with pytest.raises(OperatorError, match="no address of a PostgreSQL"):
        open_store_or_wait(tmp_path, "postgresql", told.append)
    assert not told


def test_away_at_the_start_and_back_later(cluster: Cluster, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """One session is left while it is away, one is open when it comes back; in the end it has both, and new ones."""
    records = tmp_path / "records"
    monkeypatch.setenv("LEADSMAN_DATABASE", cluster.address)
    cluster.stop("immediate")
    told: list[str] = []
    place, away = open_store_or_wait(records, "postgresql", told.append)
    assert away
    assert isinstance(place, FolderStore)
    assert "Sessions are kept in" in told[0]
    assert "leadsman handover" in told[1]
    floor = ShopFloor(place)
    left = new_session("lamp", place, SystemClock(), unit="4471")
    left.journal.close()
    opened = floor.start("lamp", "9", "", "")
    moved = threading.Event()

    def move(store: DatabaseStore) -> None:
        floor.move(store)
        moved.set()

    with Returning(records, move, told.append, retry=0.2).waiting():  # type: ignore[arg-type]
        until(lambda: len(told) == 2 and not moved.is_set(), "it to be away")
        cluster.start()
        until(lambda: any("handed over" in one for one in told[2:]), "the session that was left in the database")
        assert any(one.startswith("The database is back: new sessions are kept in the database") for one in told)
        fresh = floor.start("lamp", "12", "", "")
        fresh.close()
        opened.close()
        again = floor.resume(opened.id)  # open when the database came back: it goes on where it was begun
        again.close()
        assert floor.record(opened.id) is not None
        taken_up = floor.resume(left.header.session_id)
        taken_up.close()
    engine = create_engine(cluster.address.replace("postgresql:", "postgresql+psycopg:"))
    shared = DatabaseStore(engine, records)
    assert set(shared.ids()) == {left.header.session_id, opened.id, fresh.id}
    assert shared.data(opened.id) == FolderStore(records).data(opened.id)
    assert not FolderStore(records).has(fresh.id)
    assert len(shared.data(left.header.session_id)) > len(FolderStore(records).data(left.header.session_id))
    engine.dispose()


@pytest.mark.postgresql
def test_what_is_kept_here_goes_over_while_the_page_runs(
    cluster: Cluster, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The database stops in two sessions. Once it is back, a look gives it the one that was closed; the open one is
    let alone until it is closed too; what lay on the machine before stays there."""
    records = tmp_path / "records"
    monkeypatch.setenv("LEADSMAN_DATABASE", cluster.address)
    before = new_session("lamp", FolderStore(records), SystemClock(), unit="1")
    before.journal.close()
    told: list[str] = []
    place, away = open_store_or_wait(records, "postgresql", told.append)
    assert not away
    assert isinstance(place, DatabaseStore)
    returning = Returning(records, lambda _: None, told.append, there=place)
    closed, left_open = (new_session("lamp", place, SystemClock(), unit=unit) for unit in ("2", "3"))
    cluster.stop("immediate")
    for work in (closed, left_open):
        work.journal.append(*SCENE[0])
        assert FolderStore(records).has(work.header.session_id), "it goes on here"
    closed.journal.close()
    returning.look()
    assert told == [], "away: nothing is said, and nothing is lost"
    cluster.start()
    place.engine.dispose()  # its connections ended with the server
    here = FolderStore(records)
    returning.look()
    assert told == [f"1 session handed over from {records}."]
    assert place.data(closed.header.session_id) == here.data(closed.header.session_id)
    assert place.data(left_open.header.session_id) != here.data(left_open.header.session_id)
    returning.look()
    assert len(told) == 1, "once"
    monkeypatch.setattr("assistant.records.store.spill.fell_silent", lambda: True)
    left_open.journal.close()
    returning.look()
    assert told[1:] == [f"1 session handed over from {records}."]
    assert place.data(left_open.header.session_id) == here.data(left_open.header.session_id)
    assert not place.has(before.header.session_id)
    place.engine.dispose()
