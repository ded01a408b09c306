"""The tables, for SQLite and PostgreSQL alike.

``sessions``, ``readings``, ``repairs``, ``pictures``, ``causes`` and ``found`` are the index: made from the journals
and made again at any time. ``lines`` is the journal itself where a database keeps it; ``private`` holds names, which
lie outside the chain. SQLite gets these tables as they stand here; a shared PostgreSQL gets them by
``records.store.migrations``, and a test compares the two.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from sqlalchemy import (
    DDL,
    BigInteger,
    Boolean,
    Column,
    Float,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    event,
    text,
)

VERSION = 7
"""Of the tables; an index of another version is made again."""

metadata = MetaData()

state = Table(
    "leadsman_state",
    metadata,
    Column("name", String(40), primary_key=True),
    Column("value", Text, nullable=False),
)
sessions = Table(
    "sessions",
    metadata,
    Column("number", Integer, primary_key=True, autoincrement=True),
    Column("id", String(80), nullable=False, unique=True),
    Column("started", String(40), nullable=False, index=True),
    Column("day", String(10), nullable=False, index=True),
    Column("unit", Text, nullable=False),
    Column("unit_plain", Text, nullable=False),
    Column("procedure", Text, nullable=False),
    Column("ending", String(40), nullable=False, index=True),
    Column("causes", Text, nullable=False),
    Column("minutes", Float, nullable=False),
    Column("damaged", Boolean, nullable=False),
    Column("invented", Boolean, nullable=False),
    Column("technician", Text, nullable=False, index=True),
    Column("size", BigInteger, nullable=False),
    Column("seal", String(64), nullable=False),
    Column("ordinal", Integer, nullable=False, server_default="0"),
    Column("work_order", Text, nullable=False, server_default=""),
    Column("complaint", Text, nullable=False, server_default=""),
    Column("digest", String(64), nullable=False, server_default=""),
    Index("sessions_by_ordinal", "ordinal", "id"),
    Index("sessions_by_unit", "unit_plain", "started"),
)
readings = Table(
    "readings",
    metadata,
    Column("session", Integer, primary_key=True, autoincrement=False),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("at", Float, nullable=False),
    Column("check", Text, nullable=False),
    Column("place", Text, nullable=False),
    Column("title", Text, nullable=False),
    Column("value", Text, nullable=False),
    Column("unit", Text, nullable=False),
    Column("low", Text, nullable=False),
    Column("high", Text, nullable=False),
    Column("uncertainty", Text, nullable=False),
    Column("shown", Text, nullable=False),
    Column("grade", String(20), nullable=False),
    Column("withdrawn", Boolean, nullable=False),
    Column("repairs_before", Integer, nullable=False),
)
repairs = Table(
    "repairs",
    metadata,
    Column("session", Integer, primary_key=True, autoincrement=False),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("at", Float, nullable=False),
    Column("fix", Text, nullable=False),
    Column("title", Text, nullable=False),
    Column("place", Text, nullable=False),
    Column("part", Text, nullable=False),
    Column("fault", Text, nullable=False),
    Column("cause", Text, nullable=False),
    Column("confirmed", String(10), nullable=False),
    Column("day", String(10), nullable=False),
    Column("unit_plain", Text, nullable=False),
    Column("invented", Boolean, nullable=False),
    Column("fault_title", Text, nullable=False, server_default=""),
    Index("repairs_by_fault", "invented", "fault_title", "unit_plain", "day", "confirmed"),
    Index("repairs_of_unit", "unit_plain"),
    Index("repairs_by_cause", "cause", "day"),
)
pictures = Table(
    "pictures",
    metadata,
    Column("session", Integer, primary_key=True, autoincrement=False),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("at", Float, nullable=False),
    Column("name", Text, nullable=False),
    Column("sha256", Text, nullable=False),
    Column("shows", Text, nullable=False),
    Column("check", Text, nullable=False),
    Column("place", Text, nullable=False),
    Column("reading", Integer),
    Column("erased", Boolean, nullable=False),
)
"""What each photo shows, and the sum by which its picture is known; the pictures themselves are in ``photos``."""
causes = Table(
    "causes",
    metadata,
    Column("invented", Boolean, primary_key=True),
    Column("title", Text, primary_key=True),
    Column("unit_plain", Text, primary_key=True),
    Column("count", Integer, nullable=False),
    Column("last", String(10), nullable=False),
)
"""Confirmed causes summed for each unit, so that what fails most need not count every repair that ever was."""
passed = Table(
    "passed",
    metadata,
    Column("id", String(80), primary_key=True),
    Column("size", BigInteger, nullable=False),
    Column("why", Text, nullable=False),
)
"""Journals that are read and not taken for records, such as copies under another name."""
found = Table(
    "found",
    metadata,
    Column("rowid", Integer, primary_key=True, autoincrement=False),
    Column("words", Text, nullable=False),
)
lines = Table(
    "lines",
    metadata,
    Column("session_id", String(80), primary_key=True),
    Column("seq", Integer, primary_key=True, autoincrement=False),
    Column("hash", String(64), nullable=False),
    Column("raw", LargeBinary, nullable=False),
    Index("lines_begun", "session_id", postgresql_where=text("seq = 0")),
)
"""Sequence and hash are the keys of a line: handing one over twice changes nothing."""
unread = Table("unread", metadata, Column("session_id", String(80), primary_key=True))
"""Journals begun in the database and not yet in the index: what is new is known without looking through all."""
private = Table(
    "private",
    metadata,
    Column("session_id", String(80), primary_key=True),
    Column("fields", Text, nullable=False),
)
photos = Table(
    "photos",
    metadata,
    Column("session_id", String(80), primary_key=True),
    Column("name", String(32), primary_key=True),
    Column("content", LargeBinary, nullable=False),
)
"""Pictures outside the chain, where they can be erased."""

INDEX = (state, sessions, readings, repairs, pictures, causes, passed, found)
"""What can be made again."""

# full text search is the one thing that the two databases do in their own way
_ddl: Callable[[str], DDL] = DDL
_FTS = "CREATE VIRTUAL TABLE IF NOT EXISTS found USING fts5(words, tokenize='unicode61 remove_diacritics 0')"
event.listen(metadata, "after_create", _ddl(_FTS).execute_if(dialect="sqlite"))
PATIENTLY = "SET LOCAL statement_timeout = 0"
"""Making the index anew may take long; whatever somebody waits for may not."""
WORDS_OFF = "DROP INDEX IF EXISTS found_vector"
WORDS_ON = "CREATE INDEX IF NOT EXISTS found_vector ON found USING gin (vector) WITH (fastupdate = off)"
"""For PostgreSQL: without it while very many rows are written, since making it once costs a tenth."""

_PIECE = re.compile(r"[^\W_]+")
_BETWEEN = "".join(chr(one) if chr(one).isalnum() else " " for one in range(128))
"""ASCII with a space for whatever is neither letter nor digit."""


def pieces(text: str) -> list[str]:
    """Runs of letters and digits, lower case: what both databases take for words."""
    if text.isascii():  # nearly every text; three times faster, which counts over very many records
        return text.lower().translate(_BETWEEN).split()
    return _PIECE.findall(text.casefold())


def plain_unit(unit: str) -> str:
    """A unit number without the marks that people leave out: case, spaces, dashes."""
    return "".join(pieces(unit))
