"""Sentences to sound, with a deadline: a speech engine may hang, crash, or say nothing and report success.

The engine lives in a process of its own. When an utterance misses its deadline, ends without having started, or ends
sooner than anybody can speak, the process is killed and made anew; when that fails too, the rest is text only.
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
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Protocol

from assistant.audio.devices import loudspeaker_problem, speech_problem
from assistant.errors import OperatorError

COMMAND = (sys.executable, "-m", "assistant.tts.speaker_process")
_LEAST_TO_JUDGE = 20
"""Characters below which an utterance is too short for its length to tell anything."""


class Speaker(Protocol):
    """Says sentences aloud, or does nothing."""

    def say(self, text: str) -> None:
        """Say one sentence and return when it was spoken, or could not be."""
        ...

    def stop(self) -> None:
        """Fall silent at once; may be called from another thread."""
        ...

    def close(self) -> None:
        """End for good, leaving no process behind."""
        ...


class SilentSpeaker:
    """Says nothing: typed sessions, tests, machines without a loudspeaker."""

    def say(self, text: str) -> None:
        """Do nothing."""

    def stop(self) -> None:
        """Do nothing."""

    def close(self) -> None:
        """Do nothing."""


@dataclass(frozen=True, slots=True)
class Deadlines:
    """How long the engine may take, in seconds."""

    start: float = 10.0
    """From the making of the process until it is ready."""
    base: float = 5.0
    """For any utterance, whatever its length."""
    a_character: float = 0.15
    """More for each character: about half the usual speed."""
    fastest: float = 0.017
    """Least for each character: faster than this nobody speaks, so nothing was heard."""


class PyttsxSpeaker:
    """Speaks through pyttsx3 in a process of its own.

    Args:
        notice: takes one plain sentence when speech fails and the session goes on as text.
        command: how to start the engine's process.
        deadlines: how long it may take.
    """

    def __init__(
        self, notice: Callable[[str], None], command: Sequence[str] = COMMAND, deadlines: Deadlines | None = None
    ) -> None:
        self._notice = notice
        self._command = tuple(command)
        self._deadlines = deadlines or Deadlines()
        self._engine: Engine | None = None
        self._lock = threading.Lock()
        self._stopped = threading.Event()
        self._failed = False

    def say(self, text: str) -> None:
        """Say one sentence; on a miss the engine is made anew and it is said again, once."""
        if self._failed or not text.strip():
            return
        self._stopped.clear()
        problem = ""
        for _ in range(2):
            problem = self._attempt({"say": text}, text)
            if not problem or self._stopped.is_set():
                return
            self._drop()
        self._failed = True
        self._notice(f"The voice failed ({problem}); from here on everything is shown as text.")

    def stop(self) -> None:
        """Fall silent at once: the process is killed, and made again for the next sentence."""
        self._stopped.set()
        self._drop()

    def close(self) -> None:
        """Kill the process."""
        self._failed = True
        self._drop()

    def _attempt(self, job: dict[str, Any], text: str) -> str:
        try:
            with self._lock:
                if self._engine is None:
                    self._engine = Engine(self._command)
                engine = self._engine
            return engine.run(job, text, self._deadlines)
        except OSError as error:
            return f"its process cannot be started: {error.strerror or error}"

    def _drop(self) -> None:
        with self._lock:
            engine, self._engine = self._engine, None
        if engine is not None:
            engine.kill()


def make_speaker(notice: Callable[[str], None]) -> Speaker:
    """The speaker that this machine can have; when it can have none, ``notice`` gets the line that says why."""
    problem = speech_problem() or loudspeaker_problem()
    if problem is None:
        return PyttsxSpeaker(notice)
    notice(f"{problem.text} {problem.remedy}")
    return SilentSpeaker()


def render(text: str, path: Path, command: Sequence[str] = COMMAND, deadlines: Deadlines | None = None) -> None:
    """Save what would be said as a WAV file. Needs the speech library, but no loudspeaker.

    Raises:
        OperatorError: there is no speech library, or the file cannot be written.
    """
    if command == COMMAND and (missing := speech_problem()) is not None:
        raise OperatorError(missing.text, remedy=missing.remedy)
    limits = deadlines or Deadlines()
    # a process for each file: after saving, the engine of some systems goes on saving what it should speak
    try:
        engine = Engine(command)
    except OSError as error:
        raise OperatorError(f"The speech engine cannot be started: {error.strerror or error}.") from None
    try:
        problem = engine.run({"save": text, "path": str(path)}, "", limits, len(text))
    finally:
        engine.kill()
    if not problem and (not path.is_file() or path.stat().st_size <= 44):
        problem = "it wrote nothing"
    if problem:
        raise OperatorError(
            f"Cannot save speech to {path}: {problem}.", remedy="Check the folder and run: leadsman setup"
        )


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

    def run(self, job: dict[str, Any], spoken: str, limits: Deadlines, length: int = 0) -> str:
        """Do one job and say what went wrong, '' when nothing did."""
        if not self._ready:
            event = self._next(limits.start)
            if event.get("event") != "ready":
                return str(event.get("reason") or "it did not start")
            self._ready = True
        self._number += 1
        try:
            assert self._process.stdin is not None  # noqa: S101 - opened as a pipe above
            self._process.stdin.write(json.dumps({**job, "number": self._number}) + "\n")
            self._process.stdin.flush()
        except (OSError, ValueError):
            return "it ended by itself"
        return self._watch(spoken, limits, limits.base + limits.a_character * (len(spoken) or length))

    def voices(self, limits: Deadlines) -> list[str]:
        """Names of the engine's voices; empty when it does not tell."""
        if not self._ready and self._next(limits.start).get("event") == "ready":
            self._ready = True
        if not self._ready or self._process.stdin is None:
            return []
        self._number += 1
        self._process.stdin.write(json.dumps({"list": True, "number": self._number}) + "\n")
        self._process.stdin.flush()
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

    def _watch(self, spoken: str, limits: Deadlines, deadline: float) -> str:
        started = False
        while True:
            event = self._next(deadline)
            kind = event.get("event")
            if kind == "started":
                started = True
            elif kind == "finished":
                seconds = float(event.get("seconds", 0.0))
                if spoken and not started:
                    return "it never started"
                if len(spoken) >= _LEAST_TO_JUDGE and seconds < limits.fastest * len(spoken):
                    return "nothing was heard"
                return ""
            else:
                return str(event.get("reason") or "it did not answer")

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
