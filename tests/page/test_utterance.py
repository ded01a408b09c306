"""Where a spoken answer ends: by level over the noise, whatever the sizes of the pieces it comes in."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.page.utterance import END_SILENCE, FRAME, LEAD_IN, LONGEST, RATE, Utterance

RANDOM = np.random.default_rng(7)


def noise(seconds: float, db: float = -60.0) -> bytes:
    level = 10 ** (db / 20) * 32768
    return np.clip(RANDOM.normal(0, level, int(seconds * RATE)), -32768, 32767).astype("<i2").tobytes()


def voice(seconds: float, db: float = -20.0) -> bytes:
    time = np.arange(int(seconds * RATE)) / RATE
    wave = np.sin(2 * np.pi * 180 * time) + 0.5 * np.sin(2 * np.pi * 900 * time)
    return (wave * 10 ** (db / 20) * 20000).astype("<i2").tobytes()


def test_it_ends_after_the_silence_and_keeps_the_lead_in() -> None:
    """What was said is kept whole, with a little from before it."""
    one = Utterance()
    assert not one.feed(noise(1.0) + voice(0.6))
    assert one.began
    assert one.feed(noise(END_SILENCE + 0.1))
    assert 0.6 + LEAD_IN - 0.15 <= one.seconds - END_SILENCE <= 0.6 + LEAD_IN


@pytest.mark.parametrize("piece", [2, 333, 640, 4001, 1_000_000])
def test_the_pieces_do_not_matter(piece: int) -> None:
    """Odd sizes, halves of a sample among them, give the same sound."""
    sound = noise(0.5) + voice(0.5) + noise(1.2)
    whole = Utterance()
    whole.feed(sound)
    parts = Utterance()
    for start in range(0, len(sound), piece):
        parts.feed(sound[start : start + piece])
    assert parts.samples == whole.samples
    assert parts.ended


def test_a_pause_between_figures_does_not_end_it() -> None:
    """'Eleven ... eighty' is one answer."""
    one = Utterance()
    assert not one.feed(noise(0.4) + voice(0.4) + noise(END_SILENCE - 0.15) + voice(0.4))
    assert one.feed(noise(END_SILENCE + 0.05))


def test_a_snap_is_no_answer() -> None:
    """A click shorter than a tenth of a second begins nothing."""
    one = Utterance()
    one.feed(noise(0.5) + voice(0.06, -6) + noise(2.0))
    assert not one.began
    assert one.samples == b""


def test_steady_noise_begins_nothing_and_a_voice_over_it_does() -> None:
    """The level is judged over the noise that is there."""
    one = Utterance()
    one.feed(noise(6.0, -28))
    assert not one.began
    assert not one.feed(voice(0.5, -6))
    assert one.began
    assert one.feed(noise(END_SILENCE + 0.1, -28))


def test_noise_that_begins_during_an_answer_does_not_hold_it_open() -> None:
    """An engine starts: within the window it is taken for what it is."""
    one = Utterance()
    assert not one.feed(noise(0.5) + voice(0.5))
    assert one.feed(noise(4.0, -28))
    assert one.seconds < 5


def test_a_voice_that_begins_at_once_is_heard() -> None:
    """Somebody speaks before the microphone has heard the room."""
    one = Utterance()
    one.feed(voice(0.6, -6) + noise(END_SILENCE + 0.2))
    assert one.began
    assert one.ended


def test_a_held_button_ends_only_by_its_release_or_its_length() -> None:
    """Silence inside it stays."""
    one = Utterance(until_released=True)
    assert not one.feed(noise(3.0))
    assert not one.began
    one.feed(voice(0.3))
    one.release()
    assert one.ended
    assert one.began
    assert one.seconds == pytest.approx(3.3, abs=0.03)
    endless = Utterance(until_released=True)
    assert endless.feed(voice(LONGEST + 1))
    assert len(endless.samples) <= (LONGEST * RATE + FRAME) * 2
