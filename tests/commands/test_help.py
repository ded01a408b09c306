"""Every command has help with an example that names a real command and its real options."""

from __future__ import annotations

import shlex

import click
import pytest

from assistant.__main__ import cli


@pytest.mark.parametrize("name", sorted(cli.commands))
def test_every_command_has_help_and_an_example_that_parses(name: str) -> None:
    """The example under the help is accepted by the command's own parser."""
    command = cli.commands[name]
    assert command.help, f"{name} has no help"
    assert command.epilog, f"{name} has no example"
    assert command.epilog.startswith(f"Example: leadsman {name}")
    arguments = shlex.split(command.epilog.removeprefix("Example: "))[2:]
    context = click.Context(command, info_name=name)
    command.parse_args(context, arguments)


@pytest.mark.parametrize("name", sorted(cli.commands))
def test_every_option_says_what_it_is_for(name: str) -> None:
    """No option without a word of help."""
    silent = [one.name for one in cli.commands[name].params if isinstance(one, click.Option) and not one.help]
    assert silent == []
