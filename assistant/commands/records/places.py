"""Where a command finds and keeps records: the options, and the store that they name."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from functools import wraps
from pathlib import Path
from typing import Any

import click

from assistant import library
from assistant.commands.shared import options
from assistant.commands.terminal import echo, notice
from assistant.records.store.folder import FolderStore
from assistant.records.store.ports import Store
from assistant.records.store.strangers import others_may_write, told

MANY = 1000
"""Records from which reading them is shown: so many take a second or two."""

records_option = click.option(
    "--records", type=click.Path(path_type=Path), help="Folder of the records. Default: the user's data folder."
)
_store_option = click.option(
    "--store",
    type=click.Choice(["folder", "postgresql"]),
    default="folder",
    show_default=True,
    help="Where records are kept. A database's address is in LEADSMAN_DATABASE or in a private file.",
)


place_options = options(records_option, _store_option)
"""``--records`` and ``--store``, for a command that does more with them than open the store."""


def store_options(command: Callable[..., None]) -> Callable[..., None]:
    """``--records`` and ``--store``, for a command that takes the opened store as ``shop``."""

    @wraps(command)
    def opened(records: Path | None, store: str, **given: Any) -> None:
        command(shop=open_store(records, store), **given)

    return place_options(opened)  # type: ignore[no-any-return]


def open_store(records: Path | None, store: str = "folder") -> Store:
    """The place that the options name.

    Raises:
        OperatorError: the database cannot be reached, or its address is not known.
    """
    folder = records or library.records_folder()
    if store == "postgresql":
        from assistant.records.store.postgresql import open_database

        return open_database(folder)
    return tell_strangers(FolderStore(folder))


@contextmanager
def reading_records(*, always: bool = False) -> Iterator[Callable[[int, int], None]]:
    """Shows how far the reading of records into the index is, from so many records on: fewer are soon read."""
    with ExitStack() as stack:
        bars: list[Any] = []

        def shown(done: int, total: int) -> None:
            if not bars and (always or total >= MANY):
                bar = click.progressbar(length=total, label="Reading records", file=sys.stderr)
                bars.append(stack.enter_context(bar))
            for bar in bars:
                bar.update(done - bar.pos)

        yield shown


def tell_strangers(place: FolderStore) -> FolderStore:
    """Say once, when the command is over, what in a folder is no record, and that others may write into it."""

    def tell() -> None:
        for text in (told(place.folder, place.strangers), others_may_write(place.folder)):
            if text:
                notice(text)

    context = click.get_current_context(silent=True)
    if context is not None:
        context.call_on_close(tell)
    return place


def open_store_or_folder(records: Path | None, store: str) -> Store:
    """The same for a new session, which must not wait for a server: kept here meanwhile, handed over later."""
    if store == "folder":
        return open_store(records)
    from assistant.records.store.postgresql import UnreachableError

    try:
        return open_store(records, store)
    except UnreachableError as error:
        place = FolderStore(records or library.records_folder())
        echo(f"({error.problem} This session is kept in {place.where}.", err=True)
        echo(" Hand it over later with: leadsman handover)", err=True)
        return place


def nothing_in(store: Store) -> str:
    """The sentence for a place without records."""
    return f"No session is recorded in {store.where}. Begin one with: leadsman start trailer-abs-light-on"


def seconds_of(text: str) -> float:
    """``12:30`` or ``1:02:30`` to seconds since the session began.

    Raises:
        click.BadParameter: it is not such a time.
    """
    parts = text.strip().split(":")
    if (
        not 2 <= len(parts) <= 3
        or not all(part.isdigit() for part in parts)
        or any(int(one) > 59 for one in parts[1:])
    ):
        raise click.BadParameter(
            f"'{text}' is not a time in a session. Write minutes and seconds as the transcript does, such as 12:30."
        )
    # two parts are minutes and seconds, however many minutes; three begin with hours
    return float(sum(int(part) * 60**power for power, part in enumerate(reversed(parts))))
