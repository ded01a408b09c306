"""``leadsman export``: all records as tables for other tools."""

from __future__ import annotations

from pathlib import Path

import click

from assistant.commands.records.places import open_store, place_options
from assistant.records.index.export import to_parquet
from assistant.records.index.index import plain_errors


@click.command(epilog="Example: leadsman export --parquet tables")
@click.option(
    "--parquet", type=click.Path(path_type=Path, file_okay=False), required=True,
    help="Folder for sessions.parquet, readings.parquet and repairs.parquet.",
)  # fmt: skip
@click.option("--names", is_flag=True, help="Technicians' names, too. Default: they are left out.")
@place_options
def export(parquet: Path, names: bool, records: Path | None, store: str) -> None:
    """Export the index of all records as Parquet, for DuckDB, Dask or Spark."""
    place = open_store(records, store)
    with plain_errors("The index cannot be read"):
        index = place.index()
        index.refresh(place)
        counts = to_parquet(index, parquet, names=names)
    for name, count in counts.items():
        click.echo(f"{parquet / (name + '.parquet')}: {count} rows")
