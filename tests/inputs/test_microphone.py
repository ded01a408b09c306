"""Live answers: what is said or typed, whichever comes first; our own voice, noise and lost sound are none."""

from __future__ import annotations

import time
from collections.abc import Iterator
from decimal import Decimal

import numpy as np
import pytest

from assistant.audio.microphone import Event, OtherMicrophoneError
from assistant.audio.sources import SoundSource
from assistant.errors import OperatorError
from assistant.inputs.microphone import LiveListener, level_bar, loudness
from assistant.messages import Expectation, Expects, Heard, InputEnded, MicrophoneLost, Source, WentQuiet
from assistant.numerals.vocabulary import Vocabulary
from assistant.tts.voice import Voice
from tests.inputs.fakes import (
    SILENCE,
    VOICE,
    FakeHearing,
    FakeKeyboard,
    FakeMicrophone,
    FakePlayer,
    FakeSynthesizer,
    LoudVoice,
)

OHMS = Expectation(Expects.READING, unit="ohm", span=(Decimal(0), Decimal(20000)))


class Bench:
    """A listener with stand-ins all around."""

    def __init__(
        self, vocabulary: Vocabulary, *words: str, typed: tuple[str | None, ...] = (), headset: bool = False
    ) -> None:
        self.microphone = FakeMicrophone()
        self.notices: list[str] = []
        self.player = FakePlayer()
        self.voice = Voice(FakeSynthesizer(), self.player, self.notices.append)
        self.hearing = FakeHearing(*words)
        self.keyboard = FakeKeyboard(*typed)
        self.listener = LiveListener(
            lambda: 1.0, vocabulary, self.keyboard, lambda: self.hearing, self.voice, self.notices.append, self.open,
            headset=headset, detector=LoudVoice(),
        )  # fmt: skip
        self.voice.interrupted = self.listener.interrupts

    def open(self, wanted: str) -> FakeMicrophone:
        if wanted and self.microphone.name != wanted:
            raise OtherMicrophoneError(SoundSource(self.microphone.name, self.microphone.name))
        return self.microphone

    def close(self) -> None:
        self.listener.close()
        self.voice.close()


@pytest.fixture
def benches(vocabulary: Vocabulary) -> Iterator[list[Bench]]:
    made: list[Bench] = []
    yield made
    for bench in made:
        bench.close()


def make(benches: list[Bench], vocabulary: Vocabulary, *words: str, **more: object) -> Bench:
    bench = Bench(vocabulary, *words, **more)  # type: ignore[arg-type]
    benches.append(bench)
    bench.listener.start()
    return bench


def test_a_spoken_answer_is_heard_with_its_lead_in_and_acknowledged(
    benches: list[Bench], vocabulary: Vocabulary
) -> None:
    bench = make(benches, vocabulary, "eleven eighty ohms")
    bench.microphone.say()
    fact = bench.listener.listen(OHMS, None)
    assert isinstance(fact, Heard)
    assert fact.source is Source.MICROPHONE
    assert fact.hypotheses[0].words == "eleven eighty ohms"
    assert bench.listener.sound_of(fact.sound) is not None
    # 0.48 s of voice and half a second from before it
    assert bench.hearing.lengths[0] > 0.48 + 0.4
    assert len(bench.player.played) == 1


def test_our_own_voice_and_its_echo_are_dropped(benches: list[Bench], vocabulary: Vocabulary) -> None:
    """What came in before the guard time was over is never decoded."""
    bench = make(benches, vocabulary, "one one eight zero")
    bench.voice.silent_since = time.monotonic()
    bench.microphone.put(40, VOICE, at=bench.voice.silent_since + 0.2)
    bench.microphone.put(60, SILENCE)
    assert isinstance(bench.listener.listen(OHMS, 0.1), WentQuiet)
    assert bench.hearing.lengths == []


@pytest.mark.parametrize("headset", [False, True])
def test_only_a_headset_lets_stop_cut_us_short(benches: list[Bench], vocabulary: Vocabulary, headset: bool) -> None:
    bench = make(benches, vocabulary, "stop", headset=headset)
    bench.microphone.say()
    stopped = False
    for _ in range(200):
        stopped = stopped or bench.listener.interrupts()
        time.sleep(0.001)
    assert stopped is headset
    if headset:
        fact = bench.listener.listen(OHMS, 1.0)
        assert isinstance(fact, Heard)
        assert fact.hypotheses[0].words == "stop"


def test_talk_near_by_is_no_answer(benches: list[Bench], vocabulary: Vocabulary) -> None:
    """Words that belong to no answer are not passed on, and the low tone comes once in a while, not each time."""
    bench = make(benches, vocabulary, "[unclear]", "[unclear] [unclear]", "")
    for _ in range(3):
        bench.microphone.say()
    assert isinstance(bench.listener.listen(OHMS, 0.3), WentQuiet)
    assert len(bench.hearing.lengths) == 3
    assert len(bench.player.played) == 1


def test_a_faint_stop_after_the_unknown_word_is_passed_on(benches: list[Bench], vocabulary: Vocabulary) -> None:
    """A number or a 'next' heard second is dropped as before; of a safety word the engine asks."""
    bench = make(benches, vocabulary, "[unclear]|next", "[unclear]|eleven eighty ohms", "[unclear]|stop")
    for _ in range(3):
        bench.microphone.say()
    fact = bench.listener.listen(OHMS, 5.0)
    assert isinstance(fact, Heard)
    assert [one.words for one in fact.hypotheses] == ["[unclear]", "stop"]
    assert len(bench.hearing.lengths) == 3


def test_sound_lost_inside_an_answer_means_say_it_again(benches: list[Bench], vocabulary: Vocabulary) -> None:
    bench = make(benches, vocabulary, "eighty ohms")
    bench.microphone.put(20, SILENCE)
    bench.microphone.put(10, VOICE)
    bench.microphone.put(5, VOICE, lost=True)
    bench.microphone.put(60, SILENCE)
    assert isinstance(bench.listener.listen(OHMS, 0.3), WentQuiet)
    assert any("Say it again" in notice for notice in bench.notices)


def test_a_lost_microphone_is_reported_and_only_the_same_one_is_reopened(
    benches: list[Bench], vocabulary: Vocabulary
) -> None:
    bench = make(benches, vocabulary, "twelve ohms")
    first = bench.microphone
    first.lose()
    fact = bench.listener.listen(OHMS, None)
    assert isinstance(fact, MicrophoneLost)
    assert first.closed
    bench.microphone = FakeMicrophone("cabin")
    bench.microphone.say()
    assert isinstance(bench.listener.listen(OHMS, 1.3), WentQuiet)
    assert any("cabin" in notice for notice in bench.notices)
    assert bench.hearing.lengths == []
    bench.keyboard.lines.append("voice on")
    assert isinstance(bench.listener.listen(OHMS, None), Heard)


def test_typed_lines_count_and_switch_the_microphone(benches: list[Bench], vocabulary: Vocabulary) -> None:
    bench = make(benches, vocabulary, typed=("voice off", "1180", None))
    fact = bench.listener.listen(OHMS, None)
    assert isinstance(fact, Heard)
    assert (fact.source, fact.hypotheses[0].words) == (Source.TYPED, "1180")
    assert bench.listener.state == "off"
    assert isinstance(bench.listener.listen(OHMS, None), InputEnded)


def test_a_stream_that_ends_leaves_the_microphone(benches: list[Bench], vocabulary: Vocabulary) -> None:
    """Started by a program without a keyboard, the session goes on by voice."""
    bench = make(benches, vocabulary, "twelve ohms", typed=(None,))
    bench.keyboard.interactive = False
    bench.microphone.say()
    assert isinstance(bench.listener.listen(OHMS, None), Heard)


def test_without_a_recognizer_it_cannot_start(vocabulary: Vocabulary) -> None:
    def absent() -> FakeHearing:
        raise OperatorError("The speech model is missing.")

    listener = LiveListener(lambda: 1.0, vocabulary, FakeKeyboard(), absent, None, print)
    with pytest.raises(OperatorError, match="speech model"):
        listener.start()
    listener.close()


@pytest.mark.parametrize(
    ("peak", "bar"), [(0, "[........]"), (32, "[........]"), (1036, "[||||....]"), (32767, "[||||||||]")]
)
def test_the_level_is_even_in_decibels(peak: int, bar: str) -> None:
    """0 dB is full scale; 1036 of 32768 is 30 dB below it, half of the 60 that are shown."""
    samples = np.full(480, peak, dtype=np.int16)
    samples[::2] = -peak
    assert level_bar(loudness(samples)) == bar


def test_the_screen_is_told_what_the_microphone_does_and_how_loud_it_is(
    benches: list[Bench], vocabulary: Vocabulary
) -> None:
    bench = Bench(vocabulary, "eleven eighty ohms")
    benches.append(bench)
    assert bench.listener.standing == "off"
    bench.listener.start()
    assert bench.listener.standing == "listening [........] headset"
    told: list[str] = []
    feed = bench.microphone.events

    def watched() -> Iterator[Event]:
        for event in feed():
            yield event
            told.append(bench.listener.standing)

    bench.microphone.events = watched  # type: ignore[method-assign]
    bench.microphone.say()
    assert isinstance(bench.listener.listen(OHMS, None), Heard)
    assert told[0] == "listening [........] headset"
    assert "hearing you [|||||||.] headset" in told
    assert bench.listener.standing.startswith("thinking")
    bench.voice.speaking = True
    assert bench.listener.standing == "speaking, not listening (headset)"
    bench.voice.speaking = False
    bench.microphone.lose()
    assert isinstance(bench.listener.listen(OHMS, None), MicrophoneLost)
    assert bench.listener.standing == "LOST"
