"""The voice: it never stops the session, whatever the engine or the loudspeaker does."""

from __future__ import annotations

import os
import shutil
import sys
from contextlib import ExitStack
from pathlib import Path

import numpy as np
import pytest
import soundfile

from assistant.audio import tones
from assistant.audio.devices import Problem
from assistant.commands.lead import voice as voice_command
from assistant.commands.lead.voice import SavingVoice
from assistant.tts.engine import Deadlines
from assistant.tts.synthesizer import Synthesizer, VoiceFailedError
from assistant.tts.voice import GIVE_UP, Voice, sentences
from tests.inputs.fakes import FakePlayer, FakeSynthesizer

TEXT = "Left rear sensor: one one eight zero ohms. Good. Next, measure the voltage at the plug."
FAKE = Path(__file__).with_name("fake_engine.py")


def test_it_speaks_sentence_by_sentence_and_knows_when_it_is_silent() -> None:
    synthesizer, player = FakeSynthesizer(), FakePlayer()
    voice = Voice(synthesizer, player, print)
    voice.say(TEXT)
    assert synthesizer.texts == sentences(TEXT)
    assert len(player.played) == len(synthesizer.texts) > 1
    assert voice.silent_since >= voice.began > 0
    voice.close()


def test_sentences_lose_nothing() -> None:
    assert " ".join(sentences(TEXT)) == TEXT
    assert sentences("Good.") == ["Good."]


def test_a_failing_voice_is_reported_once_and_tried_again() -> None:
    told: list[str] = []
    voice = Voice(FakeSynthesizer(fails=1), FakePlayer(), told.append)
    voice.say("First sentence.")
    voice.say("Second sentence.")
    assert len(told) == 1
    assert "it hangs" in told[0]
    assert voice.began > 0
    voice.close()


def test_a_missing_loudspeaker_ends_in_text() -> None:
    told: list[str] = []
    player = FakePlayer(broken=True)
    voice = Voice(FakeSynthesizer(), player, told.append)
    for _ in range(GIVE_UP + 3):
        voice.say("Anything at all.")
        voice.acknowledge(understood=True)
    assert len(told) == 2
    assert "shown as text" in told[-1]
    voice.close()


def test_typing_cuts_it_short() -> None:
    player = FakePlayer()
    voice = Voice(FakeSynthesizer(), player, print, lambda: bool(player.played))
    voice.say(TEXT)
    assert len(player.played) == 1
    assert player.stopped == 1
    voice.close()


def test_ctrl_c_while_it_speaks_ends_the_session_where_nothing_else_listens() -> None:
    """A live session ends where it listens; any other ends as any command does."""

    class Interrupting(FakePlayer):
        def busy(self) -> bool:
            raise KeyboardInterrupt

    live = Voice(FakeSynthesizer(), Interrupting(), print, lambda: False)
    live.say(TEXT)
    assert live.broken_off
    plain = Voice(FakeSynthesizer(), Interrupting(), print)
    with pytest.raises(KeyboardInterrupt):
        plain.say(TEXT)
    live.close()
    plain.close()


class Made:
    """A synthesizer on an engine that misbehaves on demand, and every process that it started."""

    def __init__(self, folder: Path, *modes: str, deadlines: Deadlines | None = None) -> None:
        self._notes = folder / "starts"
        command = (sys.executable, str(FAKE), str(self._notes), *modes)
        self.synthesizer = Synthesizer(command=command, deadlines=deadlines or Deadlines(start=20.0, base=2.0))

    @property
    def starts(self) -> list[int]:
        return [int(pid) for pid in self._notes.read_text(encoding="utf-8").split()] if self._notes.exists() else []

    def assert_nothing_left(self) -> None:
        self.synthesizer.close()
        for pid in self.starts:
            with pytest.raises(ProcessLookupError):
                os.kill(pid, 0)


def test_a_working_engine_makes_everything_in_one_process(tmp_path: Path) -> None:
    made = Made(tmp_path, "fine", deadlines=Deadlines(start=20.0, base=20.0))
    for _ in range(3):
        samples, rate = made.synthesizer.synthesize("Good.")
        assert len(samples) > 0
        assert rate == 16000
    assert len(made.starts) == 1
    made.synthesizer.close()
    made.assert_nothing_left()


MISSES = {
    "hang": "it did not finish in time",
    "crash": "it ended by itself",
    "silent": "it made no sound",
    "short": "it made no sound",
    "no file": "it made no sound",
    "refuse": "RuntimeError: run loop already started",
    "broken": "OSError: no library",
    "no start": "it did not finish in time",
}


@pytest.mark.parametrize(("mode", "reason"), MISSES.items())
def test_a_misbehaving_engine_is_restarted_once_and_then_given_up(mode: str, reason: str, tmp_path: Path) -> None:
    start = 0.3 if mode == "no start" else 20.0
    made = Made(tmp_path, mode, deadlines=Deadlines(start=start, base=0.5, a_character=0.0))
    with pytest.raises(VoiceFailedError) as error:
        made.synthesizer.synthesize(TEXT)
    assert str(error.value) == reason
    assert len(made.starts) == 2 or mode == "no start"
    made.assert_nothing_left()


@pytest.mark.parametrize("mode", [mode for mode in MISSES if mode != "no start"])
def test_one_miss_is_forgiven(tmp_path: Path, mode: str) -> None:
    made = Made(tmp_path, mode, "fine")
    assert len(made.synthesizer.synthesize(TEXT)[0]) > 0
    assert len(made.starts) == 2
    made.assert_nothing_left()


def test_a_process_that_cannot_be_started_is_said(tmp_path: Path) -> None:
    synthesizer = Synthesizer(command=[str(tmp_path / "absent")])
    with pytest.raises(VoiceFailedError, match="cannot be started"):
        synthesizer.synthesize("Good.")


def test_what_is_said_is_saved_and_passed_on(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One numbered file an utterance; a folder that goes away ends the saving and nothing else."""
    told: list[str] = []

    class Onward:
        def say(self, text: str) -> None:
            told.append(text)

    made = Made(tmp_path, "fine")
    voice = SavingVoice(tmp_path / "said", made.synthesizer, Onward())
    voice.say("Good.")
    voice.say(TEXT)
    assert sorted(path.name for path in (tmp_path / "said").iterdir()) == ["001.wav", "002.wav"]
    assert soundfile.info(tmp_path / "said" / "002.wav").duration > 1.0
    shutil.rmtree(tmp_path / "said")
    for _ in range(2):
        voice.say("Good.")
    assert told == ["Good.", TEXT, "Good.", "Good."]
    assert capsys.readouterr().err.count("The session goes on without saving sound.") == 1
    made.assert_nothing_left()


@pytest.mark.parametrize("missing", ["speech_problem", "loudspeaker_problem"])
def test_where_nothing_can_be_spoken_one_line_says_so(missing: str, monkeypatch: pytest.MonkeyPatch) -> None:
    problem = Problem("No loudspeaker was found, so nothing is spoken.", "Connect one and start again.")
    monkeypatch.setattr(voice_command, "speech_problem", lambda: None)
    monkeypatch.setattr(voice_command, "loudspeaker_problem", lambda: None)
    with ExitStack() as stack:
        assert isinstance(voice_command.make_voice(stack, print), Voice)
    monkeypatch.setattr(voice_command, missing, lambda: problem)
    told: list[str] = []
    with ExitStack() as stack:
        assert voice_command.make_voice(stack, told.append) is None
    assert told == ["No loudspeaker was found, so nothing is spoken. Connect one and start again."]


@pytest.mark.usefixtures("speech_library")
def test_the_real_engine_makes_sound_again_and_again() -> None:
    synthesizer = Synthesizer(200)
    first, rate = synthesizer.synthesize("Twelve point six volts. Logged.")
    second, _ = synthesizer.synthesize("Good.")
    assert len(first) > rate
    assert 0 < len(second) < len(first)
    assert any("en" in voice for voice in synthesizer.voices())
    synthesizer.close()


def test_the_two_tones_differ_and_do_not_clip() -> None:
    good, bad = tones.heard(16000), tones.not_understood(16000)
    assert len(good) < len(bad)
    for tone in (good, bad):
        assert 3000 < int(np.abs(tone).max()) < 16000
        assert tone[0] == tone[-1] == 0 or abs(int(tone[-1])) < 1000
