"""What the settings put in place of options that were not given. Every command reads it, so it imports little."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict
from typing import Any

from assistant.setup.settings import load_settings

_OWN_PLACE = {"demo", "practice"}
"""Commands whose records are invented and lie apart."""


def defaults(commands: Iterable[str], records_named: bool) -> dict[str, dict[str, Any]]:
    """Command to the options that it begins with.

    Args:
        commands: names of the commands.
        records_named: whether the environment names the folder of the records, which comes first.
    """
    held = {name: value for name, value in asdict(load_settings().start).items() if value}
    if records_named:
        held.pop("records", None)
    return {command: {name: held[name] for name in held if _meant(command, name)} for command in commands}


def _meant(command: str, name: str) -> bool:
    """Whether an option of that name means the setting in this command: a technician may be asked for elsewhere."""
    if name in ("technician", "shop"):
        return command == "start" or (name == "shop" and command == "serve")
    return name not in {"records", "store"} or command not in _OWN_PLACE
