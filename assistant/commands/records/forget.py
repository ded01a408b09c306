"""``leadsman forget``: erase what lies outside the chain."""

from __future__ import annotations

import click

from assistant.commands.completion import complete_sessions
from assistant.commands.records.places import store_options
from assistant.commands.terminal import echo
from assistant.records.journal.verify import verify
from assistant.records.store.ports import Store, find, identify


@click.command(epilog="Example: leadsman forget 20260131-142305-k3f --sound")
@click.argument("session_id", metavar="ID", shell_complete=complete_sessions)
@click.option("--sound", is_flag=True, help="Only the kept sound.")
@click.option("--names", is_flag=True, help="Only the technician's name.")
@click.option("--photos", is_flag=True, help="Only the photos; the record still tells that there were some.")
@store_options
def forget(shop: Store, session_id: str, sound: bool, names: bool, photos: bool) -> None:
    """Erase a session's kept sound, names and photos. The record itself stays whole."""
    name = identify(shop, session_id)
    every = not (sound or names or photos)
    gone = shop.erase(name, sound=sound or every, names=names or every, photos=photos or every)
    if gone:
        echo(f"Erased of session {name}: {' and '.join(gone)}.")
    else:
        echo(f"Session {name} keeps nothing of that kind.")
    if not verify(find(shop, name)).whole:
        echo(f"(The record itself is damaged; see: leadsman verify {name})", err=True)
