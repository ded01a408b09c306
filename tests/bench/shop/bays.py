"""Bays that write sessions at once into a database, at a shop's pace or as a flood.

They are a process of their own, as other machines are: who else asks the database meanwhile waits for it alone.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from multiprocessing.synchronize import Event
from pathlib import Path
from typing import Any

from assistant.records.journal.reader import parse
from assistant.records.store.postgresql import DatabaseStore, open_database
from assistant.records.store.postgresql_address import VARIABLE
from tests.records.samples import SCENE, Clock, header

SHOP, FLOOD = 5.0, 0.5
"""Seconds between two entries of one session: as somebody works who talks all the time (a session of 58 entries takes
an hour and more), and ten times as fast as that."""


@dataclass
class Written:
    """What became of their sessions."""

    waits: list[float] = field(default_factory=list)
    """Milliseconds that each entry took."""
    lost: list[str] = field(default_factory=list)
    """Sessions that are not in the database as they were written, with what was wrong."""


@contextlib.contextmanager
def bays(address: str, count: int, mark: str, pace: float = FLOOD) -> Iterator[Callable[[], Written]]:
    """Write while the block runs, session upon session, each to its end.

    Args:
        address: of the database.
        count: bays.
        mark: begins the numbers of their sessions.
        pace: seconds between two entries of one session. They begin spread over one such time.

    Yields:
        Ends it, and tells what became of them.
    """
    spawn = multiprocessing.get_context("spawn")
    ready, over = spawn.Event(), spawn.Event()
    ours, theirs = spawn.Pipe()
    writing = spawn.Process(target=_write, args=(address, count, mark, pace, ready, over, theirs), daemon=True)
    writing.start()
    assert ready.wait(60)

    def ended() -> Written:
        over.set()
        told: Written = ours.recv()
        return told

    try:
        yield ended
    finally:
        over.set()
        writing.join(60)


def _write(address: str, count: int, mark: str, pace: float, ready: Event, over: Event, tell: Any) -> None:
    os.environ[VARIABLE] = address
    written = Written()
    with tempfile.TemporaryDirectory() as local:
        database = open_database(Path(local))

        def bay(number: int) -> None:
            done = 0
            over.wait(pace * number / count)
            while not done or not over.is_set():
                _session(database, f"20260131-{mark}{number:03d}{done:03d}-bay", pace, written)
                done += 1

        threads = [threading.Thread(target=bay, args=(number,)) for number in range(count)]
        for thread in threads:
            thread.start()
        ready.set()
        for thread in threads:
            thread.join()
        database.engine.dispose()
    tell.send(written)


def _session(database: DatabaseStore, name: str, pace: float, written: Written) -> None:
    try:
        journal = database.create(replace(header(name), invented=False), Clock())
        for record, said, at in SCENE:
            began = time.perf_counter()
            journal.append(record, said, at)
            written.waits.append(1000 * (time.perf_counter() - began))
            time.sleep(max(0.0, pace - (time.perf_counter() - began)))
        journal.close()
        if journal.moved() or len(list(parse(database.data(name), name).entries())) != len(SCENE):
            written.lost.append(name)
    except Exception as error:  # noqa: BLE001 - told, whatever it is
        written.lost.append(f"{name}: {error}")
