"""Real people at an ohms prompt or at a question, and noise with nobody speaking: what may be taken for an answer."""

from __future__ import annotations

import zlib
from collections.abc import Iterable
from decimal import Decimal
from pathlib import Path

import numpy as np

from assistant.audio.sound import RATE, Sound, make_sound
from assistant.messages import Expectation, Expects
from tests.bench.hearing.cases import Case, load_human
from tests.bench.hearing.mixing import NOISES, levels_of

OHMS = Expectation(Expects.READING, unit="ohm", low=Decimal(900), high=Decimal(1400))
ANSWERS = {"yes": "yes", "no": "no", "stop": "stop"}
"""Words of ``human/commands`` that are answers at every prompt."""
STRANGE = "not in any vocabulary"
"""Kind of the words that belong to no vocabulary; 'left' or 'on', which are answers elsewhere, do not count."""
PIECE = 5.0
"""Seconds of noise that are listened to at a time."""
MINUTES = 10.0
"""Minutes of each noise."""


def decides(speaker: str) -> bool:
    """Whether a person of the recordings trains nothing: one in three, by a hash of the name, and nobody unnamed."""
    return zlib.crc32(speaker.encode()) % 3 == 0


def deciding_speakers(speakers: Iterable[str]) -> set[str]:
    """Of the few who spoke digits for a telephone, the two who train nothing."""
    return set(sorted(speakers, key=lambda speaker: zlib.crc32(speaker.encode()))[:2])


def answers(corpus: Path) -> list[Case]:
    """Yes, no and stop, by real people, at a question and at an ohms prompt."""
    rows = [row for row in load_human(corpus) if row["said"] in ANSWERS and row["kind"] == "command"]
    made = []
    for name, expectation in (("question", Expectation(Expects.COMMAND)), ("ohms", OHMS)):
        for row in rows:
            path = (corpus / row["file"],)
            truth = ANSWERS[row["said"]]
            case = Case(f"{name}:{row['file']}", path, row["speaker"], row["said"], "command", truth, expectation)
            made.append(case)
    return made


def strangers(corpus: Path) -> list[Case]:
    """Words that belong to no vocabulary at an ohms prompt."""
    rows = [row for row in load_human(corpus) if row["file"].startswith("human/commands") and row["kind"] == STRANGE]
    return [Case(row["file"], (corpus / row["file"],), row["speaker"], row["said"], "none", "", OHMS) for row in rows]


def talk(corpus: Path) -> list[Case]:
    """Sentences that real people speak to something else."""
    paths = [row["file"] for row in load_human(corpus) if row["file"].startswith("human/talk")]
    return [Case(path, (corpus / path,), "", "", "none", "", OHMS) for path in paths]


def noise_pieces(corpus: Path, noise: str, minutes: float = MINUTES) -> list[tuple[Case, Sound]]:
    """Noise alone, in pieces, each at a level of its own between faint and loud; the same in every run."""
    rng = np.random.default_rng(sum(noise.encode()))
    clips = [levels_of(path)[0] for path in sorted((corpus / "noise").glob(NOISES[noise]))]
    length = int(PIECE * RATE)
    pieces = []
    for number in range(int(minutes * 60 / PIECE)):
        clip = clips[number % len(clips)]
        part = np.resize(np.roll(clip, -int(rng.integers(len(clip)))), length)
        loud = 10 ** rng.uniform(-2.0, -0.1)
        part = np.asarray(part / max(1e-6, float(np.max(np.abs(part)))) * loud, dtype=np.float32)
        name = f"{noise}:{number}"
        pieces.append((Case(name, (), "", "", "none", "", OHMS), make_sound(part, RATE, name)))
    return pieces
