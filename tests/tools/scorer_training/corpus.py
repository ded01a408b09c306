"""What trains and what decides, kept apart, and everything that trains as one list of clips.

Decide, and are nowhere in here: six voices of the shared readings and the very readings they say; a third of the real
speakers; some words of no vocabulary; the last two clips of each kind of noise, the engine heard from inside, hacksaw
and torch.
"""

from __future__ import annotations

import csv
import zlib
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np
import soundfile
import soxr

from assistant import catalog
from tests.tools.scorer_training.clips import NOISE, PEOPLE, RATE, Clip, Levels, cut, voices_of
from tests.tools.scorer_training.neural import DECIDE, VOICES
from tests.tools.scorer_training.texts import as_heard

READINGS = "readings"
_DIGITS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
_PEOPLE_SAY = {*_DIGITS, "yes", "no", "stop", "go", "left", "right", "on", "off", "up", "down"}
STRANGE_ASIDE = frozenset({"happy", "forward", "wow", "follow", "visual", "learn", "sheila"})
"""Words of no vocabulary that are never trained on."""
NOISE_ASIDE = ("_06", "_07", "engine_inside", "hacksaw", "torch")
TELEPHONE = "digits_8khz"


def decides(speaker: str) -> bool:
    """True for a third of the real speakers: these train nothing."""
    return zlib.crc32(speaker.encode()) % 3 == 0


def telephone_decides(speakers: set[str]) -> set[str]:
    """The two speakers of digits at telephone rate who train nothing."""
    return set(sorted(speakers, key=lambda name: zlib.crc32(name.encode()))[:2])


def texts_aside(corpus: Path) -> frozenset[str]:
    """Readings, ranges and unit numbers that the deciding voices say. Closed lists, as commands, are in both."""
    return frozenset(
        words
        for row, words in _said(corpus)
        if row["voice"] in DECIDE and row["kind"] in ("reading", "unsteady", "identifier")
    )


def said_before(corpus: Path) -> frozenset[str]:
    """Everything that the shared readings say, in every voice."""
    return frozenset(words for _, words in _said(corpus))


def recorded(corpus: Path) -> Iterator[Clip]:
    """The training voices of the shared readings, but for texts that decide."""
    aside = texts_aside(corpus)
    for row, words in _said(corpus):
        if row["voice"] in VOICES and words not in aside:
            yield Clip(READINGS, row["voice"], row["kind"], words, _levels(corpus / "readings" / row["file"]))


def _said(corpus: Path) -> Iterator[tuple[dict[str, str], str]]:
    vocabulary = catalog.load_vocabulary()
    for row in _rows(corpus / "readings" / "manifest.tsv"):
        yield row, as_heard(" ".join(row["said"].split()), vocabulary)


def people(corpus: Path) -> Iterator[Clip]:
    """Real people who train: digits, yes and no, a few words; words of no vocabulary and talk as no answer."""
    rows = _rows(corpus / "human.tsv")
    on_the_telephone = {row["speaker"] for row in rows if TELEPHONE in row["file"]}
    aside = telephone_decides(on_the_telephone)
    for row in rows:
        speaker, said = row["speaker"], row["said"].lower()
        telephone = TELEPHONE in row["file"]
        # talk names no speaker: clips stand for speakers
        if (speaker in aside) if telephone else decides(speaker or row["file"]):
            continue
        kind = "telephone" if telephone else row["kind"]
        if said in _PEOPLE_SAY:
            words = said
        elif (row["kind"] == "not in any vocabulary" and said not in STRANGE_ASIDE) or "talk" in row["file"]:
            words, kind = "", "talk" if "talk" in row["file"] else "stray"
        else:
            continue
        levels = cut(_levels(corpus / row["file"]))
        peak = float(np.max(np.abs(levels))) if len(levels) else 0.0
        if peak > 0:
            yield Clip(PEOPLE, speaker, kind, words, levels / peak * np.float32(0.5))


def noises(corpus: Path) -> Iterator[Clip]:
    """Noise that trains."""
    for path in sorted((corpus / "noise").glob("*.flac")):
        if not any(mark in path.name for mark in NOISE_ASIDE):
            yield Clip(NOISE, path.stem, path.stem.rstrip("0123456789_"), "", _levels(path))


def check_apart(clips: Sequence[Clip], corpus: Path) -> None:
    """Refuse a list in which something of the deciding half is found."""
    aside = texts_aside(corpus)
    for clip in clips:
        if not voices_of(clip).isdisjoint(DECIDE):
            raise ValueError(f"{clip.voice} decides and must not train")
        if clip.source != PEOPLE and clip.words in aside:
            raise ValueError(f"'{clip.words}' decides and must not train")
        if clip.source == NOISE and any(mark in clip.voice for mark in NOISE_ASIDE):
            raise ValueError(f"the noise {clip.voice} decides and must not train")
        if clip.source == PEOPLE and clip.voice and clip.kind != "telephone" and decides(clip.voice):
            raise ValueError(f"the speaker {clip.voice} decides and must not train")


def _levels(path: Path) -> Levels:
    levels, rate = soundfile.read(path, dtype="float32")
    return levels if rate == RATE else np.asarray(soxr.resample(levels, rate, RATE), dtype=np.float32)


def _rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8") as opened:
        return list(csv.DictReader(opened, delimiter="\t"))
