"""``leadsman handover``: sessions recorded offline go to the shop's database."""

from __future__ import annotations

from pathlib import Path

import click

from assistant import library
from assistant.commands.records.places import records_option
from assistant.commands.terminal import echo
from assistant.records.store.folder import FolderStore


@click.command(epilog="Example: leadsman handover")
@records_option
@click.option("--demos", is_flag=True, help="Invented sessions, too.")
def handover(records: Path | None, demos: bool) -> None:
    """Hand local sessions over to the shop's PostgreSQL. Doing it twice does no harm; local records stay.

    The address of the database is in LEADSMAN_DATABASE or in a private file, never on the command line.
    """
    from assistant.records.store.handover import hand_over
    from assistant.records.store.postgresql import open_database

    folder = records or library.records_folder()
    target = open_database(folder)
    new = there = problems = 0
    for one in hand_over(FolderStore(folder), target, demos=demos):
        if one.fresh:
            echo(f"{one.session_id}: {one.fresh} entries handed over")
        if one.problem:
            echo(f"{one.session_id}: {one.problem}", err=True)
        new += bool(one.fresh)
        problems += bool(one.problem)
        there += not one.fresh and not one.problem
    echo(f"{new} handed over, {there} there already, {problems} with a remark; all in {target.where}.")
    if problems:
        raise SystemExit(1)
