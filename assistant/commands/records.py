"""``leadsman sessions`` and ``show``: what was recorded."""

from __future__ import annotations

from pathlib import Path

import click

from assistant import library
from assistant.commands.shared import write_json
from assistant.log.sessions import find_session, list_sessions
from assistant.log.transcript import transcript

records_option = click.option(
    "--records", type=click.Path(path_type=Path), help="Folder of the records. Default: the user's data folder."
)


@click.command(epilog="Example: leadsman sessions --unit 4207")
@records_option
@click.option("--unit", help="Only sessions on this unit.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object a session.")
def sessions(records: Path | None, unit: str | None, as_json: bool) -> None:
    """List recorded sessions, the newest first."""
    folder = records or library.records_folder()
    found = [one for one in list_sessions(folder) if unit is None or one.unit == unit]
    if as_json:
        for one in found:
            write_json(
                {
                    "id": one.id,
                    "started": one.started,
                    "unit": one.unit,
                    "procedure": one.procedure,
                    "ending": one.ending,
                    "cause": one.cause,
                    "minutes": one.minutes,
                    "damaged": one.damaged,
                }
            )
        return
    if not found:
        click.echo(f"No session is recorded in {folder}. Begin one with: leadsman start trailer-abs-light-on")
        return
    for one in found:
        mark = "   (damaged: see leadsman show)" if one.damaged else ""
        unit_text = f"unit {one.unit}" if one.unit else "no unit"
        click.echo(
            f"{one.id}   {one.started[:16].replace('T', ' ')}   {unit_text:<12} {one.minutes:>4.0f} min   "
            f"{one.ending:<18} {one.cause or one.procedure}{mark}"
        )


@click.command(epilog="Example: leadsman show 20260131-142305-k3f")
@click.argument("session_id", metavar="ID", required=False)
@records_option
def show(session_id: str | None, records: Path | None) -> None:
    """Print one record as a transcript. Without ID: the newest."""
    folder = records or library.records_folder()
    if session_id is None:
        newest = next(iter(list_sessions(folder)), None)
        if newest is None:
            click.echo(f"No session is recorded in {folder}. Begin one with: leadsman start trailer-abs-light-on")
            raise SystemExit(1)
        session_id = newest.id
    click.echo(transcript(find_session(folder, session_id), library.load_lexicon()))
