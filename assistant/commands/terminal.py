"""Whether a person sits at this terminal, what it can draw, and the one way by which text goes to it."""

from __future__ import annotations

import os
import sys

import click

from assistant.display.visible import visible


def echo(text: str = "", *, err: bool = False, nl: bool = True, one_line: bool = False) -> None:
    """Print a text, with marks for whatever in it would steer the terminal.

    Args:
        text: what is printed; it may hold words of a record, a procedure or an argument.
        err: to the errors instead of the output.
        nl: end it with a newline.
        one_line: it must not look like several lines: newlines are marked, too.
    """
    click.echo(visible(text, one_line=one_line), err=err, nl=nl)


def is_terminal() -> bool:
    """True when both standard input and standard output are a terminal."""
    return sys.stdin.isatty() and sys.stdout.isatty()


def has_chat() -> bool:
    """True when the terminal can draw the chat: a person at it, and a cursor that moves."""
    return is_terminal() and os.environ.get("TERM", "dumb") != "dumb"


def can_show(signs: str) -> bool:
    """True where the output can hold these signs."""
    try:
        signs.encode(sys.stdout.encoding or "ascii")
    except UnicodeEncodeError:
        return False
    return True


def notice(text: str) -> None:
    """A remark about the machine, beside the talk: in brackets on standard error."""
    echo(f"({text})", err=True)
