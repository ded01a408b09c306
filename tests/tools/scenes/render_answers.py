"""Render the answers of demo scenes as recordings.

    python -m tests.tools.scenes.render_answers demo_sessions/NAME [...]

Each ``[[answers]]`` of the scene is spoken by a voice of flite (Debian package ``flite``), brought to 16 kHz mono,
and written as ``01.flac``, ``02.flac`` and so on. ``noise_db`` mixes a shop's noise, synthesised here, behind the
voice at that signal-to-noise ratio. The same scene gives the same files.
"""

from __future__ import annotations

import argparse
import shutil
import subprocess
import sys
import tempfile
import zlib
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import soundfile
import soxr

from assistant.audio.sound import RATE
from assistant.errors import LeadsmanError, OperatorError
from assistant.scenes import Answer, StoredScene, load_scene

EDGE = 0.25
"""Seconds of quiet kept before and after the voice."""
LEVEL = 0.12
"""Level of the voice, as root mean square share of full scale."""
_SILENT = 0.01  # share of the loudest frame's level below which a frame is silence
_FRAME = 160


def main(arguments: Sequence[str] | None = None) -> int:
    """Render scenes; the exit code tells whether it could be done."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0] if __doc__ else "")
    parser.add_argument("scenes", nargs="+", type=Path, help="folders with a scene.toml")
    try:
        for folder in parser.parse_args(arguments).scenes:
            stored = load_scene(folder.name)
            print(f"{stored.name}: {render_scene(stored, folder)} recordings")
    except LeadsmanError as error:
        print(error, file=sys.stderr)
        return error.exit_code
    return 0


def render_scene(stored: StoredScene, folder: Path) -> int:
    """Write every recording of a scene and remove those that are no answer's any more."""
    for old in folder.glob("[0-9][0-9]*.flac"):
        old.unlink()
    for answer, path in stored.spoken:
        soundfile.write(folder / path.name, render(answer, stored.scene.voice, path.name), RATE, subtype="PCM_16")
    return len(stored.spoken)


def render(answer: Answer, voice: str, name: str) -> np.ndarray:
    """The levels of one answer; ``name`` seeds its noise."""
    levels = speak(answer.spoken or answer.typed, answer.voice or voice)
    if answer.noise_db is None:
        return levels
    return with_noise(levels, answer.noise_db, zlib.crc32(f"{answer.typed} {name}".encode()))


def speak(words: str, voice: str) -> np.ndarray:
    """A voice's levels at 16 kHz, with a quarter of a second of quiet at each end.

    Raises:
        OperatorError: flite is not there, or cannot speak this.
    """
    flite = shutil.which("flite")
    if flite is None:
        raise OperatorError("The voice program flite is missing.", remedy="Run: sudo apt install flite")
    with tempfile.TemporaryDirectory() as scratch:
        path = Path(scratch) / "said.wav"
        done = subprocess.run(
            [flite, "-voice", voice, "-t", words, "-o", str(path)], capture_output=True, check=False
        )
        if done.returncode != 0 or not path.is_file():
            raise OperatorError(f"flite cannot say '{words}' with the voice '{voice}'.")
        levels, rate = soundfile.read(path, dtype="float32")
    if rate != RATE:
        levels = soxr.resample(levels, rate, RATE)
    return trimmed(levels * LEVEL / max(1e-9, spoken_level(levels)))


def trimmed(levels: np.ndarray) -> np.ndarray:
    """The voice alone, with ``EDGE`` seconds of quiet at each end."""
    frames = frame_levels(levels)
    loud = np.flatnonzero(frames > _SILENT * frames.max())
    voice = levels[loud[0] * _FRAME : (loud[-1] + 1) * _FRAME]
    quiet = np.zeros(int(EDGE * RATE), dtype=np.float32)
    return np.concatenate([quiet, voice, quiet]).astype(np.float32)


def with_noise(levels: np.ndarray, ratio_db: float, seed: int) -> np.ndarray:
    """A shop behind the voice: broadband hiss, and the hum of a motor with its overtones, at a ratio in decibels."""
    rng = np.random.default_rng(seed)
    count = len(levels)
    hiss = rng.normal(0.0, 1.0, count)
    hiss = np.convolve(hiss, np.array([0.4, 0.3, 0.2, 0.1]), mode="same")
    seconds = np.arange(count) / RATE
    pitch = 118.0 + 4.0 * np.sin(2 * np.pi * 0.7 * seconds)
    phase = 2 * np.pi * np.cumsum(pitch) / RATE
    hum = sum(np.sin(order * phase + rng.uniform(0, 2 * np.pi)) / order for order in range(1, 9))
    noise = hiss / np.std(hiss) + hum / np.std(hum)
    noise *= spoken_level(levels) / 10 ** (ratio_db / 20) / np.std(noise)
    mixed = levels + noise
    scaled: np.ndarray = mixed / max(1.0, float(np.max(np.abs(mixed))) / 0.98)
    return scaled.astype(np.float32)


def frame_levels(levels: np.ndarray) -> np.ndarray:
    """Level of each hundredth of a second."""
    count = max(1, len(levels) // _FRAME)
    power: np.ndarray = np.mean(np.resize(levels, (count, _FRAME)).astype(np.float64) ** 2, axis=1)
    return np.asarray(np.sqrt(power))


def spoken_level(levels: np.ndarray) -> float:
    """Level of the spoken part: the frames within 20 dB of the loudest."""
    frames = frame_levels(levels)
    return float(np.sqrt(np.mean(frames[frames > 0.1 * frames.max()] ** 2)))


if __name__ == "__main__":
    sys.exit(main())
