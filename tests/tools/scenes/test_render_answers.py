"""The renderer of demo answers: levels, edges and noise are what they are said to be."""

from __future__ import annotations

import shutil

import numpy as np
import pytest

from assistant.audio.sound import RATE, make_sound
from tests.conftest import missing
from tests.tools.scenes.render_answers import EDGE, speak, spoken_level, trimmed, with_noise


def burst() -> np.ndarray:
    levels = np.zeros(RATE * 3, dtype=np.float32)
    levels[RATE : RATE * 2] = 0.2 * np.sin(np.arange(RATE))
    return levels


def test_a_quarter_of_a_second_is_kept_at_each_end() -> None:
    assert len(trimmed(burst())) / RATE == pytest.approx(1.0 + 2 * EDGE, abs=0.03)


@pytest.mark.parametrize("ratio", [5.0, 10.0, 20.0])
def test_noise_stands_at_its_ratio_and_is_the_same_each_time(ratio: float) -> None:
    voice = burst()
    mixed = with_noise(voice, ratio, 7)
    noise = (mixed - voice)[: RATE // 2]
    assert 20 * np.log10(spoken_level(voice) / np.sqrt(np.mean(noise**2))) == pytest.approx(ratio, abs=1.0)
    assert np.array_equal(mixed, with_noise(voice, ratio, 7))
    assert not np.array_equal(mixed, with_noise(voice, ratio, 8))
    assert np.max(np.abs(mixed)) < 1.0


@pytest.mark.parametrize("voice", ["rms", "slt", "awb"])
def test_a_voice_is_spoken(voice: str) -> None:
    if shutil.which("flite") is None:
        missing("flite renders the demo's voices: apt-get install flite")
    levels = speak("eleven eighty ohms", voice)
    assert 1.0 < len(levels) / RATE < 4.0
    assert make_sound(levels, RATE).warnings == ()
