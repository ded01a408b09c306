"""The loudspeaker over a driver that is led by hand: all is played in order, and a device that hangs is let go."""

from __future__ import annotations

import sys

import numpy as np
import pytest

from assistant.audio import player
from assistant.audio.player import STALLED, Player, SilentLoudspeakerError
from tests.audio.driver import Driver, Hand

FIRST, SECOND = np.arange(1, 301, dtype=np.int16), np.arange(1001, 1201, dtype=np.int16)


@pytest.fixture
def driver(monkeypatch: pytest.MonkeyPatch) -> Driver:
    made = Driver()
    monkeypatch.setitem(sys.modules, "sounddevice", made)
    return made


@pytest.fixture
def hand(monkeypatch: pytest.MonkeyPatch) -> Hand:
    made = Hand()
    monkeypatch.setattr(player, "time", made)
    return made


def test_what_is_played_comes_out_once_in_order_and_silence_behind_it(driver: Driver, hand: Hand) -> None:
    speaker = Player(8000)
    speaker.play(FIRST, 8000)
    speaker.play(SECOND, 8000)
    given = np.concatenate([driver.streams[0].asks(128) for _ in range(5)])
    assert np.array_equal(given[:500], np.concatenate([FIRST, SECOND]))
    assert not given[500:].any()
    assert len(driver.streams) == 1
    speaker.close()
    speaker.close()


def test_it_is_busy_until_the_last_of_it_was_heard(driver: Driver, hand: Hand) -> None:
    """The device still holds what it took: 500 samples at 8 kHz and its own delay."""
    speaker = Player(8000)
    assert not speaker.busy()
    speaker.play(FIRST, 8000)
    assert speaker.busy()
    driver.streams[0].asks(300)
    hand.at += 300 / 8000 + driver.streams[0].latency - 0.001
    assert speaker.busy()
    hand.at += 0.002
    assert not speaker.busy()
    speaker.close()


def test_it_falls_silent_at_once(driver: Driver, hand: Hand) -> None:
    speaker = Player(8000)
    speaker.play(FIRST, 8000)
    driver.streams[0].asks(100)
    speaker.stop()
    assert not driver.streams[0].asks(400).any()
    speaker.play(SECOND, 8000)
    assert np.array_equal(driver.streams[0].asks(200), SECOND)
    speaker.close()


def test_a_device_with_a_rate_of_its_own_plays_as_long(driver: Driver, hand: Hand) -> None:
    driver.refuses = lambda rate, _: "not at this rate" if rate else ""
    speaker = Player(8000)
    speaker.play(np.full(8000, 500, dtype=np.int16), 8000)
    assert speaker.rate == 48000
    given = driver.streams[0].asks(50000)
    assert np.count_nonzero(given) == pytest.approx(48000, abs=100)
    speaker.close()


def test_a_device_that_stops_asking_is_let_go_and_opened_again(driver: Driver, hand: Hand) -> None:
    speaker = Player(8000)
    speaker.play(FIRST, 8000)
    hand.at += STALLED + 0.1
    with pytest.raises(SilentLoudspeakerError, match="does not take any more sound"):
        speaker.busy()
    assert driver.streams[0].closed
    speaker.play(SECOND, 8000)
    assert np.array_equal(driver.streams[1].asks(200), SECOND)
    hand.at += STALLED + 0.1  # it hangs while nothing is played: found out with the next sentence
    speaker.play(FIRST, 8000)
    assert len(driver.streams) == 3
    speaker.close()


def test_a_loudspeaker_that_cannot_be_had_says_why(driver: Driver, hand: Hand) -> None:
    driver.refuses = lambda _rate, _channels: "no such device"
    with pytest.raises(SilentLoudspeakerError, match="no such device"):
        Player().play(FIRST, 8000)


def test_without_the_library_it_is_silent(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "sounddevice", None)
    with pytest.raises(SilentLoudspeakerError):
        Player().open()
