"""A person's own settings: how the voice speaks. A file in the shop folder; missing or broken, the defaults apply."""

from __future__ import annotations

import json
import tomllib
from dataclasses import dataclass
from pathlib import Path

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


def settings_file() -> Path:
    """Where they are kept."""
    return library.shop_folder() / FILE


def load_voice() -> VoiceSettings:
    """What was set. A file that cannot be read is as good as none: a session must begin."""
    try:
        table = tomllib.loads(settings_file().read_text(encoding="utf-8")).get("voice", {})
    except (OSError, ValueError):
        return VoiceSettings()
    if not isinstance(table, dict):
        return VoiceSettings()
    speed, name = table.get("words_a_minute", USUAL), table.get("name", "")
    if not isinstance(speed, int) or not SLOWEST <= speed <= FASTEST:
        speed = USUAL
    return VoiceSettings(speed, name if isinstance(name, str) else "")


def save_voice(voice: VoiceSettings) -> Path:
    """Keep them.

    Raises:
        OperatorError: the file cannot be written.
    """
    path = settings_file()
    # a JSON string is a TOML string as well
    text = f"[voice]\nwords_a_minute = {voice.words_a_minute}\nname = {json.dumps(voice.name)}\n"
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        write_private(path, text.encode())
    except OSError as error:
        raise OperatorError(
            f"Cannot write {path}: {error.strerror or error}.", remedy="Name another folder in LEADSMAN_SHOP."
        ) from None
    return path
