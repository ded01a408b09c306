"""Any file becomes sound that the recognizer takes, or a clear sentence."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile

from assistant.audio.sound import LONGEST, RATE, estimate_snr, make_sound, read_sound
from assistant.errors import OperatorError


def tone(rate: int = RATE, seconds: float = 1.0, level: float = 0.3, pitch: float = 440.0) -> np.ndarray:
    return (level * np.sin(2 * np.pi * pitch * np.arange(int(rate * seconds)) / rate)).astype(np.float32)


def written(path: Path, levels: np.ndarray, rate: int = RATE, subtype: str | None = None) -> Path:
    soundfile.write(path, levels, rate, subtype=subtype)
    return path


@pytest.mark.parametrize("rate", [8000, 11025, 16000, 22050, 44100, 48000, 96000])
@pytest.mark.parametrize("channels", [1, 2, 6])
@pytest.mark.parametrize("ending", ["wav", "flac"])
def test_any_rate_and_channel_count(tmp_path: Path, rate: int, channels: int, ending: str) -> None:
    """Cases A085, A086: what the recognizer takes is always mono at its own rate."""
    levels = np.repeat(tone(rate)[:, None], channels, axis=1)
    sound = read_sound(written(tmp_path / f"a.{ending}", levels, rate))
    assert sound.samples.dtype == np.int16
    assert sound.samples.ndim == 1
    assert sound.rate == rate
    assert sound.duration == pytest.approx(1.0, abs=0.01)
    spectrum = np.abs(np.fft.rfft(sound.samples))
    assert np.argmax(spectrum) * RATE / len(sound.samples) == pytest.approx(440, abs=2)


@pytest.mark.parametrize("subtype", ["PCM_U8", "PCM_16", "PCM_24", "PCM_32", "FLOAT", "DOUBLE", "ULAW", "ALAW"])
def test_any_sample_format(tmp_path: Path, subtype: str) -> None:
    sound = read_sound(written(tmp_path / "a.wav", tone(), subtype=subtype))
    assert np.max(np.abs(sound.samples)) == pytest.approx(0.3 * 32767, rel=0.07)


def test_channels_that_cancel_each_other_are_not_lost() -> None:
    sound = make_sound(np.stack([tone(), -tone()], axis=1), RATE)
    assert np.max(np.abs(sound.samples)) > 9000


def test_one_channel_of_two_may_be_silent() -> None:
    sound = make_sound(np.stack([tone(), np.zeros(RATE, dtype=np.float32)], axis=1), RATE)
    assert np.max(np.abs(sound.samples)) > 4000


BAD: list[tuple[str, np.ndarray, int, str]] = [
    ("empty", np.zeros(0, dtype=np.float32), RATE, "holds no sound"),
    ("short", tone(seconds=0.02), RATE, "too short to hold a word"),
    ("silent", np.zeros(RATE, dtype=np.float32), RATE, "is silent"),
    ("constant", np.full(RATE, 0.2, dtype=np.float32), RATE, "is silent"),
    ("long", tone(seconds=LONGEST + 1), RATE, "is longer than 120 seconds"),
    ("not numbers", np.full(RATE, np.nan, dtype=np.float32), RATE, "values that are not numbers"),
    ("slow", tone(), 100, "rate of 100 samples a second"),
]


@pytest.mark.parametrize(("levels", "rate", "sentence"), [row[1:] for row in BAD], ids=[row[0] for row in BAD])
def test_sound_that_cannot_be_used_is_said_plainly(levels: np.ndarray, rate: int, sentence: str) -> None:
    with pytest.raises(OperatorError, match=sentence) as raised:
        make_sound(levels, rate)
    assert raised.value.remedy


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (None, "There is no recording"),
        (b"", "is empty"),
        (b"no sound at all", "cannot be read as sound"),
        (b"RIFF\x24\0\0\0WAVEfmt ", "cannot be read as sound"),
        (b"fLaC\0\0\0\x22", "cannot be read as sound"),
    ],
)
def test_a_broken_file_is_named(tmp_path: Path, content: bytes | None, sentence: str) -> None:
    path = tmp_path / "broken.wav"
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(OperatorError, match=sentence) as raised:
        read_sound(path)
    assert "broken.wav" in raised.value.problem


def test_a_folder_is_no_recording(tmp_path: Path) -> None:
    with pytest.raises(OperatorError, match="is not a file"):
        read_sound(tmp_path)


def test_a_recording_that_is_far_too_long_is_not_read_into_memory(tmp_path: Path) -> None:
    written(tmp_path / "long.flac", np.zeros(RATE * 300, dtype=np.float32))
    with pytest.raises(OperatorError, match="is 300 seconds long; one answer is at most 120"):
        read_sound(tmp_path / "long.flac")


def test_a_cut_off_file_keeps_what_is_there(tmp_path: Path) -> None:
    path = written(tmp_path / "cut.wav", tone(seconds=2.0))
    path.write_bytes(path.read_bytes()[: RATE * 2])
    assert read_sound(path).duration == pytest.approx(1.0, abs=0.01)


def test_clipping_is_a_warning() -> None:
    clipped = np.clip(tone(level=3.0), -1.0, 1.0).astype(np.float32)
    sound = make_sound(clipped, RATE)
    assert sound.clipped > 0.5
    assert "clipped" in sound.warnings[0]
    assert make_sound(tone(level=0.9), RATE).warnings == ()


def test_levels_that_wrap_count_as_clipped() -> None:
    """Case A090: a converter that wraps leaves no flat top."""
    loud = tone(level=1.5)
    wrapped = ((loud + 1.0) % 2.0 - 1.0).astype(np.float32)
    assert make_sound(wrapped, RATE).clipped > 0.001


def test_a_very_low_level_is_a_warning() -> None:
    sound = make_sound(tone(level=0.001), RATE)
    assert "faint" in sound.warnings[0]


@pytest.mark.parametrize("ratio", [0.0, 5.0, 10.0, 20.0, 30.0])
def test_the_signal_to_noise_ratio_is_estimated_within_three_decibels(ratio: float) -> None:
    rng = np.random.default_rng(7)
    noise = rng.normal(0, 300, RATE * 2)
    burst = np.zeros(RATE * 2)
    burst[8000:24000] = rng.normal(0, 300 * 10 ** (ratio / 20), 16000)
    assert estimate_snr((noise + burst).astype(np.int16)) == pytest.approx(ratio, abs=3.0)


def test_too_little_sound_tells_no_ratio() -> None:
    assert estimate_snr(np.zeros(1000, dtype=np.int16)) is None
