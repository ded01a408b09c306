"""A person's own settings: what a session begins with, and how the voice speaks. A file in the shop folder.

Missing or broken, the defaults apply: a session must begin.
"""

from __future__ import annotations

import json
import tomllib
from dataclasses import dataclass, fields, replace
from pathlib import Path
from typing import Any, TypeVar

from assistant import library
from assistant.errors import OperatorError
from assistant.private_files import write_private

SLOWEST, FASTEST, USUAL = 90, 320, 170
"""Words a minute."""
FILE = "settings.toml"


@dataclass(frozen=True, slots=True)
class VoiceSettings:
    """How the voice speaks."""

    words_a_minute: int = USUAL
    name: str = ""
    """The engine's name of the voice, '' for its own choice."""


@dataclass(frozen=True, slots=True)
class StartSettings:
    """What a session begins with when the command line does not say it; '' leaves it open."""

    meter: str = ""
    """The meter in hand, by its name in the table of meters."""
    technician: str = ""
    """Kept outside the records, as everywhere."""
    shop: str = ""
    """Name of the shop, for the head of its reports."""
    headset: bool = False
    """True for one who wears a headset, so that a word may cut the voice short."""
    records: str = ""
    """Folder of the records; the variable LEADSMAN_RECORDS comes before it."""
    store: str = ""
    """``folder`` or ``postgresql``."""


@dataclass(frozen=True, slots=True)
class Settings:
    """Everything in the file."""

    start: StartSettings = StartSettings()
    voice: VoiceSettings = VoiceSettings()


T = TypeVar("T", StartSettings, VoiceSettings)


def settings_file() -> Path:
    """Where they are kept."""
    return library.shop_folder() / FILE


def load_settings() -> Settings:
    """What was set; a value that is not of its kind counts as not set."""
    try:
        table = tomllib.loads(settings_file().read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return Settings()
    start = _known(StartSettings(), table.get("start"))
    voice = _known(VoiceSettings(), table.get("voice"))
    if not SLOWEST <= voice.words_a_minute <= FASTEST:
        voice = replace(voice, words_a_minute=USUAL)
    return Settings(start, voice)


def load_voice() -> VoiceSettings:
    """How the voice speaks."""
    return load_settings().voice


def save_voice(voice: VoiceSettings) -> Path:
    """Keep how the voice speaks, and leave the rest as it is.

    Raises:
        OperatorError: the file cannot be written.
    """
    return save_settings(replace(load_settings(), voice=voice))


def save_settings(settings: Settings) -> Path:
    """Keep them.

    Raises:
        OperatorError: the file cannot be written.
    """
    path = settings_file()
    tables = (("start", settings.start), ("voice", settings.voice))
    lines: list[str] = []
    for title, table in tables:
        # a JSON string, number or truth is one of TOML as well
        lines += [
            f"[{title}]",
            *(f"{one.name} = {json.dumps(getattr(table, one.name))}" for one in fields(table)),
            "",
        ]
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        write_private(path, "\n".join(lines).encode())
    except OSError as error:
        raise OperatorError(
            f"Cannot write {path}: {error.strerror or error}.", remedy="Name another folder in LEADSMAN_SHOP."
        ) from None
    return path


def _known(usual: T, table: Any) -> T:
    """The defaults with what the table says, as far as it is of the same kind."""
    if not isinstance(table, dict):
        return usual
    said = {one.name: table[one.name] for one in fields(usual) if one.name in table}
    return replace(
        usual, **{name: value for name, value in said.items() if type(value) is type(getattr(usual, name))}
    )
