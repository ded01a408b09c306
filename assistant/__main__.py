"""Entry of the command line: every error leaves as one sentence and an exit code, never as a traceback."""

from __future__ import annotations

import os
import sys
from io import StringIO

import click

from assistant import __version__
from assistant.commands.catalog import COMMANDS
from assistant.commands.group import LazyGroup
from assistant.commands.terminal import echo
from assistant.errors import LeadsmanError

HELP = """Leadsman leads a technician from an ABS light that stays on to a verified repair, by voice or by typed chat.

\b
Try it:         leadsman demo
A session:      leadsman start trailer-abs-light-on
What is ready:  leadsman setup
"""


@click.group(
    cls=LazyGroup, help=HELP, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100}
)
@click.version_option(__version__, prog_name="leadsman")
@click.pass_context
def cli(context: click.Context) -> None:
    """The group that all commands hang from."""
    from assistant.commands.defaults import defaults

    if context.default_map is None:
        context.default_map = defaults(COMMANDS, records_named="LEADSMAN_RECORDS" in os.environ)


def main(arguments: list[str] | None = None) -> None:
    """Run one command and exit with its code: 0 done, 1 not all done, 2 wrong use, 3 a faulty file, 70 our bug."""
    _speak_utf8()
    try:
        code = cli.main(args=arguments, prog_name="leadsman", standalone_mode=False)
    except click.ClickException as error:
        told = StringIO()
        error.show(told)
        echo(told.getvalue(), err=True, nl=False)
        sys.exit(error.exit_code)
    except click.exceptions.Abort:
        echo("Stopped.", err=True)
        sys.exit(130)
    except KeyboardInterrupt:
        echo("Stopped.", err=True)
        sys.exit(130)
    except LeadsmanError as error:
        echo(str(error), err=True)
        sys.exit(error.exit_code)
    except BrokenPipeError:
        # whoever read our output has gone (such as head): nothing is left to tell
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(0)
    except Exception as error:
        if os.environ.get("LEADSMAN_DEBUG"):
            raise
        echo(
            f"Leadsman met a fault of its own ({type(error).__name__}: {error}). Whatever was read back as logged is "
            "on disk. Run again with LEADSMAN_DEBUG=1 to see where.",
            err=True,
        )
        sys.exit(70)
    sys.exit(code if isinstance(code, int) else 0)


def _speak_utf8() -> None:
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None and (stream.encoding or "").lower() in {"ascii", "ansi_x3.4-1968", "us-ascii"}:
            reconfigure(errors="replace")


if __name__ == "__main__":
    main()
