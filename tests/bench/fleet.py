"""A synthetic fleet: the journal of a short invented session under many identities, days and units, sealed anew."""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

from assistant.messages import Began
from assistant.messages.decisions import NoteTaken
from assistant.records.index.schema import PATIENTLY, lines
from assistant.records.journal.format import SEAL_LENGTH, Entry, Line, encode_line
from assistant.records.journal.reader import Session
from assistant.records.store.postgresql import DatabaseStore

VISITS = 20
"""Sessions on each unit of the invented fleet, a quarter of a year apart."""
NOTED = 500
"""One session in so many holds the words that are looked for."""
Pieces = tuple[bytes, bytes]


class Fleet:
    """Journals, each with a chain of its own; one after the other is made in some microseconds."""

    def __init__(self, scene: Session) -> None:
        self._scene = scene
        self._header = encode_line(Line(0, "", 0.0, "", self._head("ID", "DAY", "UNIT")))[0]
        self._plain = [self._around(line, noted=False) for line in scene.lines]
        self._noted = [self._around(line, noted=True) for line in scene.lines]

    def _head(self, name: str, day: str, unit: str) -> object:
        return replace(
            self._scene.header,
            session_id=name,
            started=f"{day}T08:00:00-05:00",
            unit=unit,
            invented=False,
            weights=(),
        )

    def _around(self, line: Line, *, noted: bool) -> Pieces:
        """What stands before and behind the hash of the line before."""
        body = line.body
        assert isinstance(body, Entry)
        if not noted and any(one.kind == "note_taken" for one in body.decisions):
            body = replace(body, fact=Began(line.mono), decisions=(NoteTaken("all is well"),))
        raw, _ = encode_line(replace(line, prev="PREV", body=body))
        before, _, behind = raw.partition(b"PREV")
        return before, behind[: -SEAL_LENGTH - 1]

    def journal(self, number: int) -> tuple[str, list[tuple[str, bytes]]]:
        """Identity, and the hash and bytes of each line."""
        unit, visit = divmod(number, VISITS)
        day = date(2020, 1, 1) + timedelta(days=90 * visit + unit % 90)
        name = f"{day:%Y%m%d}-080000-{number:06d}"
        known = {b'"ID"': name, b'"DAYT08:00:00-05:00"': f"{day}T08:00:00-05:00", b'"UNIT"': f"{unit:04d}"}
        first = self._header[: -SEAL_LENGTH - 1]
        for old, new in known.items():
            first = first.replace(old, json.dumps(new).encode())
        made = []
        for core in (first, *self._cores(number)):
            whole = core if not made else core[0] + made[-1][0].encode() + core[1]
            digest = hashlib.sha256(whole).hexdigest()
            made.append((digest, whole + b',"hash":"' + digest.encode() + b'"}\n'))
        return name, made

    def _cores(self, number: int) -> list[Pieces]:
        return self._plain if number % NOTED else self._noted


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
    try:
        with raw.cursor() as patient:
            patient.execute(PATIENTLY)
        with (
            raw.cursor() as cursor,
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
