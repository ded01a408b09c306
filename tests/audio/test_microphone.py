"""The microphone over a driver that is led by hand: whole frames, and every way in which it is lost."""

from __future__ import annotations

import sys
import time

import numpy as np
import pytest

from assistant.audio import microphone
from assistant.audio.microphone import FRAME, MOST, SILENT, STALLED, Frame, Lost, Microphone, Muted
from assistant.audio.sound import RATE
from assistant.audio.sources import SoundSource
from assistant.errors import OperatorError
from tests.audio.driver import Driver, Hand

BUILT_IN, HEADSET = SoundSource("built-in", "the built-in microphone"), SoundSource("headset", "a headset")
NOISE = np.random.default_rng(1).integers(-2000, 2000, 4 * FRAME).astype(np.int16)


@pytest.fixture
def driver(monkeypatch: pytest.MonkeyPatch) -> Driver:
    made = Driver()
    monkeypatch.setitem(sys.modules, "sounddevice", made)
    monkeypatch.setattr(microphone, "microphone_problem", lambda: None)
    monkeypatch.setattr(microphone, "joined_source", lambda: None)
    return made


@pytest.fixture
def hand(monkeypatch: pytest.MonkeyPatch) -> Hand:
    made = Hand()
    monkeypatch.setattr(microphone, "time", made)
    return made


def frames(heard: Microphone) -> list[Frame]:
    return [one for one in heard.events() if isinstance(one, Frame)]


def test_blocks_of_any_length_come_out_as_whole_frames(driver: Driver, hand: Hand) -> None:
    """Nothing is lost or said twice, what is left waits for more, and each frame has the time of its last sample."""
    woken: list[int] = []
    heard = Microphone(arrived=lambda: woken.append(1))
    for number, part in enumerate(np.split(NOISE, [100, 700, 701, 1500])):
        hand.at = 100.0 + number
        driver.streams[0].gives(part)
    found = frames(heard)
    assert len(woken) == 5
    assert np.array_equal(np.concatenate([one.samples for one in found]), NOISE)
    assert [one.at for one in found] == [101.0, 103.0, 104.0, 104.0]
    assert not any(one.lost for one in found)
    assert list(heard.events()) == []
    heard.close()
    heard.close()
    assert driver.streams[0].closed


def test_a_device_with_a_rate_and_channels_of_its_own_is_brought_to_ours(driver: Driver, hand: Hand) -> None:
    """A second at 48 kHz in stereo is a second at 16 kHz, and a tone in it stays that tone."""
    driver.refuses = lambda rate, channels: "not at this rate" if rate is not None or channels == 1 else ""
    heard = Microphone()
    times = np.arange(48000) / 48000
    tone = (8000 * np.sin(2 * np.pi * 440 * times)).astype(np.int16)
    driver.streams[0].gives(np.repeat(tone, 2))
    found = np.concatenate([one.samples for one in frames(heard)])
    assert RATE - 3 * FRAME < len(found) <= RATE
    whole = np.abs(np.fft.rfft(found * np.hanning(len(found))))
    assert int(np.argmax(whole)) * RATE / len(found) == pytest.approx(440, abs=2)
    heard.close()


def test_sound_that_was_lost_is_marked_once(driver: Driver, hand: Hand) -> None:
    """By the driver's own word, and where more waits than is kept."""
    heard = Microphone()
    driver.streams[0].gives(NOISE, overflow=True)
    assert [one.lost for one in frames(heard)] == [True, False, False, False]
    for _ in range(MOST + 5):
        driver.streams[0].gives(NOISE[:FRAME])
    assert len(frames(heard)) == MOST
    driver.streams[0].gives(NOISE[:FRAME])
    driver.streams[0].gives(NOISE[:FRAME])
    assert [one.lost for one in frames(heard)] == [True, False]
    heard.close()


def test_exact_silence_is_a_muted_microphone_and_is_told_once(driver: Driver, hand: Hand) -> None:
    heard = Microphone()
    second = np.zeros(RATE, dtype=np.int16)
    driver.streams[0].gives(second)
    assert not [one for one in heard.events() if isinstance(one, Muted)]
    driver.streams[0].gives(second[: int((SILENT - 1) * RATE) + 1])
    assert [one for one in heard.events() if isinstance(one, Muted)] == [Muted()]
    driver.streams[0].gives(second)
    assert not [one for one in heard.events() if isinstance(one, Muted)]
    heard.close()


def test_silence_behind_sound_is_a_headsets_noise_gate(driver: Driver, hand: Hand) -> None:
    heard = Microphone()
    driver.streams[0].gives(NOISE)
    driver.streams[0].gives(np.zeros(3 * RATE, dtype=np.int16))
    assert not [one for one in heard.events() if isinstance(one, Muted)]
    heard.close()


def test_a_microphone_that_gives_nothing_is_lost_behind_what_it_gave(driver: Driver, hand: Hand) -> None:
    heard = Microphone()
    driver.streams[0].gives(NOISE[:FRAME])
    hand.at += STALLED + 0.1
    *before, last = heard.events()
    assert [type(one) for one in before] == [Frame]
    assert isinstance(last, Lost)
    assert last.other == ""
    heard.close()


def test_a_stream_that_ended_is_lost_at_once(driver: Driver, hand: Hand) -> None:
    heard = Microphone()
    over = driver.streams[0].over
    assert over is not None
    over()
    assert [type(one) for one in heard.events()] == [Lost]
    heard.close()


@pytest.mark.parametrize(
    ("found", "other"), [([BUILT_IN, HEADSET], HEADSET.title), ([BUILT_IN, None, None], ""), ([BUILT_IN, None], None)]
)
def test_a_recording_that_the_sound_server_moves_or_drops(
    driver: Driver, hand: Hand, monkeypatch: pytest.MonkeyPatch, found: list[SoundSource | None], other: str | None
) -> None:
    """Told with the other's name; a single look that finds nothing is no loss."""
    left = list(found)
    monkeypatch.setattr(microphone, "joined_source", lambda: left.pop(0) if left else BUILT_IN)
    monkeypatch.setattr(microphone, "LOOK", 0.001)
    heard = Microphone()
    assert (heard.name, heard.title) == (BUILT_IN.name, BUILT_IN.title)
    if other is not None:
        heard._watcher.join(20)
        assert [one.other for one in heard.events() if isinstance(one, Lost)] == [other]
    else:
        while left:
            time.sleep(0.001)
        assert list(heard.events()) == []
    heard.close()
    assert not heard._watcher.is_alive()


def test_another_microphone_than_the_one_in_use_is_not_listened_to(
    driver: Driver, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(microphone, "joined_source", lambda: HEADSET)
    with pytest.raises(microphone.OtherMicrophoneError, match="a headset is there") as refused:
        Microphone(BUILT_IN.name)
    assert refused.value.source is HEADSET
    assert driver.streams[0].closed
    Microphone(HEADSET.name).close()


def test_what_a_loudspeaker_plays_is_no_microphone(driver: Driver, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(microphone, "joined_source", lambda: SoundSource("x.monitor", "a monitor", monitor=True))
    with pytest.raises(OperatorError, match="No microphone is connected"):
        Microphone()
    assert driver.streams[0].closed


def test_a_device_that_cannot_be_opened_is_a_sentence_with_its_reason(driver: Driver) -> None:
    driver.refuses = lambda _rate, _channels: "Device busy"
    with pytest.raises(OperatorError, match=r"cannot be opened \(Device busy\)"):
        Microphone()
