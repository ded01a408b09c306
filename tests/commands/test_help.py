"""Every command has help with an example that names a real command and its real options."""

from __future__ import annotations

import shlex
import subprocess
import sys

import click
import pytest
from click.testing import CliRunner

from assistant.__main__ import cli
from assistant.commands.catalog import COMMANDS, GROUPS


def command_named(name: str) -> click.Command:
    command = cli.get_command(click.Context(cli), name)
    assert command is not None
    return command


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_every_command_has_help_and_an_example_that_parses(name: str) -> None:
    """The example under the help is accepted by the command's own parser."""
    command = command_named(name)
    assert command.help, f"{name} has no help"
    assert command.epilog, f"{name} has no example"
    assert command.epilog.startswith(f"Example: leadsman {name}")
    arguments = shlex.split(command.epilog.removeprefix("Example: "))[2:]
    context = click.Context(command, info_name=name)
    command.parse_args(context, arguments)


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_every_option_says_what_it_is_for(name: str) -> None:
    """No option without a word of help."""
    silent = [one.name for one in command_named(name).params if isinstance(one, click.Option) and not one.help]
    assert silent == []


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_a_command_is_called_what_the_help_calls_it(name: str) -> None:
    assert command_named(name).name == name


@pytest.mark.parametrize("width", [60, 80, 120])
def test_the_help_shows_each_command_in_its_group_with_one_whole_line(width: int) -> None:
    shown = CliRunner().invoke(cli, ["--help"], terminal_width=width).output
    assert [shown.index(f"{title}:") for title, _ in GROUPS] == sorted(
        shown.index(f"{title}:") for title, _ in GROUPS
    )
    for entry in COMMANDS.values():
        assert len(entry.line) <= 56, "it would not stand on one line of a terminal of 80 columns"
        if width >= 80:
            assert f"{entry.name.ljust(max(map(len, COMMANDS)))}  {entry.line}\n" in shown
    assert "\N{HORIZONTAL ELLIPSIS}" not in shown


@pytest.mark.parametrize(("typed", "called"), [("sess", "sessions"), ("insp", "inspect"), ("und", "understand")])
def test_a_unique_beginning_calls_the_command(typed: str, called: str) -> None:
    assert command_named(typed).name == called


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("s", "begins more than one command: start, serve, sessions, show, search, schema, setup"),
        ("strat", "Did you mean start?"),
        ("xyzzy", "There is no command 'xyzzy'. See: leadsman --help"),
    ],
)
def test_an_unknown_command_is_answered_with_those_it_may_have_been(typed: str, told: str) -> None:
    result = CliRunner().invoke(cli, [typed])
    assert result.exit_code == 2
    assert told in " ".join(result.output.split())


def test_help_and_version_load_no_command() -> None:
    """The start-up is paid by those who start a session, not by those who ask how."""
    for argument in ("--help", "--version"):
        code = (
            "import sys\nfrom assistant.__main__ import main\n"
            f"try:\n    main([{argument!r}])\nexcept SystemExit:\n    pass\n"
            "heavy = {'numpy', 'pydantic', 'sqlalchemy', 'vosk'}\n"
            "print(sorted(heavy & set(sys.modules)))"
        )
        shown = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
        assert shown.splitlines()[-1] == "[]"


@pytest.mark.parametrize(
    ("commands", "heavy"),
    [
        ("sessions show search history", ("numpy", "pydantic", "vosk", "jinja2")),
        ("start resume", ("vosk", "sounddevice", "assistant.asr.recognizer", "jinja2", "prompt_toolkit")),
    ],
)
def test_a_command_loads_only_what_it_needs(commands: str, heavy: tuple[str, ...]) -> None:
    """A list waits for no planner, a typed session for nothing that hears: half of their time would go there."""
    code = (
        "import gc, sys\nfrom assistant.commands.group import load_command\n"
        f"for name in {commands.split()}:\n    load_command(name)\n"
        f"print(sorted(set({heavy}) & set(sys.modules)), gc.isenabled())"
    )
    shown = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert shown.splitlines()[-1] == "[] True"
