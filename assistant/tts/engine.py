"""One process of the speech engine, with a deadline: an engine may hang, crash, or write nothing and report success.

Sentences are saved as sound and played by us, so that we know when our own speech ends.
"""

from __future__ import annotations

import contextlib
import json
import os
import queue
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

COMMAND = (sys.executable, "-m", "assistant.tts.engine_process")


@dataclass(frozen=True, slots=True)
class Deadlines:
    """How long the engine may take, in seconds."""

    start: float = 5.0
    """From the making of the process until it is ready."""
    base: float = 2.0
    """For any sentence, whatever its length."""
    a_character: float = 0.02
    """More for each character: a sentence is saved much faster than it is spoken."""


class Engine:
    """One process of the speech engine, and what it reports.

    Args:
        command: how to start it.
    """

    def __init__(self, command: Sequence[str]) -> None:
        self._scratch = tempfile.mkdtemp(prefix="leadsman-voice-")
        self._events: queue.Queue[dict[str, Any] | None] = queue.Queue()
        self._number = 0
        self._ready = False
        environment = {**os.environ, "TMPDIR": self._scratch, "TEMP": self._scratch, "TMP": self._scratch}
        try:
            self._process = subprocess.Popen(  # noqa: S603 - our own module, no shell
                list(command),
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                env=environment,
                text=True,
                encoding="utf-8",
                errors="replace",
                # a group of its own: Ctrl-C is ours to handle, and a player it started dies with it
                start_new_session=True,
            )
        except OSError:
            shutil.rmtree(self._scratch, ignore_errors=True)
            raise
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()

    def save(self, text: str, path: Path, limits: Deadlines) -> str:
        """Save a sentence as a sound file and say what went wrong, '' when nothing did."""
        if not self._ready:
            event = self._next(limits.start)
            if event.get("event") != "ready":
                return str(event.get("reason") or "it did not start")
            self._ready = True
        try:
            self._send({"save": text, "path": str(path)})
        except (OSError, ValueError):
            return "it ended by itself"
        event = self._next(limits.base + limits.a_character * len(text))
        return "" if event.get("event") == "finished" else str(event.get("reason") or "it did not answer")

    def voices(self, limits: Deadlines) -> list[str]:
        """Names of the engine's voices; empty when it does not tell."""
        if not self._ready and self._next(limits.start).get("event") == "ready":
            self._ready = True
        if not self._ready:
            return []
        self._send({"list": True})
        listed = self._next(limits.base).get("voices", [])
        return [str(one) for one in listed] if isinstance(listed, list) else []

    def kill(self) -> None:
        """End the process, its children and its scratch files."""
        with contextlib.suppress(OSError):
            if hasattr(os, "killpg"):
                os.killpg(self._process.pid, signal.SIGKILL)
            else:
                self._process.kill()
        with contextlib.suppress(OSError):
            self._process.kill()
        self._process.wait()
        self._reader.join(timeout=1.0)
        for stream in (self._process.stdin, self._process.stdout):
            if stream is not None:
                with contextlib.suppress(OSError, ValueError):
                    stream.close()
        shutil.rmtree(self._scratch, ignore_errors=True)

    def _send(self, job: dict[str, Any]) -> None:
        self._number += 1
        assert self._process.stdin is not None  # noqa: S101 - opened as a pipe above
        self._process.stdin.write(json.dumps({**job, "number": self._number}) + "\n")
        self._process.stdin.flush()

    def _next(self, seconds: float) -> dict[str, Any]:
        try:
            event = self._events.get(timeout=seconds)
        except queue.Empty:
            return {"event": "late", "reason": "it did not finish in time"}
        return event if event is not None else {"event": "ended", "reason": "it ended by itself"}

    def _read(self) -> None:
        with contextlib.suppress(OSError, ValueError):
            assert self._process.stdout is not None  # noqa: S101 - opened as a pipe above
            for line in self._process.stdout:
                with contextlib.suppress(json.JSONDecodeError):
                    event = json.loads(line)
                    if isinstance(event, dict):
                        self._events.put(event)
        self._events.put(None)
