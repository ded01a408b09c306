"""Speech by the engines of Debian's packages: flite, espeak-ng and festival, many voices, speeds and pitches."""

from __future__ import annotations

import random
import shutil
import subprocess
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import soundfile
import soxr

from tests.tools.scorer_training.clips import RATE, Clip, Levels, cut
from tests.tools.scorer_training.texts import Line

FLITE = ("awb", "rms", "slt", "kal16", "kal")
FESTIVAL = ("voice_kal_diphone", "voice_ked_diphone", "voice_cmu_us_slt_arctic_hts")
ESPEAK = ("en-us", "en-us", "en-us", "en-gb", "en-gb-scotland", "en-gb-x-rp", "en-gb-x-gbclan", "en-029", "en-us-nyc")
ESPEAK_VARIANTS = (
    "",
    "m1",
    "m2",
    "m3",
    "m4",
    "m5",
    "m6",
    "m7",
    "f1",
    "f2",
    "f3",
    "f4",
    "f5",
    "Andy",
    "Linda",
    "Michael",
)
SHARES = {"flite": 0.45, "festival": 0.35, "espeak-ng": 0.20}
_BATCH, _TURN = 150, 50
"""Utterances that one festival says before it is started anew, and before it changes its voice."""


def missing() -> list[str]:
    """Programs that are not installed."""
    return [name for name in SHARES if shutil.which(name) is None]


def speak_all(lines: Sequence[Line], folder: Path, seed: int = 23) -> list[Clip]:
    """Say every line once by one of the engines.

    Args:
        lines: what to say.
        folder: for the engines' own files; they are deleted once read.
        seed: of voices, speeds and pitches.
    """
    rng = random.Random(seed)
    engines = rng.choices(list(SHARES), list(SHARES.values()), k=len(lines))
    clips = []
    for engine, say in (("flite", flite), ("espeak-ng", espeak)):
        chosen = [line for line, by in zip(lines, engines, strict=True) if by == engine]
        for number, line in enumerate(chosen):
            voice, path = say(line.aloud, folder / "one.wav", rng)
            clips.append(Clip(engine, voice, line.kind, line.words, read_clip(path)))
            if number % 250 == 0:
                print(f"  {engine}: {number} of {len(chosen)}", flush=True)
    chosen = [line for line, by in zip(lines, engines, strict=True) if by == "festival"]
    for start in range(0, len(chosen), _BATCH):
        clips += _festival(chosen[start : start + _BATCH], folder, rng)
        print(f"  festival: {start} of {len(chosen)}", flush=True)
    return [clip for clip in clips if len(clip.levels) > RATE // 8]


def read_clip(path: Path) -> Levels:
    """Levels of a file at our rate, the silence around them cut to a little."""
    levels, rate = soundfile.read(path, dtype="float32")
    path.unlink()
    return cut(np.asarray(soxr.resample(levels, rate, RATE), dtype=np.float32))


def flite(text: str, path: Path, rng: random.Random) -> tuple[str, Path]:
    voice = rng.choice(FLITE)
    settings = {"duration_stretch": rng.uniform(0.75, 1.25), "int_f0_target_mean": rng.uniform(80, 190)}
    if voice == "slt":
        settings["int_f0_target_mean"] = rng.uniform(140, 230)
    set_all = [part for name, value in settings.items() for part in ("--setf", f"{name}={value:.2f}")]
    subprocess.run(["flite", "-voice", voice, *set_all, "-t", text, "-o", str(path)], check=True, capture_output=True)
    return voice, path


def espeak(text: str, path: Path, rng: random.Random) -> tuple[str, Path]:
    variant = rng.choice(ESPEAK_VARIANTS)
    voice = rng.choice(ESPEAK) + (f"+{variant}" if variant else "")
    options = ["-v", voice, "-s", str(rng.randrange(125, 205)), "-p", str(rng.randrange(25, 75)), "-a", "90"]
    subprocess.run(["espeak-ng", *options, "-w", str(path), text], check=True, capture_output=True)
    return voice, path


def _festival(lines: Sequence[Line], folder: Path, rng: random.Random) -> list[Clip]:
    """A batch, a third in each voice, since starting the engine takes longer than speaking."""
    script, said = [], []
    for number, line in enumerate(lines):
        if number % _TURN == 0:
            voice = FESTIVAL[number // _TURN % len(FESTIVAL)]
            script.append(f"({voice})")
        path = folder / f"festival{number}.wav"
        script.append(f"(Parameter.set 'Duration_Stretch {rng.uniform(0.8, 1.25):.2f})")
        text = line.aloud.replace('"', "")
        script.append(f'(utt.save.wave (utt.synth (Utterance Text "{text}")) "{path}" \'riff)')
        said.append((line, voice, path))
    program = folder / "say.scm"
    program.write_text("\n".join(script), encoding="ascii")
    subprocess.run(["festival", "-b", str(program)], check=True, capture_output=True)
    return [
        Clip("festival", voice, line.kind, line.words, read_clip(path)) for line, voice, path in said if path.exists()
    ]
