"""Pieces of speech with their words, and the one file in which they travel to the machine that trains."""

from __future__ import annotations

import hashlib
import io
import json
import tarfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt

Levels = npt.NDArray[np.float32]
RATE = 16_000
PEOPLE = "people"
"""Source of real people's clips."""
NOISE = "noise"
"""Source of clips of noise."""


@dataclass(frozen=True, slots=True)
class Said:
    """Something that is said."""

    kind: str
    words: str
    """As the recognizer writes it; '' for what is no answer."""
    aloud: str
    """As an engine is told to say it."""


@dataclass(frozen=True, slots=True)
class Clip:
    """One recording."""

    source: str
    """Engine, corpus, ``people`` or ``noise``."""
    voice: str
    """Voice or speaker; ``A+B`` for one between the two."""
    kind: str
    words: str
    """As the recognizer writes them; '' for speech that is no answer, and for noise."""
    levels: Levels
    """At ``RATE``, full scale 1.0."""


def voices_of(clip: Clip) -> set[str]:
    """Every voice that has a part in it."""
    return set(clip.voice.split("+"))


def cut(levels: Levels, margin: int = 800) -> Levels:
    """Without the silence before and behind, but for ``margin`` samples."""
    if not len(levels):
        return levels
    loud = np.flatnonzero(np.abs(levels) > 0.02 * float(np.max(np.abs(levels))))
    return levels[max(0, loud[0] - margin) : loud[-1] + margin] if len(loud) else levels[:0]


def resampled(levels: Levels, rate: float) -> Levels:
    """At our rate, by leaving out the highest frequencies of the whole, or adding none."""
    if rate == RATE:
        return levels
    length = round(len(levels) * RATE / rate)
    spectrum = np.fft.rfft(levels)[: length // 2 + 1]
    return np.asarray(np.fft.irfft(spectrum, length) * (RATE / rate), dtype=np.float32)


def pack(clips: Sequence[Clip], path: Path, compression: float = 0.8) -> str:
    """Write clips into one file, and give the hash of what is in it.

    Args:
        clips: what to write.
        path: the file.
        compression: of Opus, by libsndfile's scale: 0.8 is about 60 kbit/s, 0.9 about 34.
    """
    import soundfile

    total = hashlib.sha256()
    with tarfile.open(path, "w") as archive:
        listed = []
        for number, clip in enumerate(clips):
            held = io.BytesIO()
            scale = max(1.0, float(np.max(np.abs(clip.levels))) / 0.98)
            soundfile.write(
                held, clip.levels / scale, RATE, format="OGG", subtype="OPUS", compression_level=compression
            )
            _add(archive, f"{number:05d}.opus", held.getvalue())
            row = [clip.source, clip.voice, clip.kind, clip.words]
            listed.append(row)
            total.update(json.dumps(row).encode())
            total.update(np.rint(clip.levels / scale * 32767).astype(np.int16).tobytes())
        _add(archive, "clips.json", json.dumps(listed).encode())
    return total.hexdigest()


def keep(clips: Sequence[Clip], path: Path) -> str:
    """Write many clips on the machine that trains on them, as they are, and give the hash of what is in the file."""
    lengths = np.array([len(clip.levels) for clip in clips])
    levels = np.concatenate([np.rint(np.clip(clip.levels, -1, 1) * 32767).astype(np.int16) for clip in clips])
    listed = json.dumps([[clip.source, clip.voice, clip.kind, clip.words] for clip in clips]).encode()
    np.savez(path, levels=levels, lengths=lengths, listed=np.frombuffer(listed, dtype=np.uint8))
    return hashlib.sha256(listed + levels.tobytes()).hexdigest()


def _kept(path: Path) -> list[Clip]:
    with np.load(path) as opened:
        levels, lengths, listed = opened["levels"], opened["lengths"], json.loads(opened["listed"].tobytes())
    ends = np.cumsum(lengths)
    scale = np.float32(1 / 32767)
    return [
        Clip(source, voice, kind, words, levels[end - length : end] * scale)
        for (source, voice, kind, words), length, end in zip(listed, lengths, ends, strict=True)
    ]


def unpack(path: Path) -> list[Clip]:
    """Read what ``pack`` or ``keep`` wrote."""
    import soundfile

    if path.suffix == ".npz":
        return _kept(path)

    clips = []
    with tarfile.open(path) as archive:
        listed = json.loads(_get(archive, "clips.json"))
        for number, (source, voice, kind, words) in enumerate(listed):
            levels, _ = soundfile.read(io.BytesIO(_get(archive, f"{number:05d}.opus")), dtype="float32")
            clips.append(Clip(source, voice, kind, words, levels))
    return clips


def _add(archive: tarfile.TarFile, name: str, content: bytes) -> None:
    entry = tarfile.TarInfo(name)
    entry.size = len(content)
    archive.addfile(entry, io.BytesIO(content))


def _get(archive: tarfile.TarFile, name: str) -> bytes:
    opened = archive.extractfile(name)
    assert opened is not None, name
    return opened.read()
