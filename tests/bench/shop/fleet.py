"""A synthetic fleet: the journal of a short invented session under many identities, days and units, sealed anew."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import psycopg
from msgspec import structs

from assistant.messages import Began
from assistant.messages.decisions import NoteTaken
from assistant.records.index.schema import PATIENTLY, lines
from assistant.records.journal.format import encode_line
from assistant.records.journal.lines import Entry, Line
from assistant.records.journal.reader import Session
from assistant.records.store.postgresql import DatabaseStore

VISITS = 20
"""Sessions on each unit of the invented fleet, a quarter of a year apart."""
NOTED = 500
"""One session in so many holds the words that are looked for."""


class Fleet:
    """Journals, each with a chain of its own, sealed as the product seals them."""

    def __init__(self, scene: Session) -> None:
        self._scene = scene
        self._plain = [self._without_note(line) for line in scene.lines]

    def _without_note(self, line: Line) -> Line:
        body = line.body
        if not isinstance(body, Entry) or all(one.kind != "note_taken" for one in body.decisions):
            return line
        plain = structs.replace(body, fact=Began(line.mono), decisions=(NoteTaken("all is well"),))
        return structs.replace(line, body=plain)

    def journal(self, number: int) -> tuple[str, list[tuple[str, bytes]]]:
        """Identity, and the hash and bytes of each line."""
        unit, visit = divmod(number, VISITS)
        day = date(2020, 1, 1) + timedelta(days=90 * visit + unit % 90)
        name = f"{day:%Y%m%d}-080000-{number:06d}"
        started = f"{day}T08:00:00-05:00"
        header = replace(
            self._scene.header, session_id=name, started=started, unit=f"{unit:04d}", invented=False, weights=()
        )
        made: list[tuple[str, bytes]] = []
        for line in (Line(0, "", 0.0, "", header), *(self._plain if number % NOTED else self._scene.lines)):
            raw, digest = encode_line(structs.replace(line, prev=made[-1][0] if made else ""))
            made.append((digest, raw))
        return name, made


def write_folders(fleet: Fleet, place: Path, sizes: list[int]) -> Mapping[int, Path]:
    """Folders of so many sessions; the smaller ones are links into the largest."""
    largest = place / str(max(sizes))
    largest.mkdir()
    made = {max(sizes): largest}
    smaller = [size for size in sizes if size != max(sizes)]
    for size in smaller:
        made[size] = place / str(size)
        made[size].mkdir()
    for number in range(max(sizes)):
        name, rows = fleet.journal(number)
        path = largest / f"{name}.jsonl"
        path.write_bytes(b"".join(raw for _, raw in rows))
        for size in smaller:
            if number < size:
                os.link(path, made[size] / path.name)
    return made


def copy_into(fleet: Fleet, store: DatabaseStore, numbers: range) -> None:
    """The same journals into a database, by its own bulk copy."""
    raw = store.engine.raw_connection()
    driver = raw.driver_connection
    assert isinstance(driver, psycopg.Connection)
    try:
        driver.execute(PATIENTLY)
        with (
            driver.cursor() as cursor,
            cursor.copy(f"COPY {lines.name} (session_id, seq, hash, raw) FROM STDIN") as copy,
        ):
            for row in _rows(fleet, numbers):
                copy.write_row(row)
        raw.commit()
    finally:
        raw.close()
    with store.engine.begin() as connection:
        connection.exec_driver_sql(f"ANALYZE {lines.name}")


def _rows(fleet: Fleet, numbers: range) -> Iterator[tuple[str, int, str, bytes]]:
    for number in numbers:
        name, rows = fleet.journal(number)
        for seq, (digest, whole) in enumerate(rows):
            yield name, seq, digest, whole
