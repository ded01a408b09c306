"""Noise behind voices at a stated ratio, the same in every run."""

from __future__ import annotations

import zlib
from pathlib import Path

import numpy as np
import soundfile

from assistant.audio.sound import RATE, Sound, make_sound
from tests.bench.hearing.cases import Case

NOISES = {
    "chainsaw": "chainsaw_*.flac",
    "engine": "engine_*.flac",
    "rain": "rain_*.flac",
    "helicopter": "helicopter_*.flac",
    "hacksaw": "hacksaw.flac",
    "torch": "torch.flac",
}
KEPT_ASIDE = ("*_06.flac", "*_07.flac", "engine_inside.flac", "hacksaw.flac", "torch.flac")
"""Clips that train and fit nothing: they lie under the voices that decide, and under others where none is left."""
GAP = 0.1
"""Seconds between joined recordings."""
_FRAME = 400


def levels_of(path: Path) -> tuple[np.ndarray, int]:
    """Levels of one file, full scale 1.0, and its rate."""
    levels, rate = soundfile.read(path, dtype="float32")
    return levels, int(rate)


def case_sound(case: Case, corpus: Path, noise: str = "", ratio_db: float = 0.0) -> Sound:
    """The sound of a case, with noise mixed over its spoken part at a ratio in decibels where one is named."""
    pieces: list[np.ndarray] = []
    rate = RATE
    for path in case.files:
        levels, rate = levels_of(path)
        pieces += [levels, np.zeros(int(GAP * rate), dtype=np.float32)]
    joined = np.concatenate(pieces[:-1])
    if noise:
        joined = mix(joined, noise_like(corpus, noise, len(joined), case.name, decides=case.decides), ratio_db)
    return make_sound(joined, rate, case.name)


def mix(voice: np.ndarray, noise: np.ndarray, ratio_db: float) -> np.ndarray:
    """Noise under a voice, its level set against the spoken frames alone, kept below full scale."""
    frames = len(voice) // _FRAME
    power = np.mean(voice[: frames * _FRAME].reshape(frames, _FRAME) ** 2, axis=1)
    spoken = power > 0.01 * np.max(power)
    speech = float(np.mean(power[spoken]))
    gain = np.sqrt(speech / (10 ** (ratio_db / 10)) / max(1e-12, float(np.mean(noise**2))))
    mixed = voice + gain * noise
    return np.asarray(mixed / max(1.0, float(np.max(np.abs(mixed))) / 0.99), dtype=np.float32)


def noise_like(corpus: Path, name: str, length: int, seed: str, *, decides: bool = False) -> np.ndarray:
    """A stretch of one noise, looped where it is short; which one and where follows from the seed.

    Voices that decide have the clips that are kept aside, and the others have the others.
    """
    paths = sorted((corpus / "noise").glob(NOISES[name]))
    half = [path for path in paths if any(path.match(pattern) for pattern in KEPT_ASIDE) is decides] or paths
    rng = np.random.default_rng(zlib.crc32(f"{name} {seed}".encode()))
    levels, _ = levels_of(half[int(rng.integers(len(half)))])
    start = int(rng.integers(len(levels)))
    return np.resize(np.roll(levels, -start), length)
