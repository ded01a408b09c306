"""Speech by the engines of Debian's packages: flite, espeak-ng and festival, many voices, speeds and pitches."""

from __future__ import annotations

import multiprocessing
import random
import shutil
import subprocess
import tempfile
from collections.abc import Sequence
from pathlib import Path

import soundfile

from tests.tools.scorer_training.clips import RATE, Clip, Levels, Said, cut, resampled

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
_BATCH, _TURN = 120, 14
"""Lines that are said before the engines are started anew, and before one festival changes its voice."""


def missing() -> list[str]:
    """Programs that are not installed."""
    return [name for name in SHARES if shutil.which(name) is None]


def speak_all(lines: Sequence[Said], processes: int = 1, seed: int = 23) -> list[Clip]:
    """Say every line once by one of the engines.

    Args:
        lines: what to say.
        processes: how many speak at once.
        seed: of voices, speeds and pitches; the same whatever the number of processes.
    """
    parts = [(lines[start : start + _BATCH], seed + start) for start in range(0, len(lines), _BATCH)]
    clips: list[Clip] = []
    with multiprocessing.get_context("spawn").Pool(processes) as pool:
        for said in pool.imap(_speak, parts):
            clips += said
            print(f"  engines: {len(clips)} of {len(lines)}", flush=True)
    return [clip for clip in clips if len(clip.levels) > RATE // 8]


def _speak(given: tuple[Sequence[Said], int]) -> list[Clip]:
    """One part of the lines, in a folder of its own."""
    lines, seed = given
    rng = random.Random(seed)
    engines = rng.choices(list(SHARES), list(SHARES.values()), k=len(lines))
    clips = []
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for engine, say in (("flite", flite), ("espeak-ng", espeak)):
            for line, by in zip(lines, engines, strict=True):
                if by == engine:
                    voice, path = say(line.aloud, folder / "one.wav", rng)
                    clips.append(Clip(engine, voice, line.kind, line.words, read_clip(path)))
        chosen = [line for line, by in zip(lines, engines, strict=True) if by == "festival"]
        clips += _festival(chosen, folder, rng)
    return clips


def read_clip(path: Path) -> Levels:
    """Levels of a file at our rate, the silence around them cut to a little."""
    levels, rate = soundfile.read(path, dtype="float32")
    path.unlink()
    return cut(resampled(levels, rate))


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


def _festival(lines: Sequence[Said], folder: Path, rng: random.Random) -> list[Clip]:
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
