"""The exported tables, read by DuckDB, which knows nothing of this project."""

# ruff: noqa: S608 - the queries name only files that these tests made
from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import duckdb
import pytest

from assistant.errors import OperatorError
from assistant.messages import Photo, PhotoGone, PhotoTaken, Prompt, PromptKind, check_prompt
from assistant.messages.decisions import Observed, PhotoErased, PhotoKept, Record
from assistant.records.index.export import to_parquet
from assistant.records.journal.writer import Journal
from assistant.records.store.folder import FolderStore
from tests.records.samples import SCENE, Clock, header
from tests.records.units import play_unit

MONTHS = {
    "one": (datetime(2026, 1, 30, 8, tzinfo=UTC), datetime(2026, 3, 2, 8, tzinfo=UTC)),
    "two": tuple(datetime(2026, month, day, 8, tzinfo=UTC) for month, day in ((3, 9), (3, 10), (4, 1))),
}  # fmt: skip
"""Two invented shops, and when each had a trailer with a dead sensor."""


def exported(shop: Path, into: Path) -> dict[str, int]:
    """The tables of one shop."""
    store = FolderStore(shop)
    index = store.index()
    index.refresh(store)
    return to_parquet(index, into)


def rows_of(query: str) -> list[tuple[Any, ...]]:
    """What DuckDB answers."""
    with duckdb.connect() as connection:
        return connection.execute(query).fetchall()


@pytest.fixture(scope="module")
def fleet(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The exports of two shops in one folder."""
    folder = tmp_path_factory.mktemp("fleet")
    for shop, days in MONTHS.items():
        for number, day in enumerate(days):
            play_unit(folder / "records" / shop, ("sensor open", "left rear"), number=f"90{number}", started=day)
        exported(folder / "records" / shop, folder / "tables" / f"shop={shop}")
    return folder / "tables"


def test_one_query_over_the_shops_of_a_fleet(fleet: Path) -> None:
    """Repairs by shop and month, joined over the tables of both, against what was played."""
    tables = {
        name: f"read_parquet('{fleet}/*/{name}/*/*.parquet', hive_partitioning=true)"
        for name in ("sessions", "repairs")
    }
    rows = rows_of(
        f"""select s.shop, s.month, count(distinct s.id), count(*)
            from {tables["sessions"]} s join {tables["repairs"]} r
              on r.session = s.number and r.shop = s.shop and r.month = s.month
            where r.confirmed = 'proven' group by all order by all"""
    )
    assert [row[:3] for row in rows] == [
        ("one", "2026-01", 1), ("one", "2026-03", 1), ("two", "2026-03", 2), ("two", "2026-04", 1)
    ]  # fmt: skip


def test_a_query_for_one_month_opens_no_other(fleet: Path) -> None:
    """What the parts are for: DuckDB's own plan names the files that it reads."""
    table = f"read_parquet('{fleet}/*/readings/*/*.parquet', hive_partitioning=true)"
    plan = rows_of(f"explain analyze select max(value) from {table} where month = '2026-04'")
    assert "Total Files Read: 1" in plan[0][1]


def test_numbers_come_through_exact(fleet: Path) -> None:
    table = f"read_parquet('{fleet}/*/readings/*/*.parquet', hive_partitioning=true)"
    [(kind, value)] = rows_of(f"select typeof(value), max(value) from {table} where unit = 'V' group by all")
    assert kind == "DECIMAL(38,12)"
    assert isinstance(value, Decimal)


def test_a_new_export_replaces_the_old_one_and_nothing_else(tmp_path: Path) -> None:
    play_unit(tmp_path / "records", ("sensor open", "left rear"), number="901", started=MONTHS["one"][0])
    first = exported(tmp_path / "records", tmp_path / "tables")
    next((tmp_path / "records").glob("*.jsonl")).unlink()
    play_unit(tmp_path / "records", ("sensor open", "left rear"), number="902", started=MONTHS["one"][1])
    assert exported(tmp_path / "records", tmp_path / "tables") == first
    assert [one.name for one in (tmp_path / "tables" / "sessions").iterdir()] == ["month=2026-03"]
    assert not list((tmp_path / "tables").glob(".*"))
    mine = tmp_path / "tables" / "repairs" / "notes.txt"
    mine.write_text("mine", encoding="utf-8")
    with pytest.raises(OperatorError, match="holds something other than an export"):
        exported(tmp_path / "records", tmp_path / "tables")
    assert mine.read_text(encoding="utf-8") == "mine"


def test_the_work_order_and_what_each_photo_shows_are_exported(tmp_path: Path) -> None:
    """Pictures by name, sum and check, and never a pixel; a photo of a reading has its number and place."""
    moments = [record for record, _, _ in SCENE]
    reading = next(one for record in moments for one in record.decisions if isinstance(one, Observed))
    shows = check_prompt(reading.check, reading.place)
    taken = (
        Photo("p1", "ab" * 32, 1000, 40, 30, shows, reading.number),
        Photo("p2", "cd" * 32, 1000, 40, 30, Prompt(PromptKind.FIX, "replace", "left rear")),
    )  # fmt: skip
    (tmp_path / "records").mkdir()
    journal = Journal.create(tmp_path / "records", replace(header(), work_order="4711"), Clock())
    for at, record in enumerate(moments[:-1]):
        journal.append(record, (), float(at))
    for at, photo in enumerate(taken, len(moments)):
        journal.append(Record(PhotoTaken(float(at), photo), (PhotoKept(photo),)), (), float(at))
    journal.append(Record(PhotoGone(90.0, "p2"), (PhotoErased("p2"),)), (), 90.0)
    journal.close()
    assert exported(tmp_path / "records", tmp_path / "tables")["pictures"] == 2
    sessions, pictures = (f"read_parquet('{tmp_path}/tables/{one}/*/*.parquet')" for one in ("sessions", "pictures"))
    rows = rows_of(
        f"""select work_order, name, sha256, "check", place, reading, erased
            from {sessions} s join {pictures} p on p.session = s.number order by name"""
    )
    assert rows == [
        ("4711", "p1", "ab" * 32, reading.check, reading.place, reading.number, False),
        ("4711", "p2", "cd" * 32, "", "left rear", None, True),
    ]


def test_a_shop_without_a_session_has_tables_all_the_same(tmp_path: Path) -> None:
    (tmp_path / "records").mkdir()
    assert exported(tmp_path / "records", tmp_path / "tables") == {
        "sessions": 0, "readings": 0, "repairs": 0, "pictures": 0
    }  # fmt: skip
    table = f"read_parquet('{tmp_path}/tables/sessions/*/*.parquet', hive_partitioning=true)"
    assert rows_of(f"select count(id) from {table}") == [(0,)]
