"""Which microphone is really recorded from: a sound server may move a recording to another one without notice.

PulseAudio and PipeWire present all devices under one name. Their own tool reports which source our stream is
connected to; without it the name that PortAudio gives has to do.
"""

from __future__ import annotations

import contextlib
import json
import os
import shutil
import subprocess
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class SoundSource:
    """A microphone as the sound server knows it."""

    name: str
    """Its name, which stays the same when it is unplugged and plugged in again."""
    title: str
    """How people know it."""
    monitor: bool = False
    """True for what a loudspeaker plays: no microphone at all."""


def joined_source(process: int | None = None) -> SoundSource | None:
    """The source that this process records from; None when it is not known."""
    own = str(process if process is not None else os.getpid())
    for output in _listed("source-outputs"):
        if str(output.get("properties", {}).get("application.process.id")) == own:
            return next((found for index, found in _sources() if index == output.get("source")), None)
    return None


def _sources() -> list[tuple[Any, SoundSource]]:
    found = []
    for one in _listed("sources"):
        name = str(one.get("name", ""))
        title = str(one.get("description") or name)
        # a source made out of a monitor inherits its class, so the name decides
        found.append((one.get("index"), SoundSource(name, title, name.endswith(".monitor"))))
    return found


def _listed(kind: str) -> list[dict[str, Any]]:
    with contextlib.suppress(ValueError):
        listed = json.loads(_ask("-f", "json", "list", kind) or "[]")
        return [one for one in listed if isinstance(one, dict)] if isinstance(listed, list) else []
    return []


def _ask(*words: str) -> str:
    tool = shutil.which("pactl")
    if tool is None:
        return ""
    try:
        done = subprocess.run(  # noqa: S603 - a fixed tool with fixed words
            [tool, *words],
            capture_output=True,
            text=True,
            timeout=1.0,
            check=False,
            env={**os.environ, "LC_ALL": "C"},
        )
    except (OSError, subprocess.TimeoutExpired):
        return ""
    return done.stdout if done.returncode == 0 else ""
