"""The index as Parquet files, for those who go further with DuckDB, Dask or Spark."""

from __future__ import annotations

from decimal import Context, Decimal
from pathlib import Path

from sqlalchemy import select

from assistant.errors import OperatorError
from assistant.records.index.index import Index
from assistant.records.index.schema import readings, repairs, sessions

CHUNK = 20_000
"""Rows read and written at once."""

_PLACES = Decimal(1).scaleb(-12)
_WHOLE_DIGITS = 25
"""Before the point, beside twelve behind it: 38 digits are what the format holds."""


def to_parquet(index: Index, folder: Path, *, names: bool = False) -> dict[str, int]:
    """Write ``sessions``, ``readings`` and ``repairs``; returns the rows of each.

    Numbers of readings are decimal(38, 12): exact, where a float would not be. ``session`` joins them.

    Args:
        index: where the rows come from.
        folder: where the files go; it is made when missing.
        names: technicians' names, too; they are left out otherwise.

    Raises:
        OperatorError: the library is missing, or the files cannot be written.
    """
    try:
        import pyarrow as pa
        import pyarrow.parquet as pq
    except ImportError:
        raise OperatorError(
            "Parquet needs the package pyarrow, and it is missing.", remedy="Run: pip install 'leadsman[parquet]'"
        ) from None
    number = pa.decimal128(38, 12)
    kinds = {"number": pa.int64(), "session": pa.int64(), "size": pa.int64(), "repairs_before": pa.int64(),
             "ordinal": pa.int64(),
             "minutes": pa.float64(), "at": pa.float64(), "damaged": pa.bool_(), "invented": pa.bool_(),
             "withdrawn": pa.bool_()}  # fmt: skip
    exact = {"value", "low", "high", "uncertainty"}
    counts = {}
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with index.connect() as connection:
            for table in (sessions, readings, repairs):
                columns = [one.name for one in table.c if names or one.name != "technician"]
                schema = pa.schema(
                    [(name, number if name in exact else kinds.get(name, pa.string())) for name in columns]
                )
                counts[table.name] = 0
                chosen = select(*(table.c[name] for name in columns)).execution_options(yield_per=CHUNK)
                with pq.ParquetWriter(folder / f"{table.name}.parquet", schema) as writer:
                    for part in connection.execute(chosen).partitions(CHUNK):
                        arrays = []
                        for name, column in zip(columns, zip(*part, strict=True), strict=True):
                            if name in exact:
                                arrays.append(pa.array([_fitting(value) for value in column], number))
                            else:
                                arrays.append(pa.array(column, schema.field(name).type))
                        writer.write_table(pa.table(arrays, schema=schema))
                        counts[table.name] += len(part)
    except OSError as error:
        reason = (error.strerror or str(error)).rstrip(".")
        raise OperatorError(f"Cannot write into {folder}: {reason}.", remedy="Name another folder.") from None
    return counts


def _fitting(text: str) -> Decimal | None:
    """A number as the column holds it: rounded to twelve places; None where there is none, or none that fits."""
    if not text:
        return None
    value = Decimal(text)
    if value and value.adjusted() > _WHOLE_DIGITS:
        return None
    return value.quantize(_PLACES, context=Context(prec=60))
