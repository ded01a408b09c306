"""Steady noise is turned down, by no more than stated, and a clean voice is left alone."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.audio.denoise import clean
from assistant.audio.sound import RATE, Samples


def level(samples: np.ndarray) -> float:
    return float(20 * np.log10(np.sqrt(np.mean(samples.astype(np.float64) ** 2)) + 1e-9))


def voice_in_noise(noise: float) -> Samples:
    """A tone that comes and goes, as syllables do, over steady hiss."""
    rng = np.random.default_rng(5)
    seconds = np.arange(RATE * 3) / RATE
    tone = 8000 * np.sin(2 * np.pi * 500 * seconds) * (np.sin(2 * np.pi * 1.5 * seconds) > 0)
    tone[: RATE // 2] = 0
    return np.clip(tone + rng.normal(0, max(noise, 1e-9), len(tone)), -32768, 32767).astype(np.int16)


@pytest.mark.parametrize("most_db", [3.0, 6.0, 12.0])
def test_noise_alone_is_turned_down_by_what_is_stated_at_most(most_db: float) -> None:
    sound = voice_in_noise(800)
    quiet = slice(1000, RATE // 2 - 1000)
    lowered = level(sound[quiet]) - level(clean(sound, most_db)[quiet])
    assert 0.6 * most_db < lowered < most_db + 0.5


def test_the_voice_keeps_its_level_and_its_place() -> None:
    sound = voice_in_noise(800)
    cleaned = clean(sound, 6.0)
    loud = slice(int(0.8 * RATE), int(0.9 * RATE))
    assert len(cleaned) == len(sound)
    assert level(cleaned[loud]) == pytest.approx(level(sound[loud]), abs=0.7)
    shift = np.argmax(np.correlate(cleaned[loud].astype(float), sound[loud].astype(float), "full")) - (
        loud.stop - loud.start - 1
    )
    assert shift == 0


@pytest.mark.parametrize("count", [1, 100, 800, 5000])
def test_any_length_is_accepted(count: int) -> None:
    assert len(clean(np.full(count, 1000, dtype=np.int16), 6.0)) == count


def test_silence_stays_silence() -> None:
    assert not clean(np.zeros(RATE, dtype=np.int16), 6.0).any()
