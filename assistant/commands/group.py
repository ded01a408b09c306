"""The group that all commands hang from: it loads a command when it is called."""

from __future__ import annotations

import difflib
import gc
from importlib import import_module
from typing import cast

import click
from click.shell_completion import CompletionItem

from assistant.commands.catalog import COMMANDS, GROUPS

EXIT_CODES = "Exit codes: 0 done, 1 not all done, 2 wrong use, 3 a faulty file, 70 our own bug, 130 stopped."


def load_command(name: str) -> click.Command:
    """The command of that name, imported now.

    What is imported stays: looking for garbage in it costs a tenth of the time in which a session starts.
    """
    module, _, attribute = COMMANDS[name].code.partition(":")
    collecting = gc.isenabled()
    gc.disable()
    try:
        return cast("click.Command", getattr(import_module(f"assistant.commands.{module}"), attribute))
    finally:
        gc.freeze()
        if collecting:
            gc.enable()


class LazyGroup(click.Group):
    """A group whose commands are imported one at a time."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002 - the list is the same for every call
        """All names, in the order of the help."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of that name, or of the one name that begins so."""
        name = self._whole(cmd_name)
        if name is None:
            return None
        known = super().get_command(ctx, name)
        if known is None:
            known = load_command(name)
            self.add_command(known, name)
        return known

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """The command that was called; an unknown one is answered with those it may have been."""
        name = args[0]
        command = self.get_command(ctx, name)
        if command is None and not ctx.resilient_parsing and not name.startswith("-"):
            raise click.UsageError(self._unknown(name), ctx)
        if command is None:
            return super().resolve_command(ctx, args)
        return command.name, command, args[1:]

    def shell_complete(self, ctx: click.Context, incomplete: str) -> list[CompletionItem]:
        """The commands that begin so, without importing one."""
        if incomplete.startswith("-"):
            return click.Command.shell_complete(self, ctx, incomplete)
        return [CompletionItem(name, help=one.line) for name, one in COMMANDS.items() if name.startswith(incomplete)]

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002
        """The commands in their groups, one line each."""
        width = max(map(len, COMMANDS))
        for title, entries in GROUPS:
            with formatter.section(title):
                formatter.write_dl([(entry.name.ljust(width), entry.line) for entry in entries])

    def format_epilog(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002
        """How a command ends, and how to ask for more."""
        formatter.write_paragraph()
        formatter.write_text("A command's own help: leadsman COMMAND --help. A unique beginning of its name will do.")
        formatter.write_text(EXIT_CODES)

    @staticmethod
    def _whole(name: str) -> str | None:
        if name in COMMANDS:
            return name
        begins = [known for known in COMMANDS if name and known.startswith(name)]
        return begins[0] if len(begins) == 1 else None

    @staticmethod
    def _unknown(name: str) -> str:
        begins = [known for known in COMMANDS if known.startswith(name)]
        near = begins or difflib.get_close_matches(name, COMMANDS, n=3, cutoff=0.6)
        if begins:
            return f"'{name}' begins more than one command: {', '.join(begins)}."
        meant = f" Did you mean {' or '.join(near)}?" if near else ""
        return f"There is no command '{name}'.{meant} See: leadsman --help"
