"""Silence around an answer: always the same where it is quiet, and nothing of the answer is cut away."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pytest

from assistant.audio.framing import AFTER, BEFORE, LEAD_IN, TAIL, framed
from assistant.audio.sound import RATE


def tone(seconds: float, level: int = 8000) -> npt.NDArray[np.int16]:
    times = np.arange(int(seconds * RATE)) / RATE
    return np.asarray(level * np.sin(2 * np.pi * 300 * times), dtype=np.int16)


def silence(seconds: float) -> npt.NDArray[np.int16]:
    return np.zeros(int(seconds * RATE), dtype=np.int16)


@pytest.mark.parametrize("before", [0.0, 0.05, 1.0])
@pytest.mark.parametrize("after", [0.0, 0.1, 2.0])
def test_there_is_always_the_same_silence_around_a_quiet_answer(before: float, after: float) -> None:
    found = framed(np.concatenate([silence(before), tone(0.5), silence(after)]), noisy=False)
    assert len(found) / RATE == pytest.approx(BEFORE + 0.5 + AFTER, abs=0.03)


def test_a_pause_inside_stays() -> None:
    found = framed(np.concatenate([tone(0.3), silence(1.5), tone(0.3)]), noisy=False)
    assert len(found) / RATE == pytest.approx(BEFORE + 2.1 + AFTER, abs=0.03)


def test_a_soft_first_sound_stays() -> None:
    soft = np.concatenate([silence(0.5), tone(0.2, level=200), tone(0.4)])
    assert len(framed(soft, noisy=False)) / RATE == pytest.approx(BEFORE + 0.6 + AFTER, abs=0.03)


def test_in_noise_nothing_is_cut() -> None:
    sound = np.concatenate([silence(1.0), tone(0.5), silence(1.0)])
    found = framed(sound, noisy=True)
    assert len(found) == len(sound) + round((LEAD_IN + TAIL) * RATE)


@pytest.mark.parametrize("sound", [silence(0.0), silence(0.01), silence(1.0)])
def test_silence_alone_is_no_error(sound: npt.NDArray[np.int16]) -> None:
    assert not framed(sound, noisy=False).any()
