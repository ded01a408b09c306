"""Free talk by voice beside the same words typed: right, asked, wrong and wrong silently, by kind. Printed only.

Every row of ``tests/data/spoken_bay.tsv`` is spoken once by a voice of flite or espeak-ng (Debian's packages), heard
in quiet and over a noise of the shop at 10 dB by the product's recognizer with its weights, and understood at its
prompt. ``LEADSMAN_BENCH_SHARE=0.2`` takes a fifth of them;
``LEADSMAN_BENCH_ERRORS=FILE`` writes what counted wrongly.
"""

from __future__ import annotations

import os
import random
import shutil
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from assistant import catalog
from assistant.asr.recognizer import Recognizer
from assistant.audio.sound import RATE, Sound, make_sound
from assistant.messages import Hypothesis
from assistant.setup.model import model_folder
from assistant.understanding.interpret import interpret
from tests.bench.hearing.mixing import NOISES, mix, noise_like
from tests.tools.scorer_training.engines import espeak, flite, read_clip
from tests.understanding.spoken_tables import Row, expectation, fares, rows, told

pytestmark = [pytest.mark.bench, pytest.mark.model, pytest.mark.corpus]

RATIO_DB = 10.0
EDGE = 0.25
"""Seconds of quiet around a voice."""
HOW = ("right", "asked", "wrong asked", "wrong silent")


def chosen() -> list[Row]:
    """The rows that are said."""
    share = float(os.environ.get("LEADSMAN_BENCH_SHARE", "1"))
    return list(rows("bay"))[:: max(1, round(1 / share))]


def spoken(said: list[Row], folder: Path) -> Iterator[tuple[Row, np.ndarray]]:
    """Each row in a voice of its own; the same in every run."""
    rng = random.Random(41)
    for number, row in enumerate(said):
        say = flite if number % 3 else espeak
        _, path = say(row.said.replace(" OL", " O L"), folder / "one.wav", rng)
        still = np.zeros(int(EDGE * RATE), dtype=np.float32)
        yield row, np.concatenate([still, read_clip(path), still])


def sounds(levels: np.ndarray, row: Row, corpus: Path) -> dict[str, Sound]:
    """A voice in quiet and over a noise, which follows from the row."""
    noise = sorted(NOISES)[len(row.said) % len(NOISES)]
    under = noise_like(corpus, noise, len(levels), row.said, decides=True)
    return {
        "quiet": make_sound(levels, RATE, row.said),
        "10 dB": make_sound(mix(levels, under, RATIO_DB), RATE, row.said),
    }


def test_free_talk_by_voice(speech_corpus: Path, tmp_path: Path) -> None:
    for program in ("flite", "espeak-ng"):
        assert shutil.which(program), f"{program} is not installed"
    vocabulary = catalog.load_vocabulary()
    counts: dict[str, dict[str, Counter[str]]] = {}
    wrong: list[str] = []
    with Recognizer(model_folder(), vocabulary) as recognizer:
        for row, levels in spoken(chosen(), tmp_path):
            wanted = expectation(row.prompt)
            found = {"typed": interpret((Hypothesis(row.said),), wanted, vocabulary)}
            for condition, sound in sounds(levels, row, speech_corpus).items():
                heard = recognizer.hear(sound, wanted)
                found[condition] = interpret(heard.hypotheses, wanted, vocabulary, snr_db=heard.snr_db)
            for condition, meant in found.items():
                how = fares(row, meant)
                counts.setdefault(condition, {}).setdefault(row.kind, Counter())[how] += 1
                if how == "wrong silent":
                    wrong.append(f"{condition}: {row.said!r} at {row.prompt}: {told(meant)} from {meant.heard!r}")
    for condition, kinds in counts.items():
        total = sum(kinds.values(), Counter())
        shown = ", ".join(f"{how} {total[how]} ({100 * total[how] / total.total():.1f} %)" for how in HOW)
        print(f"\n{condition:6} {total.total():4}: {shown}")
        print("   " + "; ".join(f"{kind} {100 * part['right'] / part.total():.0f}" for kind, part in kinds.items()))
    print("\n".join(wrong))
    if errors := os.environ.get("LEADSMAN_BENCH_ERRORS"):
        Path(errors).write_text("\n".join(wrong), encoding="utf-8")
