"""Word errors of free dictation: the network with the published weights beside the recognizer's open vocabulary.

Notes are invented and spoken by flite, which shares nothing with either. ``LEADSMAN_BENCH_SHARE=0.5`` takes every
second note.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from pathlib import Path

import pytest
from rapidfuzz.distance import Levenshtein

from assistant.asr.dictation import best_writer
from assistant.audio.sound import make_sound, read_sound
from tests.bench.hearing.baselines import Plainly
from tests.bench.hearing.mixing import mix, noise_like
from tests.conftest import missing

pytestmark = [pytest.mark.bench, pytest.mark.model, pytest.mark.corpus]

NOTES = (
    "the plug at the left rear is full of green powder", "somebody spliced the blue wire with household tape",
    "the customer says the lamp comes on after rain", "the clip behind the axle is broken and the cable hangs down",
    "the bearing has play and the hub is warm", "the ground strap is loose at the frame",
    "driver says it started after the last brake job", "the cord is rubbed through near the fifth wheel",
    "oil on the hub and the seal is leaking", "the sensor was pushed back and nobody pushed it in again",
    "the harness is pinched between the frame and the air tank", "needs a new socket, the pins are burned",
)  # fmt: skip
VOICES = ("slt", "rms")


def words_of(text: str) -> list[str]:
    """Without capitals, marks and what is named as unclear."""
    return re.findall(r"[a-z']+", re.sub(r"\(not clear[^)]*\)", "", text.lower()))


def test_bench_dictation(speech_corpus: Path, speech_model: Path, tmp_path: Path) -> None:
    if shutil.which("flite") is None:
        missing("speaks with flite: apt-get install flite")
    writer = best_writer()
    if writer is None:
        missing("the published weights are not here; run: leadsman setup")
    assert writer is not None
    plainly = Plainly(speech_model)
    share = float(os.environ.get("LEADSMAN_BENCH_SHARE", "1"))
    notes = NOTES[:: max(1, round(1 / share))]
    print(f"\nword errors of {len(notes)} notes in {len(VOICES)} voices of flite")
    for condition in ("quiet", "chainsaw", "rain"):
        wrong = {"open vocabulary": 0, "network": 0}
        count = 0
        for voice in VOICES:
            for number, note in enumerate(notes):
                path = tmp_path / "said.wav"
                subprocess.run(["flite", "-voice", voice, "-t", note, "-o", str(path)], check=True)
                sound = read_sound(path)
                if condition != "quiet":
                    levels = sound.samples.astype("float32") / 32768
                    noise = noise_like(speech_corpus, condition, len(levels), f"{voice}{number}")
                    sound = make_sound(mix(levels, noise, 10.0), 16_000, "said")
                said = words_of(note)
                count += len(said)
                wrong["open vocabulary"] += Levenshtein.distance(said, plainly.words(sound.samples.tobytes()).split())
                wrong["network"] += Levenshtein.distance(said, words_of(writer.write(sound.samples)))
        level = condition if condition == "quiet" else f"{condition}, 10 dB"
        told = ", ".join(f"{name} {100 * one / count:.1f} %" for name, one in wrong.items())
        print(f"  {level:<16} {told} of {count} words", flush=True)
