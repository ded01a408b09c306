"""Home for a foreman: what is open and waits in the shop, what a unit was here for, practice beside the records."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from assistant.clock import SystemClock
from assistant.records.store.folder import FolderStore
from assistant.records.store.handover import hand_over
from assistant.records.store.ports import Store
from assistant.records.store.postgresql import open_database
from tests.records.cluster import Cluster, private_cluster
from tests.records.index.test_found_before import FAULT, WAITS
from tests.records.units import play_unit
from tests.web.conftest import Floor, FloorMaker, Line

CHECK = "check:sensor ohms:left rear"


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Records of a shop (invented, but for that they do not say so): one waits, one was left, one was both and is
    mended now."""
    folder = tmp_path_factory.mktemp("shop")
    now = datetime.now(UTC)

    def ago(days: int = 0, hours: int = 0) -> datetime:
        return now - timedelta(days=days, hours=hours)

    play_unit(folder, FAULT, says=WAITS, number="4100", started=ago(days=9), invented=False)
    play_unit(folder, FAULT, number="4100", started=ago(days=8), invented=False)
    play_unit(folder, FAULT, says={CHECK: ["leave"]}, number="4200", started=ago(days=50), invented=False)
    play_unit(folder, FAULT, says=WAITS, number="4019", started=ago(days=3), invented=False, technician="Pat")
    play_unit(folder, FAULT, says={CHECK: ["leave"]}, number="4020", started=ago(hours=6), invented=False)
    play_unit(folder, FAULT, says=WAITS, number="4300", started=ago(hours=5), invented=True)
    return folder


@pytest.fixture(scope="module")
def cluster() -> Iterator[Cluster]:
    """A PostgreSQL server of our own."""
    yield from private_cluster()


def board(floor: Floor) -> list[dict[str, Any]]:
    return list(floor.client.get("/api/home").json()["board"])


def looks_right(floor: Floor, store: Store) -> None:
    """The board of that shop, then of one where the session that was left is taken up."""
    floor.pair()
    waiting, left = board(floor)
    assert (waiting["unit"], waiting["stand"], waiting["technician"]) == ("4019", "waiting", "Pat")
    assert waiting["where"] == "found: open sensor, left rear (needs: sensor and clip)"
    assert waiting["waits_for"] == "a sensor"
    assert waiting["since"].startswith(("2 days", "3 days"))
    assert (left["unit"], left["stand"]) == ("4020", "left")
    assert left["where"].startswith("looking for the fault: ")
    assert left["where"].endswith("left rear")
    assert left["since"].startswith("5 hours")
    assert 5 < left["minutes"] < 60, "by the session's own clock"
    led = store.open(left["id"], SystemClock())
    [led_elsewhere] = [one for one in board(floor) if one["id"] == left["id"]]
    assert (led_elsewhere["stand"], led_elsewhere["waits_for"]) == ("elsewhere", ""), "a terminal has it"
    led.close()
    assert floor.post("/api/resume", {"id": left["id"], "key": "key-resume"}).status_code == 200
    with floor.talk(left["id"]) as socket:
        Line(socket).standing(1)
    first = board(floor)[0]
    assert (first["id"], first["stand"]) == (left["id"], "open")
    assert "Left rear" in first["waits_for"], "what it asks now"
    assert floor.post("/api/leave", {"id": left["id"]}).status_code == 200


def test_the_board_tells_who_where_how_long_and_what_for(make_floor: FloorMaker, shop: Path, tmp_path: Path) -> None:
    store = copied(shop, tmp_path / "copy")
    looks_right(make_floor(store=store), store)


@pytest.mark.postgresql
def test_the_board_of_a_shop_on_postgresql(
    make_floor: FloorMaker, shop: Path, tmp_path: Path, cluster: Cluster, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LEADSMAN_DATABASE", cluster.address)
    store = open_database(tmp_path / "records")
    handed = list(hand_over(copied(shop, tmp_path / "copy"), store))
    assert sum(not one.problem for one in handed) == 5, "all but the invented one"
    try:
        looks_right(make_floor(store=store), store)
    finally:
        store.engine.dispose()


def copied(shop: Path, to: Path) -> FolderStore:
    """Records of their own for a test that goes on with them."""
    shutil.copytree(shop, to)
    return FolderStore(to)


def test_a_unit_is_told_with_its_visits_its_work_and_what_came_back(
    make_floor: FloorMaker, shop: Path, tmp_path: Path
) -> None:
    floor = make_floor(store=copied(shop, tmp_path / "copy"))
    assert floor.client.get("/unit", params={"number": "4100"}).status_code == 303, "not to a stranger"
    floor.pair()
    told = floor.client.get("/unit", params={"number": "41-00"})
    assert told.status_code == 200
    assert told.text.count('href="/record/') == 3, "two visits and one repair"
    assert "fixed and verified: open sensor, left rear" in told.text.lower()
    missing = floor.client.get("/unit", params={"number": "<b>9</b>"})
    assert missing.status_code == 404
    assert "No session on unit &lt;b&gt;9&lt;/b&gt; is recorded." in missing.text
    assert floor.client.get("/unit").status_code == 404
    assert floor.client.get("/unit", params={"number": "4" * 500}).status_code == 400


def test_practice_leads_on_an_invented_unit_and_tells_what_it_was(floor: Floor) -> None:
    """What the unit shows stands before each answer; at the end what was hidden and the minutes. No record of the
    shop tells of it."""
    asked = {"procedure": "lamp", "key": "key-practice"}
    session = floor.post("/api/practice", asked).json()["id"]
    with floor.talk(session) as socket:
        line = Line(socket)
        turn = 1
        while (one := next_of(line, turn))["kind"] != "over":
            line.answer(f"answer-{turn:04}", one, "=" if "[" in line.texts()[-1] else said(one))
            turn += 1
    assert any("[you find" in text or "[the meter shows" in text for text in line.texts())
    assert "Practice: an invented unit with a hidden fault." in line.texts()[0]
    assert "Hidden was: " in one["text"]
    assert "The session ended: fixed and verified." in one["text"]
    assert "Minutes of work: " in one["text"]
    home = floor.client.get("/api/home").json()
    assert home["records"] == []
    assert home["board"] == []
    assert floor.client.get(f"/record/{session}").status_code == 200
    floor.house.workers.find(session).join()  # type: ignore[union-attr]
    refused = floor.post("/api/practice", {"procedure": "none", "key": "key-practice-2"})
    assert refused.status_code == 400


def test_a_practice_that_was_left_is_not_taken_up_without_its_unit(floor: Floor) -> None:
    session = floor.post("/api/practice", {"procedure": "lamp", "key": "key-practice"}).json()["id"]
    assert floor.post("/api/leave", {"id": session}).status_code == 200
    refused = floor.post("/api/resume", {"id": session, "key": "key-resume"})
    assert refused.status_code == 409
    assert "Begin another one." in refused.json()["error"]


def next_of(line: Line, turn: int) -> dict[str, Any]:
    """How it stands at a turn, or that it is over."""
    return line.until(lambda one: one["kind"] == "over" or one.get("turn", 0) >= turn)


def said(standing: dict[str, Any]) -> str:
    """An answer to what is not shown by the unit: go on."""
    answers = [one["say"] for one in standing["answers"]]
    return str(answers[0]) if answers else "yes"
