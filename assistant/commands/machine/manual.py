"""``leadsman manual``: the help of all commands as manual pages."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import click

from assistant import __version__
from assistant.commands.catalog import COMMANDS
from assistant.commands.group import EXIT_CODES, load_command
from assistant.commands.terminal import echo
from assistant.errors import OperatorError


@click.command(epilog="Example: leadsman manual man/man1")
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False))
@click.pass_context
def manual(context: click.Context, folder: Path) -> None:
    """Write a manual page for each command into FOLDER: leadsman.1, leadsman-start.1 and so on.

    In a folder such as ~/.local/share/man/man1 'man leadsman-start' finds them.
    """
    try:
        from click_man.man import ManPage
    except ImportError:
        raise OperatorError(
            "Manual pages need the package click-man.",
            remedy="Run: pip install 'leadsman[manual]'",
        ) from None
    pages = {f"leadsman {name}": load_command(name) for name in COMMANDS}
    pages["leadsman"] = context.find_root().command
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for title, command in pages.items():
            text = _page(ManPage(title), title, command)
            (folder / f"{title.replace(' ', '-')}.1").write_text(text, encoding="utf-8")
    except OSError as error:
        raise OperatorError(f"Cannot write into {folder}: {error.strerror or error}.") from None
    echo(f"{len(pages)} manual pages are in {folder}.")


def _page(page: object, title: str, command: click.Command) -> str:
    """One page, with the example and the exit codes that the help has at its end."""
    context = click.Context(command, info_name=title)
    name = title.removeprefix("leadsman ")
    told = {
        "version": f"Leadsman {__version__}",
        "date": f"{datetime.now(UTC):%Y-%m-%d}",
        "short_help": COMMANDS[name].line if name in COMMANDS else "lead a technician to a verified repair",
        "description": (command.help or "").replace("\b\n", ""),
        "synopsis": " ".join(command.collect_usage_pieces(context)),
        "options": [
            record
            for one in command.params
            if isinstance(one, click.Option) and (record := one.get_help_record(context)) is not None
        ],
        "commands": [] if name in COMMANDS else [(name, one.line) for name, one in COMMANDS.items()],
    }
    for name, value in told.items():
        setattr(page, name, value)
    sections = (
        ("EXAMPLE", (command.epilog or "").removeprefix("Example: ")),
        ("EXIT STATUS", EXIT_CODES.removeprefix("Exit codes: ")),
    )
    return f"{page}\n" + "".join(f".SH {section}\n{text}\n" for section, text in sections if text)
