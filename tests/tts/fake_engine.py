"""A speech engine's process that misbehaves on demand: ``fake_engine.py NOTES MODE [MODE ...]``.

Each start takes the next mode (the last one again and again) and notes its process id in the file NOTES.
"""

from __future__ import annotations

import json
import os
import sys
import time
import wave
from array import array
from pathlib import Path


def send(**message: object) -> None:
    print(json.dumps(message), flush=True)


def main() -> None:
    notes, modes = Path(sys.argv[1]), sys.argv[2:]
    starts = notes.read_text(encoding="utf-8").split() if notes.exists() else []
    notes.write_text("\n".join([*starts, str(os.getpid())]), encoding="utf-8")
    mode = modes[min(len(starts), len(modes) - 1)]
    if mode == "no start":
        time.sleep(600)
    if mode == "broken":
        send(event="failed", number=0, reason="OSError: no library")
        return
    print("noise that is no message", flush=True)
    send(event="ready")
    for line in sys.stdin:
        job = json.loads(line)
        number = job["number"]
        if mode == "hang":
            time.sleep(600)
        if mode == "crash":
            os._exit(3)
        if mode == "refuse":
            send(event="failed", number=number, reason="RuntimeError: run loop already started")
            continue
        if mode != "no file":
            save(
                Path(job["path"]), seconds=0.01 if mode == "short" else 0.1 * len(job["save"]), loud=mode != "silent"
            )
        send(event="finished", number=number)


def save(path: Path, seconds: float, *, loud: bool) -> None:
    """A tone, or silence."""
    samples = array("h", [3000 if loud and at % 40 < 20 else 0 for at in range(round(16000 * seconds))])
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(16000)
        file.writeframes(samples.tobytes())


if __name__ == "__main__":
    main()
