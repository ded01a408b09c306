"""Rows into the index, many at once, and the sums that are kept beside them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from sqlalchemy import Connection, Table, delete, func, insert, select, text

from assistant.records.index.schema import causes, repairs

MANY = 100
"""Rows from which PostgreSQL's bulk copy is used."""


def take_turns(connection: Connection) -> None:
    """Until this transaction ends no other machine writes into the index: two must not sum the same unit at once.

    SQLite does this by itself.
    """
    if connection.dialect.name == "postgresql":
        connection.execute(text("SELECT pg_advisory_xact_lock(1279607110)"))


def insert_many(connection: Connection, table: Table, rows: Sequence[dict[str, Any]]) -> None:
    """Insert rows that have the same columns.

    SQLite takes them as they are, and PostgreSQL many of them by its bulk copy: making the parameters of an
    expression costs more than writing the rows.
    """
    if not rows:
        return
    names = ", ".join(f'"{name}"' for name in rows[0])
    if connection.dialect.name != "sqlite":
        driver: Any = connection.connection.driver_connection
        if len(rows) < MANY:
            connection.execute(insert(table), rows)
            return
        with driver.cursor() as cursor, cursor.copy(f'COPY "{table.name}" ({names}) FROM STDIN') as copy:
            for row in rows:
                copy.write_row(tuple(row.values()))
        return
    marks = ", ".join("?" * len(rows[0]))
    clause = f'INSERT INTO "{table.name}" ({names}) VALUES ({marks})'  # noqa: S608 - our own tables and columns
    connection.exec_driver_sql(clause, [tuple(row.values()) for row in rows])


def sum_causes(connection: Connection, units: Iterable[str] | None = None) -> None:
    """Sum the confirmed causes anew, of some units or (None) of all."""
    wanted = sorted(units) if units is not None else None
    of_units = [table.c.unit_plain.in_(wanted) for table in (causes, repairs)] if wanted is not None else []
    connection.execute(delete(causes).where(*of_units[:1]))
    keys = repairs.c.invented, repairs.c.fault_title, repairs.c.unit_plain
    summed = select(*keys, func.count(), func.max(repairs.c.day)).where(repairs.c.confirmed != "", *of_units[1:])
    columns = ["invented", "title", "unit_plain", "count", "last"]
    connection.execute(insert(causes).from_select(columns, summed.group_by(*keys)))
