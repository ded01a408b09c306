"""Who sits at this terminal, and what it can draw."""

from __future__ import annotations

import os
import sys

import click


def is_terminal() -> bool:
    """True when a person sits at both ends."""
    return sys.stdin.isatty() and sys.stdout.isatty()


def has_chat() -> bool:
    """True when the terminal can draw the chat: a person at it, and a cursor that moves."""
    return is_terminal() and os.environ.get("TERM", "dumb") != "dumb"


def notice(text: str) -> None:
    """A remark about the machine, beside the talk: in brackets on standard error."""
    click.echo(f"({text})", err=True)
