"""Settings of the voice: kept, read again, and never in the way of a session."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.setup.settings import USUAL, VoiceSettings, load_voice, save_voice, settings_file


@pytest.fixture(autouse=True)
def _shop(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("LEADSMAN_SHOP", str(tmp_path / "shop"))


@pytest.mark.parametrize("name", ["", "gmw/en-us", 'odd "name" \\ here'])
def test_what_was_set_comes_back(name: str) -> None:
    voice = VoiceSettings(200, name)
    assert save_voice(voice).is_file()
    assert load_voice() == voice


@pytest.mark.parametrize("text", ["", "not toml [", "voice = 3", "[voice]\nwords_a_minute = 9000\nname = 7"])
def test_a_broken_file_is_as_good_as_none(text: str) -> None:
    settings_file().parent.mkdir()
    settings_file().write_text(text, encoding="utf-8")
    assert load_voice() == VoiceSettings(USUAL, "")
