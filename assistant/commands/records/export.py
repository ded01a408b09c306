"""``leadsman export``: all records as tables for other tools."""

from __future__ import annotations

from pathlib import Path

import click

from assistant.commands.records.places import reading_records, store_options
from assistant.commands.terminal import echo
from assistant.records.index.export import to_parquet
from assistant.records.index.index import plain_errors
from assistant.records.store.ports import Store


@click.command(epilog="Example: leadsman export --parquet tables")
@click.option(
    "--parquet", type=click.Path(path_type=Path, file_okay=False), required=True,
    help="Folder for the tables sessions, readings, repairs and pictures, each parted by month.",
)  # fmt: skip
@click.option("--names", is_flag=True, help="Technicians' names, too. Default: they are left out.")
@store_options
def export(shop: Store, parquet: Path, names: bool) -> None:
    """Export the index of all records as Parquet, for DuckDB, Dask or Spark."""
    with plain_errors("The index cannot be read"):
        index = shop.index()
        with reading_records() as read:
            index.refresh(shop, read)
        counts = to_parquet(index, parquet, names=names)
    for name, count in counts.items():
        echo(f"{parquet / name}: {count} rows")
