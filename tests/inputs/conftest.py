"""What the live tests share."""

from __future__ import annotations

import importlib.util
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.conftest import missing
from tests.inputs.sound_card import SoundCard, lacking


@pytest.fixture(scope="module")
def sound_card(tmp_path_factory: pytest.TempPathFactory) -> Iterator[SoundCard]:
    """A sound card of the tests' own."""
    if importlib.util.find_spec("sounddevice") is None or (why := lacking()):
        missing(why)
    # a socket's path must be short
    folder: Path = tmp_path_factory.mktemp("card")
    card = SoundCard(folder)
    try:
        yield card
    finally:
        card.close()
