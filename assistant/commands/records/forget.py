"""``leadsman forget``: erase what lies outside the chain."""

from __future__ import annotations

from pathlib import Path

import click

from assistant.commands.records.places import open_store, place_options
from assistant.records.journal.verify import verify
from assistant.records.store.ports import find, identify


@click.command(epilog="Example: leadsman forget 20260131-142305-k3f --sound")
@click.argument("session_id", metavar="ID")
@click.option("--sound", is_flag=True, help="Only the kept sound.")
@click.option("--names", is_flag=True, help="Only the technician's name.")
@place_options
def forget(session_id: str, sound: bool, names: bool, records: Path | None, store: str) -> None:
    """Erase a session's kept sound and names. The record itself stays whole."""
    place = open_store(records, store)
    name = identify(place, session_id)
    both = not (sound or names)
    gone = place.erase(name, sound=sound or both, names=names or both)
    if gone:
        click.echo(f"Erased of session {name}: {' and '.join(gone)}.")
    else:
        click.echo(f"Session {name} keeps nothing of that kind.")
    if not verify(find(place, name)).whole:
        click.echo(f"(The record itself is damaged; see: leadsman verify {name})", err=True)
