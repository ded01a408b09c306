"""What records cost: an append against the bare system call, and how opening, search, history and rebuild grow.

The synthetic sessions are invented: the journal of a short session under many identities, days and units, its chain
sealed anew each time. ``LEADSMAN_BENCH_SESSIONS`` names other sizes than 1000,10000,100000 (which take some minutes
and 2 GB).
"""

from __future__ import annotations

import os
import resource
import statistics
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from assistant.engine.decisions import NoteTaken
from assistant.log.entries import Entry, Line, encode_line
from assistant.log.history.index import folder_index
from assistant.log.history.queries import comebacks, fails_most, matching, over_time, visits, work_on
from assistant.log.journal import Journal
from assistant.log.session import Session, parse
from assistant.log.store.folder import FolderStore
from assistant.messages import Began
from tests.log.samples import SCENE, Clock, header, write_scene

pytestmark = pytest.mark.bench
SIZES = [int(size) for size in os.environ.get("LEADSMAN_BENCH_SESSIONS", "1000,10000,100000").split(",")]
VISITS = 20
"""Sessions on each unit of the invented fleet, a quarter of a year apart."""


def milliseconds(what: Callable[[], object], times: int = 9) -> float:
    """Median wall time of one call."""
    spent = []
    for _ in range(times):
        began = time.perf_counter()
        what()
        spent.append(1000 * (time.perf_counter() - began))
    return statistics.median(spent)


def processor_seconds() -> float:
    """What this process and those it waited for have worked: unlike wall time it leaves out who else is busy."""
    both = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return sum(one.ru_utime + one.ru_stime for one in both)


def test_append_against_the_bare_system_call(tmp_path: Path) -> None:
    """One entry written and synced, over a bare write and fsync of as many bytes, in the same folder."""
    record, said, at = SCENE[8]
    with Journal.create(tmp_path, header(), Clock()) as journal:
        journal.append(record, said, at)
        size = len(journal.path.read_bytes().splitlines()[-1]) + 1
        handle = os.open(tmp_path / "bare", os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
        data = b"x" * size

        def bare() -> None:
            os.write(handle, data)
            os.fsync(handle)

        ours, theirs = [], []
        for _ in range(300):  # in turns, so that what else the disk does falls on both
            ours.append(milliseconds(lambda: journal.append(record, said, at), 1))
            theirs.append(milliseconds(bare, 1))
        os.close(handle)
    median, plain = statistics.median(ours), statistics.median(theirs)
    print(
        f"\nlog append: {size} bytes, median {median:.2f} ms with fsync, bare write and fsync {plain:.2f} ms: "
        f"ratio {median / plain:.2f}; our own share {1000 * (median - plain):.0f} microseconds"
    )


@pytest.fixture(scope="module")
def scene(tmp_path_factory: pytest.TempPathFactory) -> Session:
    return parse(write_scene(tmp_path_factory.mktemp("scene")).read_bytes(), "scene")


def synthetic(scene: Session, number: int) -> tuple[str, bytes]:
    """One session of the fleet: its identity and its journal."""
    unit, visit = divmod(number, VISITS)
    day = date(2020, 1, 1) + timedelta(days=90 * visit + unit % 90)
    name = f"{day:%Y%m%d}-080000-{number:06d}"
    head = replace(
        scene.header, session_id=name, started=f"{day}T08:00:00-05:00", unit=f"{unit:04d}",
        invented=False, weights=(),
    )  # fmt: skip
    data, digest = encode_line(Line(0, "", 0.0, "", head))
    pieces = [data]
    for line in scene.lines:
        assert isinstance(line.body, Entry)
        body = line.body
        if number % 500 and any(one.kind == "note_taken" for one in body.decisions):
            # the words that are looked for stand in one session of 500
            body = replace(body, fact=Began(line.mono), decisions=(NoteTaken("all is well"),))
        data, digest = encode_line(replace(line, prev=digest, body=body))
        pieces.append(data)
    return name, b"".join(pieces)


@pytest.fixture(scope="module")
def fleets(scene: Session, tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[int, Path]]:
    """Folders of so many sessions; the journals are linked from the largest, which is written once."""
    largest = tmp_path_factory.mktemp("fleet") / str(max(SIZES))
    largest.mkdir()
    names = []
    for number in range(max(SIZES)):
        name, data = synthetic(scene, number)
        (largest / f"{name}.jsonl").write_bytes(data)
        names.append(name)
    made = {max(SIZES): largest}
    for size in SIZES:
        folder = largest.parent / str(size)
        if size not in made:
            folder.mkdir()
            for name in names[:size]:
                os.link(largest / f"{name}.jsonl", folder / f"{name}.jsonl")
            made[size] = folder
    yield made
    for folder in made.values():
        folder_index(folder).engine.dispose()


def test_growth(fleets: dict[int, Path]) -> None:
    """Each figure for each size, and how it grows from the smallest to the largest."""
    table: dict[str, list[float]] = {}
    for size in sorted(SIZES):
        folder = fleets[size]
        store = FolderStore(folder)
        index = store.index()
        cores = os.cpu_count() or 1
        began, worked = time.perf_counter(), processor_seconds()
        assert index.rebuild(store, jobs=cores) == size
        spent, worked = time.perf_counter() - began, processor_seconds() - worked
        name = store.ids()[size // 2]
        journal_bytes = len(store.data(name))

        def resume(store: FolderStore = store, name: str = name) -> None:
            store.open(name, Clock()).close()

        with index.connect() as connection:

            def history(connection: object = connection) -> None:
                past = visits(connection, "0012", invented=False)  # type: ignore[arg-type]
                comebacks(past, work_on(connection, "0012", invented=False), "0012")  # type: ignore[arg-type]

            figures = {
                "rebuild, sessions a second a core": size / spent / cores,
                "rebuild, sessions a second of processor time": size / worked,
                "refresh of an index that is up to date, ms": milliseconds(lambda: index.refresh(store), 3),  # noqa: B023
                "open and resume one, ms": milliseconds(resume),
                "search for words of one session in 500, ms": milliseconds(
                    lambda: index.found_in("tire worn", limit=50)  # noqa: B023
                ),
                "history of a unit, ms": milliseconds(history),
                "one place over time, ms": milliseconds(
                    lambda: over_time(connection, "0012", "ohms", "left rear", invented=False)
                ),
                "by fault and date, ms": milliseconds(
                    lambda: matching(connection, fault="open", since="2021-01-05", limit=50)
                ),
                "what fails most, ms": milliseconds(lambda: fails_most(connection, invented=False)),
            }
        figures["bytes of index a session"] = sum(p.stat().st_size for p in index.path.parent.iterdir()) / size  # type: ignore[union-attr]
        for name_of, value in figures.items():
            table.setdefault(name_of, []).append(value)
    print(f"\nlog growth, {journal_bytes} bytes a journal, {os.cpu_count()} cores; sessions: {sorted(SIZES)}")
    for what, values in table.items():
        grown = f"   last over first {values[-1] / values[0]:.2f}" if len(values) > 1 and values[0] else ""
        print(f"  {what:<46}" + "".join(f"{value:>12.2f}" for value in values) + grown)
