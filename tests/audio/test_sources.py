"""Which microphone a recording is connected to, as the sound server's own tool tells it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from assistant.audio.sources import SoundSource, joined_source

OUTPUTS = [
    {"index": 1, "source": 7, "properties": {"application.process.id": "41"}},
    {"index": 2, "source": 8, "properties": {"application.process.id": "42"}},
    {"index": 3, "source": 99, "properties": {"application.process.id": "43"}},
    {"index": 4, "source": 9, "properties": {"application.process.id": "44"}},
]
SOURCES = [
    {"index": 7, "name": "built-in", "description": "Built-in microphone"},
    {"index": 8, "name": "headset"},
    {"index": 9, "name": "speaker.monitor", "description": "Monitor of a loudspeaker"},
]


def tool(folder: Path, monkeypatch: pytest.MonkeyPatch, outputs: str, *, fails: bool = False) -> None:
    """Put a ``pactl`` of the tests' own into the way."""
    (folder / "outputs").write_text(outputs, encoding="utf-8")
    (folder / "sources").write_text(json.dumps(SOURCES), encoding="utf-8")
    script = folder / "pactl"
    script.write_text(
        f'#!/bin/sh\nfor kind; do :; done\ncase $kind in source-outputs) cat "{folder}/outputs";; '
        f'sources) cat "{folder}/sources";; esac\nexit {int(fails)}\n',
        encoding="utf-8",
    )
    script.chmod(0o755)
    monkeypatch.setenv("PATH", f"{folder}:/usr/bin:/bin")


@pytest.mark.parametrize(
    ("process", "source"),
    [
        (41, SoundSource("built-in", "Built-in microphone")),
        (42, SoundSource("headset", "headset")),
        (43, None),
        (44, SoundSource("speaker.monitor", "Monitor of a loudspeaker", monitor=True)),
        (45, None),
    ],
)
def test_the_source_of_a_process_is_found(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, process: int, source: SoundSource | None
) -> None:
    """One without a title goes by its name; a recording of another process is not ours."""
    tool(tmp_path, monkeypatch, json.dumps(OUTPUTS))
    assert joined_source(process) == source


@pytest.mark.parametrize("outputs", ["", "not JSON", '{"index": 1}', "[1, null]"])
def test_what_the_tool_should_not_say_is_no_source(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, outputs: str
) -> None:
    tool(tmp_path, monkeypatch, outputs)
    assert joined_source(41) is None


def test_a_tool_that_fails_or_is_missing_is_no_source(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    tool(tmp_path, monkeypatch, json.dumps(OUTPUTS), fails=True)
    assert joined_source(41) is None
    monkeypatch.setenv("PATH", str(tmp_path / "empty"))
    assert joined_source(41) is None
