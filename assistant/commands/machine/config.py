"""``leadsman config``: what a session begins with when the command line does not say it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import click

from assistant import catalog
from assistant.commands.completion import offering
from assistant.commands.shared import json_option, write_json
from assistant.commands.terminal import echo
from assistant.errors import OperatorError
from assistant.setup.settings import (
    FASTEST,
    SLOWEST,
    Settings,
    StartSettings,
    VoiceSettings,
    load_settings,
    save_settings,
    settings_file,
)

_YES_OR_NO = {"yes": True, "on": True, "true": True, "no": False, "off": False, "false": False}


@dataclass(frozen=True, slots=True)
class _Setting:
    """One that can be set."""

    table: str
    """``start`` or ``voice``."""
    field: str
    read: Callable[[str], Any]
    """Words to a value; an OperatorError says what is wrong with them."""
    line: str
    """What it is for."""


def _meter(text: str) -> str:
    catalog.load_meter(text)
    return text.strip()


def _words(text: str) -> str:
    return " ".join(text.split())


def _yes_or_no(text: str) -> bool:
    try:
        return _YES_OR_NO[text.strip().casefold()]
    except KeyError:
        raise OperatorError(f"'{text}' is neither yes nor no.") from None


def _folder(text: str) -> str:
    path = Path(text).expanduser().absolute()
    if path.exists() and not path.is_dir():
        raise OperatorError(f"{path} is a file, not a folder.")
    return str(path)


def _store(text: str) -> str:
    if text not in {"folder", "postgresql"}:
        raise OperatorError(f"Records are not kept in '{text}'.", remedy="Say folder or postgresql.")
    return text


def _speed(text: str) -> int:
    if not (text.isascii() and text.isdigit() and SLOWEST <= int(text) <= FASTEST):
        raise OperatorError(f"'{text}' is no speed.", remedy=f"Give {SLOWEST} to {FASTEST} words a minute.")
    return int(text)


SETTINGS: Mapping[str, _Setting] = {
    "meter": _Setting("start", "meter", _meter, "the meter in hand, by its name in the table of meters"),
    "technician": _Setting("start", "technician", _words, "your name, kept outside the record"),
    "shop": _Setting("start", "shop", _words, "the shop's name, at the head of its reports"),
    "headset": _Setting("start", "headset", _yes_or_no, "yes: you wear one, so a word may cut the voice short"),
    "records": _Setting("start", "records", _folder, "the folder of the records"),
    "store": _Setting("start", "store", _store, "where records are kept: folder or postgresql"),
    "voice": _Setting("voice", "name", _words, "the speech engine's name of the voice"),
    "speed": _Setting("voice", "words_a_minute", _speed, "how fast the voice speaks, in words a minute"),
}


@click.command(epilog="Example: leadsman config meter shop")
@click.argument(
    "name", required=False, shell_complete=offering(lambda _: [(name, one.line) for name, one in SETTINGS.items()])
)
@click.argument("value", required=False)
@click.option("--unset", is_flag=True, help="Forget what was set, so that the usual holds again.")
@json_option
def config(name: str | None, value: str | None, unset: bool, as_json: bool) -> None:
    """Show what a session begins with, or set NAME to VALUE. An option on the command line comes before it."""
    if name is None:
        if unset:
            raise click.UsageError("--unset needs the NAME of a setting.")
        _show(as_json)
        return
    if name not in SETTINGS:
        raise OperatorError(f"There is no setting '{name}'.", remedy=f"There are: {', '.join(SETTINGS)}.")
    if unset and value is not None:
        raise click.UsageError("Give a VALUE or --unset, not both.")
    one, now = SETTINGS[name], load_settings()
    if value is None and not unset:
        held = _held(now, one)
        if as_json:
            write_json({name: held})
        else:
            echo(_plain(held))
        return
    usual = getattr(StartSettings() if one.table == "start" else VoiceSettings(), one.field)
    chosen = usual if value is None else one.read(value)
    table = replace(getattr(now, one.table), **{one.field: chosen})
    path = save_settings(replace(now, **{one.table: table}))
    echo(f"{name}: {_plain(chosen)}. Kept in {path}.")


def _show(as_json: bool) -> None:
    now = load_settings()
    if as_json:
        write_json({name: _held(now, one) for name, one in SETTINGS.items()})
        return
    echo(f"Settings in {settings_file()}:")
    for name, one in SETTINGS.items():
        echo(f"  {name:<10} {_plain(_held(now, one)):<20} {one.line}", one_line=True)
    echo("Set one: leadsman config NAME VALUE. How much is said is set in the session: 'keep it short'.")


def _held(settings: Settings, one: _Setting) -> Any:
    return getattr(getattr(settings, one.table), one.field)


def _plain(held: Any) -> str:
    if isinstance(held, bool):
        return "yes" if held else "no"
    return str(held) or "not set"
