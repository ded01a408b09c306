"""A sound card of the tests' own: PulseAudio with null sinks, in folders of its own, away from the user's.

``microphone`` is what the program hears: what is played into it is heard. ``loudspeaker`` is what it plays into; a
recorder on it tells what was spoken, and keeps the sink's clock short.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

LIMIT = 60.0
"""Seconds that a state is waited for."""
TOOLS = ("pulseaudio", "pactl", "paplay", "parec")


def until(told: Callable[[], object], what: str, limit: float = LIMIT) -> None:
    """Wait for a state."""
    end = time.monotonic() + limit
    while not told():
        if time.monotonic() > end:
            raise AssertionError(f"never came: {what}")
        time.sleep(0.05)


class SoundCard:
    """One running sound server."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        socket = folder / "native"
        (folder / "asoundrc").write_text(
            "</usr/share/alsa/alsa.conf>\npcm.!default { type pulse }\nctl.!default { type pulse }\n",
            encoding="utf-8",
        )
        self.settings = {
            "PULSE_SERVER": f"unix:{socket}",
            "PULSE_LATENCY_MSEC": "30",
            "ALSA_CONFIG_PATH": str(folder / "asoundrc"),
            "XDG_RUNTIME_DIR": str(folder),
        }
        self.environment = {**os.environ, **self.settings}
        script = folder / "start.pa"
        script.write_text(
            f"load-module module-native-protocol-unix auth-anonymous=1 socket={socket}\n"
            "load-module module-null-sink sink_name=room rate=48000 channels=1\n"
            "load-module module-null-sink sink_name=loudspeaker rate=48000 channels=1\n"
            "set-default-sink loudspeaker\n",
            encoding="utf-8",
        )
        self._log = (folder / "server.log").open("w")
        self._server = subprocess.Popen(
            ["pulseaudio", "--daemonize=no", "--exit-idle-time=-1", "-n", "-F", str(script), "--use-pid-file=no",
             "--realtime=no", "--high-priority=no", "--disable-shm=yes"],
            env={**self.environment, "HOME": str(folder)}, stdout=self._log, stderr=self._log,
        )  # fmt: skip
        until(lambda: self._ask("list", "short", "sinks").count("null-sink") == 2, "a running sound server")
        self._modules: dict[str, str] = {}
        self.plug("headset")
        self._tap = (folder / "spoken.raw").open("wb")
        self._recorder = subprocess.Popen(
            ["parec", "-d", "loudspeaker.monitor", "--format=s16le", "--rate=16000", "--channels=1",
             "--latency-msec=20"], env=self.environment, stdout=self._tap,
        )  # fmt: skip

    def plug(self, name: str) -> None:
        """Plug a microphone in and make it the usual one."""
        self._modules[name] = self._ask(
            "load-module", "module-remap-source", f"source_name={name}", "master=room.monitor",
            f"source_properties=device.description={name}",
        ).strip()  # fmt: skip
        self._ask("set-default-source", name)

    def unplug(self, name: str) -> None:
        """Pull it out."""
        self._ask("unload-module", self._modules.pop(name))

    def loop_back(self) -> str:
        """Lead what the loudspeaker plays back into the room at full level."""
        return self._ask(
            "load-module", "module-loopback", "source=loudspeaker.monitor", "sink=room", "latency_msec=30"
        )

    def cut(self, loop: str) -> None:
        """Take such a loop away."""
        self._ask("unload-module", loop.strip())

    def speak(self, path: Path) -> None:
        """Play a recording into the room and wait until it is over."""
        subprocess.run(["paplay", "-d", "room", str(path)], env=self.environment, check=True)

    def spoken(self) -> np.ndarray:
        """What the loudspeaker played so far: 16 kHz."""
        raw = (self.folder / "spoken.raw").read_bytes()
        return np.frombuffer(raw[: len(raw) // 2 * 2], dtype="<i2")

    def speaking(self) -> bool:
        """True while something is being played."""
        return bool(self.spoken()[-12000:].any())

    def close(self) -> None:
        """End the server and everything on it."""
        for process in (self._recorder, self._server):
            process.terminate()
            try:
                process.wait(10)
            except subprocess.TimeoutExpired:
                process.kill()
                process.wait()
        self._tap.close()
        self._log.close()

    def _ask(self, *words: str) -> str:
        return subprocess.run(
            ["pactl", *words], env=self.environment, capture_output=True, text=True, check=False
        ).stdout


def lacking() -> str:
    """Why there can be no such card here, '' when there can."""
    if not sys.platform.startswith("linux"):
        return "the virtual sound card needs Linux"
    missing = [tool for tool in (*TOOLS, "flite") if shutil.which(tool) is None]
    if missing:
        return f"the virtual sound card needs {', '.join(missing)}: apt-get install pulseaudio pulseaudio-utils flite"
    return ""
