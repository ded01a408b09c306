"""The index as Parquet files, for those who go further with DuckDB, Dask or Spark."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Context, Decimal
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Table, select

from assistant.errors import OperatorError
from assistant.records.index.index import Index
from assistant.records.index.schema import pictures, readings, repairs, sessions

CHUNK = 20_000
"""Rows read and written at once."""

MONTH = "month"
"""The column by which the files of a table are parted."""

_EXACT = frozenset({"value", "low", "high", "uncertainty"})
_DAY = re.compile(r"\d{4}-\d\d-\d\d")
_PLACES = Decimal(1).scaleb(-12)
_WHOLE_DIGITS = 25
"""Before the point, beside twelve behind it: 38 digits are what the format holds."""


def to_parquet(index: Index, folder: Path, *, names: bool = False) -> dict[str, int]:
    """Write the tables ``sessions``, ``readings``, ``repairs`` and ``pictures``; returns the rows of each.

    Each table is a folder of its own, parted by the month in which its sessions began (``month=2026-03``), so that
    DuckDB, Dask or Spark read only the months that they are asked for, and the tables of several shops as one.
    Numbers of readings are decimal(38, 12): exact, where a float would not be. ``session`` joins them, within a shop.

    Args:
        index: where the rows come from.
        folder: where the tables go; it is made when missing. A table that an earlier export left there is replaced
            once the new one is whole.
        names: technicians' names, too; they are left out otherwise.

    Raises:
        OperatorError: the library is missing, or the files cannot be written.
    """
    try:
        import pyarrow as pa
        from pyarrow import dataset, parquet
    except ImportError:
        raise OperatorError(
            "Parquet needs the package pyarrow, and it is missing.", remedy="Run: pip install 'leadsman[parquet]'"
        ) from None
    counts = {}
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with index.connect() as connection:
            for table in (sessions, readings, repairs, pictures):
                made = _fresh(folder, table.name)
                columns = [one.name for one in table.c if names or one.name != "technician"]
                schema = pa.schema([(name, _kind(pa, name)) for name in (*columns, MONTH)])
                rows = _Rows(connection, table, columns)
                dataset.write_dataset(
                    rows.batches(pa, schema), made, schema=schema, format="parquet",
                    basename_template="part-{i}.parquet",
                    partitioning=dataset.partitioning(pa.schema([schema.field(MONTH)]), flavor="hive"),
                    existing_data_behavior="overwrite_or_ignore", max_partitions=4096,
                )  # fmt: skip
                if rows.count == 0:  # a table without rows still tells its columns
                    month = made / f"{MONTH}=unknown"
                    month.mkdir(parents=True, exist_ok=True)
                    parquet.write_table(schema.empty_table().drop_columns([MONTH]), month / "part-0.parquet")
                _swap(made, folder / table.name)
                counts[table.name] = rows.count
    except OSError as error:
        reason = (error.strerror or str(error)).rstrip(".")
        raise OperatorError(f"Cannot write into {folder}: {reason}.", remedy="Name another folder.") from None
    return counts


@dataclass
class _Rows:
    """The rows of one table with the month of their session, and how many there were."""

    connection: Connection
    table: Table
    columns: list[str]
    count: int = 0

    def batches(self, pa: Any, schema: Any) -> Iterator[Any]:
        """So many rows at a time, in the order of days, so that one month is written after another."""
        chosen = select(*(self.table.c[name] for name in self.columns), sessions.c.day)
        if self.table is not sessions:
            chosen = chosen.join(sessions, self.table.c.session == sessions.c.number)
        chosen = chosen.order_by(sessions.c.day, sessions.c.number)
        for part in self.connection.execute(chosen.execution_options(yield_per=CHUNK)).partitions(CHUNK):
            arrays = []
            for field, column in zip(schema, zip(*part, strict=True), strict=True):
                if field.name in _EXACT:
                    arrays.append(pa.array([_fitting(value) for value in column], field.type))
                elif field.name == MONTH:
                    arrays.append(pa.array([_month(day) for day in column], field.type))
                else:
                    arrays.append(pa.array(column, field.type))
            self.count += len(part)
            yield pa.record_batch(arrays, schema=schema)


def _kind(pa: Any, name: str) -> Any:
    """The type of a column."""
    if name in _EXACT:
        return pa.decimal128(38, 12)
    kinds = {"number": pa.int64(), "session": pa.int64(), "size": pa.int64(), "repairs_before": pa.int64(),
             "ordinal": pa.int64(), "reading": pa.int64(), "erased": pa.bool_(),
             "minutes": pa.float64(), "at": pa.float64(), "damaged": pa.bool_(), "invented": pa.bool_(),
             "withdrawn": pa.bool_()}  # fmt: skip
    return kinds.get(name, pa.string())


def _month(day: str) -> str:
    """``2026-03``; ``unknown`` of a day that is none."""
    return day[:7] if _DAY.fullmatch(day) else "unknown"


def _fresh(folder: Path, name: str) -> Path:
    """An empty place beside the table, to be put in its stead when it is whole."""
    made = folder / f".{name}.new"
    shutil.rmtree(made, ignore_errors=True)
    _ours(folder / name)
    return made


def _ours(table: Path) -> None:
    """Nothing is replaced that an export did not write.

    Raises:
        OperatorError: the folder holds something else.
    """
    if not table.exists():
        return
    strange = [one for one in table.iterdir() if not (one.name.startswith(f"{MONTH}=") or one.suffix == ".parquet")]
    if table.is_symlink() or strange:
        raise OperatorError(f"{table} holds something other than an export.", remedy="Name another folder.")


def _swap(made: Path, table: Path) -> None:
    """Put the new table in place of the old one."""
    shutil.rmtree(table, ignore_errors=True)
    made.rename(table)


def _fitting(text: str) -> Decimal | None:
    """A number as the column holds it: rounded to twelve places; None where there is none, or none that fits."""
    if not text:
        return None
    value = Decimal(text)
    if value and value.adjusted() > _WHOLE_DIGITS:
        return None
    return value.quantize(_PLACES, context=Context(prec=60))
