"""Speech by the neural synthesizer whose eighteen voices the shared recordings use.

Six of those voices decide and never speak here, nor does any voice beside the eighteen. The network comes in four
parts as packages, its voices in another; README of ``../shared/speech/scorer`` names them. Phonemes are looked up
first, so that speaking needs onnxruntime and numpy alone, or PyTorch on a GPU, and many can speak at once.
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

from tests.tools.scorer_training.clips import RATE, Clip, Levels, cut, keep, resampled

VOICES = (
    "af_alloy", "af_bella", "af_nova", "af_sarah", "am_adam", "am_echo", "am_liam", "am_onyx", "bf_alice",
    "bm_daniel",    "hm_omega", "pm_alex",
)  # fmt: skip
DECIDE = ("af_sky", "am_puck", "bf_lily", "bm_lewis", "em_alex", "zm_yunxi")
"""Voices that decide: their recordings and any speech of theirs stay out of training."""
NEURAL = "neural"
"""Source of its clips."""
SPOKEN_RATE = 24_000
BLENDED = (0.4, 0.4, 0.2)
"""Shares of lines in one voice, and in one between two or three: the synthesizer's styles can be mixed."""
_SAY: Any = None


def prepare(
    lines: Sequence[tuple[str, str, str]], voices: Path, out: Path, seed: int = 31, aside: Sequence[str] = ()
) -> int:
    """Write what is to be spoken: numbers of phonemes, voices with their shares, and speed.

    Args:
        lines: kind, words as the recognizer writes them, and as told aloud.
        voices: folder of ``NAME.bin``, float32, 256 numbers a length.
        out: the file to write.
        seed: of voices and speeds.
        aside: voices that say it in turn, unmixed, for what nobody may train on; none: those that train.
    """
    from kokoro_onnx.tokenizer import Tokenizer

    rng = random.Random(seed)
    tokenizer = Tokenizer()
    rows = []
    for number, (kind, words, aloud) in enumerate(lines):
        shares = {aside[number % len(aside)]: 1.0} if aside else _shares(rng)
        tokens = tokenizer.tokenize(tokenizer.phonemize(aloud, _language(max(shares, key=shares.__getitem__))))
        if tokens:
            rows.append([shares, kind, words, round(rng.uniform(0.75, 1.35), 2), tokens])
    names = list(aside or VOICES)
    styles = np.stack([_styles(voices, name) for name in names])
    listed = np.frombuffer(json.dumps([names, rows], separators=(",", ":")).encode(), dtype=np.uint8)
    np.savez_compressed(out, rows=listed, styles=styles.astype(np.float16))
    return len(rows)


def _shares(rng: random.Random) -> dict[str, float]:
    chosen = rng.sample(VOICES, rng.choices((1, 2, 3), BLENDED)[0])
    parts = [rng.uniform(0.25, 1.0) for _ in chosen]
    return {name: round(part / sum(parts), 3) for name, part in zip(chosen, parts, strict=True)}


def _language(voice: str) -> str:
    return "en-gb" if voice.startswith("b") else "en-us"


def _styles(voices: Path, name: str) -> Levels:
    return np.fromfile(voices / f"{name}.bin", dtype=np.float32).reshape(-1, 256)


def speaker(network: Path, voices: Path) -> Callable[[str, str, float], Levels]:
    """One who says a text in a voice at a speed, at our rate, the silence around it cut to a little."""
    from kokoro_onnx.tokenizer import Tokenizer

    tokenizer = Tokenizer()
    _open(str(network))

    def say(voice: str, aloud: str, speed: float) -> Levels:
        tokens = tokenizer.tokenize(tokenizer.phonemize(aloud, _language(voice)))
        styles = _styles(voices, voice)
        return cut(resampled(_said(speed, tokens, styles[min(len(tokens), len(styles)) - 1]), SPOKEN_RATE), RATE // 4)

    return say


def _open(network: str, device: str = "") -> None:
    """Get the synthesizer of this process ready, by onnxruntime or, where a device is named, by PyTorch."""
    global _SAY  # noqa: PLW0603 one a process, opened when the process starts
    if device:
        import torch

        from tests.tools.scorer_training.onnx_on_torch import Runner

        torch.set_num_threads(1)
        torch.backends.cuda.matmul.allow_tf32 = torch.backends.cudnn.allow_tf32 = True
        _SAY = Runner(Path(network), device).run
        return
    import onnxruntime

    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = options.inter_op_num_threads = 1
    session = onnxruntime.InferenceSession(network, options, providers=["CPUExecutionProvider"])
    _SAY = lambda given: session.run(None, given)[0]  # noqa: E731


def _said(speed: float, tokens: Sequence[int], style: np.ndarray) -> Levels:
    """At the synthesizer's rate."""
    inputs = {
        "tokens": np.array([[0, *tokens, 0]], dtype=np.int64),
        "style": style.astype(np.float32)[None],
        "speed": np.array([speed], dtype=np.float32),
    }
    return np.asarray(_SAY(inputs), dtype=np.float32).ravel()


def _say(given: tuple[int, float, list[int], np.ndarray]) -> tuple[int, Levels]:
    number, speed, tokens, style = given
    return number, cut(resampled(_said(speed, tokens, style), SPOKEN_RATE))


def speak(prepared: Path, network: Path, out: Path, processes: int, seconds: float, device: str = "") -> str:
    """Say what was prepared, as much as the time allows, and keep it in a file.

    Returns:
        the hash of what is in the file.
    """
    with np.load(prepared) as opened:
        (names, rows), styles = json.loads(opened["rows"].tobytes()), opened["styles"].astype(np.float32)
    tasks = []
    for number, (shares, _, _, speed, tokens) in enumerate(rows):
        at = min(len(tokens), styles.shape[1]) - 1
        style = sum(share * styles[names.index(name), at] for name, share in shares.items())
        tasks.append((number, speed, tokens, style))
    began = time.monotonic()
    said: list[tuple[int, Clip]] = []
    with multiprocessing.get_context("spawn").Pool(processes, _open, (str(network), device)) as pool:
        for number, levels in pool.imap_unordered(_say, tasks, chunksize=4):
            shares, kind, words, _, _ = rows[number]
            peak = max(1.0, float(np.max(np.abs(levels), initial=0.0)) / 0.98)
            said.append((number, Clip(NEURAL, "+".join(shares), kind, words, levels / np.float32(peak))))
            if len(said) % 1000 == 0:
                print(f"  {len(said)} said, {time.monotonic() - began:.0f} s", flush=True)
            if time.monotonic() - began > seconds:
                pool.terminate()
                break
    clips = [clip for _, clip in sorted(said, key=lambda one: one[0]) if len(clip.levels) > RATE // 8]
    digest = keep(clips, out)
    print(f"neural voices: {len(clips)} of {len(rows)} lines, {digest}", flush=True)
    return digest
