"""The live mouth: it never stops the session, whatever the engine or the loudspeaker does."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest

from assistant.audio import tones
from assistant.tts.rendering import Renderer, VoiceFailedError
from assistant.tts.speaker import Deadlines
from assistant.tts.voice import GIVE_UP, Mouth, sentences
from tests.inputs.fakes import FakePlayer, FakeRenderer

TEXT = "Left rear sensor: one one eight zero ohms. Good. Next, measure the voltage at the plug."
FAKE = Path(__file__).with_name("fake_engine.py")


def test_it_speaks_sentence_by_sentence_and_knows_when_it_is_silent() -> None:
    renderer, player = FakeRenderer(), FakePlayer()
    mouth = Mouth(renderer, player, print)
    mouth.say(TEXT)
    assert renderer.texts == sentences(TEXT)
    assert len(player.played) == len(renderer.texts) > 1
    assert mouth.silent_since >= mouth.began > 0
    mouth.close()


def test_sentences_lose_nothing() -> None:
    assert " ".join(sentences(TEXT)) == TEXT
    assert sentences("Good.") == ["Good."]


def test_a_failing_voice_is_told_once_and_tried_again() -> None:
    told: list[str] = []
    mouth = Mouth(FakeRenderer(fails=1), FakePlayer(), told.append)
    mouth.say("First sentence.")
    mouth.say("Second sentence.")
    assert len(told) == 1
    assert "it hangs" in told[0]
    assert mouth.began > 0
    mouth.close()


def test_a_missing_loudspeaker_ends_in_text() -> None:
    told: list[str] = []
    player = FakePlayer(broken=True)
    mouth = Mouth(FakeRenderer(), player, told.append)
    for _ in range(GIVE_UP + 3):
        mouth.say("Anything at all.")
        mouth.acknowledge(understood=True)
    assert len(told) == 2
    assert "shown as text" in told[-1]
    mouth.close()


def test_typing_cuts_it_short() -> None:
    player = FakePlayer()
    mouth = Mouth(FakeRenderer(), player, print, lambda: bool(player.played))
    mouth.say(TEXT)
    assert len(player.played) == 1
    assert player.stopped == 1
    mouth.close()


@pytest.mark.parametrize("mode", ["hang", "crash", "refuse", "no file", "broken", "no start"])
def test_an_engine_that_misbehaves_is_made_anew_once_and_then_given_up(mode: str, tmp_path: Path) -> None:
    notes = tmp_path / "notes"
    limits = Deadlines(start=1.0, base=0.3, a_character=0.0)
    renderer = Renderer(command=(sys.executable, str(FAKE), str(notes), mode), deadlines=limits)
    with pytest.raises(VoiceFailedError):
        renderer.render("Twelve point six volts.")
    assert len(notes.read_text(encoding="utf-8").split()) == 2
    renderer.close()


@pytest.mark.usefixtures("speech_library")
def test_the_real_engine_makes_sound_again_and_again() -> None:
    renderer = Renderer(200)
    first, rate = renderer.render("Twelve point six volts. Logged.")
    second, _ = renderer.render("Good.")
    assert len(first) > rate
    assert 0 < len(second) < len(first)
    assert any("en" in voice for voice in renderer.voices())
    renderer.close()


def test_the_two_tones_differ_and_do_not_clip() -> None:
    good, bad = tones.heard(16000), tones.not_understood(16000)
    assert len(good) < len(bad)
    for tone in (good, bad):
        assert 3000 < int(np.abs(tone).max()) < 16000
        assert tone[0] == tone[-1] == 0 or abs(int(tone[-1])) < 1000
