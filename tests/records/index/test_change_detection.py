"""What changed since the index was made: told by a glance where nothing did, and never missed where something did."""

from __future__ import annotations

import os
import time
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select, update

from assistant.records.index.index import MARK, Index
from assistant.records.index.schema import sessions, state
from assistant.records.journal.writer import Journal
from assistant.records.store import change_detection
from assistant.records.store.change_detection import A_DAY
from assistant.records.store.folder import FolderStore
from tests.records.index.test_history import write
from tests.records.samples import SCENE, Clock


class Watched(FolderStore):
    """Counts how it was looked at: by the names, closely."""

    def __init__(self, folder: Path, patch: pytest.MonkeyPatch) -> None:
        super().__init__(folder)
        self.names = self.closely = 0
        added, closely = change_detection._added, change_detection._closely

        def by_names(*what: Any) -> Any:
            self.names += 1
            return added(*what)

        def one_by_one(*what: Any) -> Any:
            self.closely += 1
            return closely(*what)

        patch.setattr(change_detection, "_added", by_names)
        patch.setattr(change_detection, "_closely", one_by_one)


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> tuple[Watched, Index]:
    """Four sessions, the last of them unfinished, all in the index, and the folder's time long settled."""
    monkeypatch.setattr(change_detection, "MANY", 1)
    for month in range(1, 4):
        write(tmp_path, f"2026-0{month}-10", "0419")
    write(tmp_path, "2026-04-10", "0419", upto=5)
    store = Watched(tmp_path, monkeypatch)
    index = store.index()
    settle(tmp_path)
    assert index.refresh(store) == 4
    store.names = store.closely = 0
    return store, index


def settle(folder: Path) -> None:
    """The folder's time an hour back: nothing was added or taken away since."""
    before = time.time_ns() - A_DAY // 24
    os.utime(folder, ns=(before, before))


def indexed(index: Index) -> Mapping[str, tuple[str, bool]]:
    """Identity to the hash of the last line, and whether it is damaged, of what the index has read."""
    with index.connect() as connection:
        chosen = select(sessions.c.id, sessions.c.seal, sessions.c.damaged)
        return {row.id: (row.seal, row.damaged) for row in connection.execute(chosen)}


def test_where_nothing_changed_a_glance_is_enough(shop: tuple[Watched, Index]) -> None:
    store, index = shop
    assert index.refresh(store) == 0
    assert store.closely == 0
    # the index's own files lie in the folder too: where one came or went just now, the names are looked at once
    store.names = 0
    assert [index.refresh(store) for _ in range(3)] == [0, 0, 0]
    assert (store.names, store.closely) == (0, 0)


def test_an_unfinished_session_that_grew_is_seen_at_a_glance(shop: tuple[Watched, Index]) -> None:
    store, index = shop
    name = store.ids()[-1]
    with (store.folder / f"{name}.jsonl").open("ab") as file:
        file.write(b"{}")
    assert index.refresh(store) == 1
    assert store.closely == 0


@pytest.mark.parametrize("how", ["added", "removed", "put in its place", "resumed"])
def test_what_is_done_to_the_folder_by_hand_is_found(shop: tuple[Watched, Index], tmp_path: Path, how: str) -> None:
    store, index = shop
    first = store.ids()[0]
    path = tmp_path / f"{first}.jsonl"
    whole = path.read_bytes()
    before = indexed(index)
    if how == "added":
        write(tmp_path, "2025-12-31", "0777")
    elif how == "removed":
        path.unlink()
    elif how == "put in its place":  # as many bytes, another content, as an editor or a copy does it
        fresh = tmp_path / "fresh"
        fresh.write_bytes(whole.replace(b"tire", b"tyre"))
        fresh.replace(path)
    else:
        with Journal.open(tmp_path, store.ids()[-1], Clock()) as journal:
            journal.append(*SCENE[5])
    index.refresh(store)
    assert store.names == 1
    assert store.closely == (how in ("removed", "put in its place"))
    after = indexed(index)
    if how == "added":
        assert set(after) - set(before) == {"20251231-080000-777"}
    elif how == "removed":
        assert set(before) - set(after) == {first}
    else:
        assert after != before
    settle(tmp_path)
    assert indexed(index).keys() == set(store.ids())


def test_a_finished_journal_changed_where_it_lies_is_found_within_a_day(
    shop: tuple[Watched, Index], tmp_path: Path
) -> None:
    """The folder's time does not tell it, so the mark holds for a day only."""
    store, index = shop
    path = tmp_path / f"{store.ids()[0]}.jsonl"
    with path.open("r+b") as file:
        data = file.read()
        file.seek(0)
        file.write(data.replace(b"tire", b"tyre"))
    assert index.refresh(store) == 0
    with index.connect() as connection, connection.begin():
        mark = connection.execute(select(state.c.value).where(state.c.name == MARK)).scalar_one()
        stamp, taken, total = mark.split("@")
        old = f"{stamp}@{int(taken) - A_DAY}@{total}"
        connection.execute(update(state).where(state.c.name == MARK).values(value=old))
    index.refresh(store)
    assert store.closely == 1
    assert [name for name, (_, damaged) in indexed(index).items() if damaged] == [path.stem]


def test_a_clock_that_jumped_back_means_a_close_look(shop: tuple[Watched, Index], tmp_path: Path) -> None:
    store, index = shop
    with index.connect() as connection, connection.begin():
        later = f"{change_detection._stamp(tmp_path)}@{time.time_ns() + A_DAY}@7"
        connection.execute(update(state).where(state.c.name == MARK).values(value=later))
    index.refresh(store)
    assert store.closely == 1


def test_only_the_newest_are_read_when_a_session_waits(shop: tuple[Watched, Index], tmp_path: Path) -> None:
    """What is left is neither forgotten nor marked as read."""
    store, index = shop
    for day in range(10, 15):
        write(tmp_path, f"2026-05-{day}", "0777")
    assert index.refresh(store, at_most=2) == 5
    assert sum(name.startswith("202605") for name in indexed(index)) == 2
    assert "20260514-080000-777" in indexed(index)
    index.refresh(store, at_most=3)
    assert set(indexed(index)) == set(store.ids())


def test_what_comes_in_the_same_tick_is_not_hidden(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A mark is made only when what is added next shows in the folder's time."""
    monkeypatch.setattr(change_detection, "MANY", 1)
    store = FolderStore(tmp_path)
    for number in range(12):
        name = write(tmp_path, f"2026-06-{10 + number}", "0419")
        store.index().refresh(store)
        assert name in indexed(store.index()), number


def test_a_session_that_is_over_costs_no_close_look(shop: tuple[Watched, Index], tmp_path: Path) -> None:
    """Its name is all that is new, and the next session finds the folder as the mark has it."""
    store, index = shop
    for day in (20, 21, 22):
        name = write(tmp_path, f"2026-06-{day}", "0419")
        index.refresh(store)
        assert name in indexed(index)
    assert store.closely == 0
    names = store.names
    assert index.refresh(store) == 0
    assert store.names == names


@pytest.mark.parametrize("mark", ["", "nonsense", "12@x@5", "1@2", "@@"])
def test_a_mark_that_says_nothing_means_a_close_look(shop: tuple[Watched, Index], mark: str) -> None:
    store, index = shop
    with index.connect() as connection, connection.begin():
        connection.execute(update(state).where(state.c.name == MARK).values(value=mark))
    index.refresh(store)
    assert store.closely == 1
