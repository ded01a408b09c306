"""What records cost: an append against the bare system call, and how opening, search, history and rebuild grow.

In a folder with its SQLite index, and in a real PostgreSQL on this machine (skipped, visibly, without one).
``LEADSMAN_BENCH_SESSIONS`` names other sizes than 1000,10000,100000, which take some minutes and 4 GB.
"""

from __future__ import annotations

import contextlib
import gc
import hashlib
import io
import json
import os
import resource
import shutil
import statistics
import tempfile
import time
from collections.abc import Callable, Iterator, Mapping
from functools import partial
from pathlib import Path

import psycopg
import pytest

from assistant.__main__ import main
from assistant.messages.decisions import Record
from assistant.records.index.index import folder_index
from assistant.records.index.queries import comebacks, fails_most, matching, over_time, visits, work_on
from assistant.records.journal.format import SEAL_LENGTH
from assistant.records.journal.reader import parse
from assistant.records.journal.writer import Journal
from assistant.records.store.folder import FolderStore
from assistant.records.store.ports import Store
from assistant.records.store.postgresql import DatabaseStore, open_database
from tests.bench.shop.bays import FLOOD, SHOP, bays
from tests.bench.shop.fleet import Fleet, copy_into, write_folders
from tests.records.cluster import Cluster, server_programs
from tests.records.samples import SCENE, Clock, header, write_scene

pytestmark = pytest.mark.bench
SIZES = sorted(int(size) for size in os.environ.get("LEADSMAN_BENCH_SESSIONS", "1000,10000,100000").split(","))
LONG = Path(__file__).parent.parent.parent / "data" / "records" / "format-3-whole-session.jsonl"
"""A whole session of 58 entries and its procedure."""
REBUILT = min(1000, SIZES[-1])
"""Sessions whose rebuild is timed by the processor."""
BAYS = 50
"""Sessions written at once."""
Table = dict[str, list[float]]


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


def in_turns(ours: Callable[[], object], bare: Callable[[], object], times: int) -> tuple[float, float]:
    """Median milliseconds of both, one after the other so that what else the disk does falls on both."""
    spent = [(milliseconds(ours, 1), milliseconds(bare, 1)) for _ in range(times)]
    return statistics.median(one for one, _ in spent), statistics.median(other for _, other in spent)


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

        median, plain = in_turns(lambda: journal.append(record, said, at), bare, 300)
        os.close(handle)
    print(
        f"\nlog append, file: {size} bytes, median {median:.2f} ms with fsync, bare write and fsync {plain:.2f} ms: "
        f"ratio {median / plain:.2f}; our own share {1000 * (median - plain):.0f} microseconds"
    )


@pytest.fixture(scope="module")
def cluster() -> Iterator[Cluster]:
    programs = server_programs()
    if programs is None:
        pytest.skip("PostgreSQL is missing: apt-get install postgresql")
    folder = Path(tempfile.mkdtemp(prefix="leadsman-bench-"))
    folder.chmod(0o755)
    made = Cluster(programs, folder, fsync=True)
    yield made
    made.stop("immediate")
    shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture(scope="module")
def database(cluster: Cluster, tmp_path_factory: pytest.TempPathFactory) -> Iterator[DatabaseStore]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("LEADSMAN_DATABASE", cluster.address)
        store = open_database(tmp_path_factory.mktemp("local"))
    yield store
    store.engine.dispose()


def test_append_in_postgresql_against_a_bare_insert(cluster: Cluster, database: DatabaseStore) -> None:
    """One entry committed, over a bare insert of as many bytes and its commit, on a server that syncs."""
    record, said, at = SCENE[8]
    journal = database.create(header(), Clock())
    journal.append(record, said, at)
    size = len(database.data(header().session_id).splitlines()[-1]) + 1
    with psycopg.connect(cluster.address) as bare:
        bare.execute("CREATE TABLE bare (number serial PRIMARY KEY, raw bytea)")
        bare.commit()

        def insert() -> None:
            bare.execute("INSERT INTO bare (raw) VALUES (%s)", (b"x" * size,))
            bare.commit()

        median, plain = in_turns(lambda: journal.append(record, said, at), insert, 200)
        bare.execute("DROP TABLE bare")
        bare.commit()
    journal.close()
    with database.engine.begin() as connection:
        connection.exec_driver_sql("DELETE FROM lines")
    print(
        f"\nlog append, PostgreSQL: median {median:.2f} ms committed, bare insert and commit {plain:.2f} ms: "
        f"ratio {median / plain:.2f}"
    )


@pytest.fixture(scope="module")
def fleet(tmp_path_factory: pytest.TempPathFactory) -> Fleet:
    return Fleet(parse(write_scene(tmp_path_factory.mktemp("scene")).read_bytes(), "scene"))


@pytest.fixture(scope="module")
def folders(fleet: Fleet, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Mapping[int, Path]]:
    place = tmp_path_factory.mktemp("fleet")
    made = write_folders(fleet, place, SIZES)
    yield made
    for folder in made.values():
        folder_index(folder).engine.dispose()
    shutil.rmtree(place, ignore_errors=True)


def figures_of(store: Store, size: int, record: tuple[Record, tuple[str, ...], float]) -> dict[str, float]:
    """Every figure of one place with so many sessions."""
    index = store.index()
    cores = index.processes(store, store.ids())
    began, worked = time.perf_counter(), processor_seconds()
    assert index.rebuild(store, anew=True) == size
    spent, worked = time.perf_counter() - began, processor_seconds() - worked
    again = processor_seconds()
    assert index.rebuild(store) == size
    again = processor_seconds() - again
    name = store.ids()[size // 2]
    journal = store.open(name, Clock())
    append = milliseconds(lambda: journal.append(*record))
    journal.close()
    index.refresh(store)
    figures = {
        "rebuild, sessions a second a core": size / spent / cores,
        "rebuild, sessions a second of processor time": size / worked,
        "rebuild where nothing changed, the same": size / again,
        "append one entry, ms": append,
        "open and resume one, ms": milliseconds(lambda: store.open(name, Clock()).close()),
        "refresh after one session, ms": milliseconds(lambda: index.refresh(store), 1),
        "refresh of an index that is up to date, ms": milliseconds(lambda: index.refresh(store)),
        "search for words of one session in 500, ms": milliseconds(lambda: index.found_in("tire worn", limit=50)),
    }
    with index.connect() as connection:
        invented = False

        def history() -> None:
            past = visits(connection, "0012", invented=invented)
            comebacks(past, work_on(connection, "0012", invented=invented), "0012")

        figures |= {
            "history of a unit, ms": milliseconds(history),
            "one place over time, ms": milliseconds(
                lambda: over_time(connection, "0012", "ohms", "left rear", invented=invented)
            ),
            "by fault and date, ms": milliseconds(
                lambda: matching(connection, fault="open", since="2021-01-05", limit=50)
            ),
            "by a fault that nobody ever had, ms": milliseconds(
                lambda: matching(connection, fault="zebra", limit=50)
            ),
            "by place, ms": milliseconds(lambda: matching(connection, place="left rear", limit=50)),
            "what fails most, ms": milliseconds(lambda: fails_most(connection, invented=invented)),
            "what fails most since a day, ms": milliseconds(
                lambda: fails_most(connection, invented=invented, since="2023-06-01")
            ),
        }
    return figures


@pytest.mark.parametrize("sample", ["a short session", "a long session"])
def test_rebuild_of_short_and_long_sessions(sample: str, fleet: Fleet, tmp_path: Path) -> None:
    """Sessions a second of one core, beside a bare read of the same bytes: a long session is more to read.

    By one process: the start of others is no session's share.
    """
    if sample == "a long session":
        fleet = Fleet(parse(LONG.read_bytes(), "long"))
    folder = write_folders(fleet, tmp_path, [REBUILT])[REBUILT]
    store = FolderStore(folder)
    names = store.ids()
    bare = bare_reading(folder, names)
    shown: list[int] = []
    worked = processor_seconds()
    assert store.index().rebuild(store, lambda done, _: shown.append(done), jobs=1, anew=True) == REBUILT
    worked = processor_seconds() - worked
    again = processor_seconds()
    assert store.index().rebuild(store, jobs=1) == REBUILT
    again = processor_seconds() - again
    bare = (bare + bare_reading(folder, names)) / 2
    bytes_each = sum(store.sizes(names).values()) / REBUILT
    folder_index(folder).engine.dispose()
    shutil.rmtree(folder)
    print(
        f"\nrebuild, {sample} ({bytes_each:.0f} bytes): {REBUILT / worked:.0f} sessions a second of one core, "
        f"{worked / bare:.2f} times a bare read with SHA-256 and json.loads ({REBUILT / bare:.0f} a second); "
        f"once more, nothing changed: {REBUILT / again:.0f} a second; "
        f"progress told {len(shown)} times"
    )


def commands_of(folder: Path) -> dict[str, str]:
    """What a shop asks most, by name."""
    answers = folder / "answers.txt"
    answers.write_text("next\n", encoding="utf-8")
    return {
        "list": "sessions", "history of a unit": "history 0012", "search": "search tire worn",
        "show the newest": "show last",
        "start with history": f"start trailer-abs-light-on --unit 0012 --mute --answers {answers}",
    }  # fmt: skip


def test_commands_of_a_shop(folders: Mapping[int, Path], tmp_path: Path) -> None:
    """What a person waits for at the smallest and the largest size: whole commands, in a program that is loaded."""
    commands = commands_of(tmp_path)
    table: dict[str, list[tuple[float, float]]] = {name: [] for name in commands}
    for size in (SIZES[0], SIZES[-1]):
        store, began = FolderStore(folders[size]), time.perf_counter()
        store.index().rebuild(store)
        spent = time.perf_counter() - began
        print(f"\nindex of {size} sessions in {spent:.1f} s, {size / spent:.0f} a second on {os.cpu_count()} cores")
        for name, words in commands.items():
            run = partial(quietly, [*words.split(), "--records", str(folders[size])])
            quietly(["sessions", "--records", str(folders[size])])  # a start leaves a session, which is indexed here
            run()
            worked = processor_seconds()
            spent = milliseconds(run, 5)
            table[name].append((spent, 200 * (processor_seconds() - worked)))
    print(f"\ncommands, milliseconds (of them the processor's) with {SIZES[0]} and {SIZES[-1]} sessions")
    for name, ((few, few_worked), (many, many_worked)) in table.items():
        print(f"  {name:<20}{few:>8.0f} ({few_worked:.0f}){many:>8.0f} ({many_worked:.0f})")


def quietly(arguments: list[str]) -> None:
    """One command of the program, to its end."""
    nowhere = io.StringIO()
    with contextlib.redirect_stdout(nowhere), contextlib.redirect_stderr(nowhere), pytest.raises(SystemExit) as end:
        main(arguments)
    assert not end.value.code, (arguments, end.value.code)


def test_fifty_bays_at_once(cluster: Cluster, database: DatabaseStore) -> None:
    """Fifty sessions written at once, beside one alone."""
    with database.engine.begin() as connection:
        connection.exec_driver_sql("DELETE FROM lines")
    found: dict[int, list[float]] = {}
    for count in (1, BAYS):
        with bays(cluster.address, count, f"{count:02d}") as ended:
            written = ended()
        assert not written.lost, written.lost[:3]
        found[count] = sorted(written.waits)
    one, many = found[1], found[BAYS]
    print(
        f"\n{BAYS} bays at once in PostgreSQL, an entry each {FLOOD} s, none lost: an entry takes "
        f"{statistics.median(many):.1f} ms, 99 of 100 within {many[len(many) * 99 // 100]:.1f}; "
        f"one bay alone {statistics.median(one):.1f}: ratio {statistics.median(many) / statistics.median(one):.1f}"
    )
    with database.engine.begin() as connection:
        connection.exec_driver_sql("DELETE FROM lines")


@pytest.mark.filterwarnings("ignore:.*was deleted while still open:ResourceWarning")
@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")
def test_commands_of_a_shop_with_fifty_bays(
    fleet: Fleet, cluster: Cluster, database: DatabaseStore, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What a person waits for in a database with many sessions: in peace, and while fifty bays write into it, at a
    shop's pace and ten times as fast."""
    monkeypatch.setenv("LEADSMAN_DATABASE", cluster.address)
    with database.engine.begin() as connection:
        connection.exec_driver_sql("DELETE FROM lines")
    copy_into(fleet, database, range(SIZES[-1]))
    began = time.perf_counter()
    database.index().rebuild(database, anew=True)
    spent = time.perf_counter() - began
    print(f"\nPostgreSQL: index of {SIZES[-1]} sessions in {spent:.1f} s, {SIZES[-1] / spent:.0f} a second")
    commands = commands_of(tmp_path)

    def waits() -> list[float]:
        place = ["--store", "postgresql", "--records", str(tmp_path)]
        for words in commands.values():
            quietly([*words.split(), *place])
        return [milliseconds(partial(quietly, [*words.split(), *place]), 7) for words in commands.values()]

    table, entries = [waits()], []
    for pace, mark in ((SHOP, "8"), (FLOOD, "9")):
        with bays(cluster.address, BAYS, mark, pace) as ended:
            time.sleep(2 * pace)
            table.append(waits())
            written = ended()
        assert not written.lost, written.lost[:3]
        taken = sorted(written.waits)
        entries.append(
            f"an entry each {pace} s takes {statistics.median(taken):.1f} ms, 99 of 100 within "
            f"{taken[len(taken) * 99 // 100]:.1f}, none of {len(taken)} lost"
        )
    print(
        f"{BAYS} bays: {entries[0]} (a shop's pace); {entries[1]} (a flood)\n"
        f"commands, milliseconds alone, at a shop's pace, in the flood (load {os.getloadavg()[0]:.1f})"
    )
    for name, alone, shop, flood in zip(commands, *table, strict=True):
        print(f"  {name:<20}{alone:>8.0f}{shop:>8.0f}{flood:>8.0f}")
    gc.collect()  # a command's connections end with its process, and this one goes on


def show(title: str, table: Table) -> None:
    print(f"\nlog growth, {title}; sessions: {SIZES}")
    for what, values in table.items():
        grown = f"   last over first {values[-1] / values[0]:.2f}" if len(values) > 1 and values[0] else ""
        print(f"  {what:<46}" + "".join(f"{value:>12.2f}" for value in values) + grown)


def bare_reading(folder: Path, names: list[str]) -> float:
    """Processor seconds of what nobody can leave out: each journal read, hashed line by line, its JSON decoded."""
    began = processor_seconds()
    for name in names:
        for line in (folder / f"{name}.jsonl").read_bytes().splitlines():
            hashlib.sha256(line[:-SEAL_LENGTH]).hexdigest()
            json.loads(line)
    return processor_seconds() - began


def test_growth(folders: Mapping[int, Path]) -> None:
    """Each figure for each size, and how it grows from the smallest to the largest."""
    table: Table = {}
    cores = os.cpu_count() or 1
    for size in SIZES:
        store = FolderStore(folders[size])
        some = store.ids()[:1000]
        bare = bare_reading(folders[size], some)
        figures = figures_of(store, size, SCENE[8])
        bare = 2 * len(some) / (bare + bare_reading(folders[size], some))  # before and after
        figures["the same of a bare read, SHA-256 and json.loads"] = bare
        figures["times the processor time of that"] = bare / figures["rebuild, sessions a second of processor time"]
        path = store.index().path
        assert path is not None
        figures["bytes of index a session"] = sum(p.stat().st_size for p in path.parent.iterdir()) / size
        for what, value in figures.items():
            table.setdefault(what, []).append(value)
    one = next(folders[SIZES[0]].glob("*.jsonl")).stat().st_size
    show(f"folder and SQLite, {one} bytes a journal, {cores} cores", table)


def test_growth_in_postgresql(fleet: Fleet, database: DatabaseStore) -> None:
    """The same in the shop's database, with one process that reads."""
    table: Table = {}
    have = 0
    for size in SIZES:
        copy_into(fleet, database, range(have, size))
        have = size
        for what, value in figures_of(database, size, SCENE[8]).items():
            table.setdefault(what, []).append(value)
    show("PostgreSQL on this machine", table)
