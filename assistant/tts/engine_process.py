"""The speech engine in a process of its own: one JSON object a line in, one a line out.

In: ``{"save": TEXT, "path": PATH, "number": N}`` or ``{"list": true, "number": N}``. Out: ``{"event": "ready"}``, and
for each number ``finished``, ``voices`` (with their names) or ``failed`` (with the reason). The end of the input ends
the process at once, also in the middle of a word. Arguments: words a minute, and the voice's name.
"""

from __future__ import annotations

import json
import os
import queue
import re
import sys
import threading
import time
from typing import Any, TextIO

WORDS_A_MINUTE = 170
WRITING = 1.5
"""Seconds that a saved file is waited for."""
EMPTY = 44
"""Bytes of a sound file without sound."""


def main() -> None:
    """Save what comes in as sound until the input ends."""
    out = _own_output()
    jobs: queue.Queue[dict[str, Any]] = queue.Queue()
    threading.Thread(target=_read, args=(jobs,), daemon=True).start()
    try:
        engine = _make_engine()
    except Exception as error:  # noqa: BLE001 - the library raises whatever its driver does
        _send(out, event="failed", number=0, reason=f"{type(error).__name__}: {error}")
        os._exit(1)
    _send(out, event="ready")
    while True:
        job = jobs.get()
        number = int(job["number"])
        try:
            if "list" in job:
                _send(out, event="voices", number=number, voices=[str(voice.id) for voice in _voices(engine)])
                continue
            engine.save_to_file(job["save"], job["path"], str(number))
            engine.runAndWait()
            _wait_for(job["path"])
        except Exception as error:  # noqa: BLE001 - as above
            _send(out, event="failed", number=number, reason=f"{type(error).__name__}: {error}")
        else:
            _send(out, event="finished", number=number)


def _wait_for(path: str) -> None:
    """Wait for the file: on a busy machine the driver returns before it has written it."""
    end = time.monotonic() + WRITING
    while time.monotonic() < end and not (os.path.exists(path) and os.path.getsize(path) > EMPTY):  # noqa: PTH110, PTH202
        time.sleep(0.005)


def _make_engine() -> Any:
    import pyttsx3

    engine = pyttsx3.init()
    speed, name = [*sys.argv[1:], "", ""][:2]
    engine.setProperty("rate", int(speed) if speed.isdigit() else WORDS_A_MINUTE)
    _choose_voice(engine, name)
    return engine


def _voices(engine: Any) -> list[Any]:
    """The driver's English voices, or all where none is called so."""
    listed = list(engine.getProperty("voices"))
    english = [one for one in listed if re.search(r"\ben\b", f"{one.id} {getattr(one, 'languages', '')}".lower())]
    return english or listed


def _choose_voice(engine: Any, name: str) -> None:
    """Take the named voice, else one of United States English where the driver lists one, else its own choice."""
    try:
        for voice in engine.getProperty("voices"):
            if name and voice.id == name:
                engine.setProperty("voice", voice.id)
                return
        for voice in engine.getProperty("voices"):
            names = f"{voice.id} {voice.name}".lower().replace("_", "-")
            if "en-us" in names and "mb-" not in names:
                engine.setProperty("voice", voice.id)
                return
    except Exception:  # noqa: BLE001, S110 - drivers disagree about voices; the default one speaks too
        pass


def _own_output() -> TextIO:
    """Our side of the pipe; what the library prints goes nowhere."""
    out = os.fdopen(os.dup(1), "w", encoding="utf-8", buffering=1)
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.dup2(nowhere, 2)
    sys.stdout = sys.stderr = os.fdopen(nowhere, "w")
    return out


def _read(jobs: queue.Queue[dict[str, Any]]) -> None:
    for line in sys.stdin:
        jobs.put(json.loads(line))
    os._exit(0)  # the program that asked for speech has ended


def _send(out: TextIO, **message: Any) -> None:
    out.write(json.dumps(message) + "\n")
    out.flush()


if __name__ == "__main__":
    main()
