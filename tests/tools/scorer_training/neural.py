"""Speech by the neural synthesizer whose eighteen voices the shared recordings use.

Six of those voices decide and never speak here, nor does any voice beside the eighteen. The network comes in four
parts as packages, its voices in another; README of ``../shared/speech/scorer`` names them. Phonemes are looked up
first, so that speaking needs onnxruntime and numpy alone and can be spread over the cores of another machine.
"""

from __future__ import annotations

import json
import multiprocessing
import random
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import numpy as np

from tests.tools.scorer_training.clips import RATE, Clip, Levels, cut, pack

VOICES = (
    "af_alloy", "af_bella", "af_nova", "af_sarah", "am_adam", "am_echo", "am_liam", "am_onyx", "bf_alice",
    "bm_daniel",    "hm_omega", "pm_alex",
)  # fmt: skip
DECIDE = ("af_sky", "am_puck", "bf_lily", "bm_lewis", "em_alex", "zm_yunxi")
"""Voices that decide: their recordings and any speech of theirs stay out of training."""
NEURAL = "neural"
"""Source of its clips."""
SPOKEN_RATE = 24_000
A_FILE = 1000
"""Clips in one file, at most 16 MB."""
_SESSION: Any = None


def prepare(lines: Sequence[tuple[str, str, str]], voices: Path, out: Path, seed: int = 31) -> int:
    """Write what is to be spoken: numbers of phonemes, voice, its style and speed.

    Args:
        lines: kind, words as the recognizer writes them, and as told aloud.
        voices: folder of ``NAME.bin``, float32, 256 numbers a length.
        out: the file to write.
        seed: of the speeds; voices take turns.
    """
    from kokoro_onnx.tokenizer import Tokenizer

    rng = random.Random(seed)
    tokenizer = Tokenizer()
    styles = {name: np.fromfile(voices / f"{name}.bin", dtype=np.float32).reshape(-1, 256) for name in VOICES}
    rows, chosen = [], []
    for number, (kind, words, aloud) in enumerate(lines):
        voice = VOICES[number % len(VOICES)]
        phonemes = tokenizer.phonemize(aloud, "en-gb" if voice.startswith("b") else "en-us")
        tokens = tokenizer.tokenize(phonemes)
        if not tokens:
            continue
        rows.append([voice, kind, words, round(rng.uniform(0.8, 1.3), 2), tokens])
        chosen.append(styles[voice][min(len(tokens), len(styles[voice])) - 1])
    np.savez(
        out, rows=np.frombuffer(json.dumps(rows).encode(), dtype=np.uint8), styles=np.stack(chosen).astype(np.float16)
    )
    return len(rows)


def speaker(network: Path, voices: Path) -> Callable[[str, str, float], Levels]:
    """One who says a text in a voice at a speed, at our rate, the silence around it cut to a little."""
    from kokoro_onnx.tokenizer import Tokenizer

    tokenizer = Tokenizer()
    _open(str(network))

    def say(voice: str, aloud: str, speed: float) -> Levels:
        tokens = tokenizer.tokenize(tokenizer.phonemize(aloud, "en-gb" if voice.startswith("b") else "en-us"))
        styles = np.fromfile(voices / f"{voice}.bin", dtype=np.float32).reshape(-1, 256)
        row: list[Any] = [voice, "", "", speed, tokens]
        return cut(resampled(_say((0, row, styles[min(len(tokens), len(styles)) - 1]))[1]), RATE // 4)

    return say


def _open(network: str) -> None:
    global _SESSION  # noqa: PLW0603 one session a process, opened when the process starts
    import onnxruntime

    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = options.inter_op_num_threads = 1
    _SESSION = onnxruntime.InferenceSession(network, options, providers=["CPUExecutionProvider"])


def _say(given: tuple[int, list[Any], np.ndarray]) -> tuple[int, Levels]:
    number, (_, _, _, speed, tokens), style = given
    names = {one.name: one.type for one in _SESSION.get_inputs()}
    first = "input_ids" if "input_ids" in names else "tokens"
    speed_type = np.float32 if "float" in names["speed"] else np.int32
    inputs = {
        first: np.array([[0, *tokens, 0]], dtype=np.int64),
        "style": style.astype(np.float32)[None],
        "speed": np.array([speed], dtype=speed_type),
    }
    return number, np.asarray(_SESSION.run(None, inputs)[0], dtype=np.float32).ravel()


def speak(prepared: Path, network: Path, out: Path, processes: int, seconds: float, most: int | None = None) -> int:
    """Say what was prepared, as much as the time allows, and pack it, so many clips a file.

    Returns:
        how many were said.
    """
    with np.load(prepared) as opened:
        rows, styles = json.loads(opened["rows"].tobytes()), opened["styles"]
    tasks = [(number, row, styles[number]) for number, row in enumerate(rows[:most])]
    began = time.monotonic()
    said: list[tuple[int, Clip]] = []
    with multiprocessing.get_context("spawn").Pool(processes, _open, (str(network),)) as pool:
        for number, levels in pool.imap_unordered(_say, tasks):
            voice, kind, words, _, _ = rows[number]
            said.append((number, Clip(NEURAL, voice, kind, words, cut(resampled(levels)))))
            if len(said) % 200 == 0:
                print(f"  {len(said)} said, {time.monotonic() - began:.0f} s", flush=True)
            if time.monotonic() - began > seconds:
                pool.terminate()
                break
    clips = [clip for _, clip in sorted(said, key=lambda one: one[0])]
    for start in range(0, len(clips), A_FILE):
        pack(clips[start : start + A_FILE], out / f"neural{start // A_FILE}.tar", compression=0.85)
    return len(clips)


def resampled(levels: Levels) -> Levels:
    """From the synthesizer's rate to ours, by leaving out the highest frequencies of the whole."""
    length = round(len(levels) * RATE / SPOKEN_RATE)
    spectrum = np.fft.rfft(levels)[: length // 2 + 1]
    return np.asarray(np.fft.irfft(spectrum, length) * (RATE / SPOKEN_RATE), dtype=np.float32)
