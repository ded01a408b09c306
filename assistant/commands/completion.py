"""What a shell offers when Tab is pressed: names of commands, procedures, sessions, meters and scenes.

Click writes the script for the shell and calls back here; nothing that fails may print into somebody's command line.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from itertools import islice

import click
from click.shell_completion import CompletionItem

from assistant.errors import LeadsmanError

Completer = Callable[[click.Context, click.Parameter, str], list[CompletionItem]]
MOST = 40
"""Sessions that are offered: the newest."""


def offering(names: Callable[[click.Context], Iterable[tuple[str, str]]]) -> Completer:
    """Names with a word about each, of which those are offered that begin as what was typed."""

    def complete(context: click.Context, _: click.Parameter, typed: str) -> list[CompletionItem]:
        try:
            return [CompletionItem(name, help=told) for name, told in names(context) if name.startswith(typed)]
        except (LeadsmanError, OSError):
            return []

    return complete


def _procedures(_: click.Context) -> Iterable[tuple[str, str]]:
    from assistant.procedure.load import list_procedures

    return [(path.stem, "") for path in list_procedures()]


def _sessions(context: click.Context) -> Iterable[tuple[str, str]]:
    from assistant import library
    from assistant.records.index.listing import listed
    from assistant.records.store.folder import FolderStore

    folder = context.params.get("records") or library.records_folder()
    newest = islice(listed(FolderStore(folder)), MOST)
    found = [(one.id, f"{one.started[:10]} {one.unit} {one.cause or one.procedure}".strip()) for one in newest]
    return [("last", "the newest"), *found]


def _meters(_: click.Context) -> Iterable[tuple[str, str]]:
    from assistant.catalog import load_meters

    return [(name, "") for name in load_meters()]


def _scenes(_: click.Context) -> Iterable[tuple[str, str]]:
    from assistant.scenes import list_scenes

    return [(one.folder.name, one.scene.title) for one in list_scenes()]


complete_procedures = offering(_procedures)
complete_sessions = offering(_sessions)
complete_meters = offering(_meters)
complete_scenes = offering(_scenes)
