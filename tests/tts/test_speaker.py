"""The voice may hang, crash or fall silent; the session never does."""

from __future__ import annotations

import os
import sys
import threading
from pathlib import Path

import pytest
import soundfile

from assistant.audio import devices
from assistant.errors import OperatorError
from assistant.tts.speaker import Deadlines, PyttsxSpeaker, SilentSpeaker, make_speaker, render

FAKE = Path(__file__).with_name("fake_engine.py")
QUICK = Deadlines(start=20.0, base=0.3, a_character=0.0)
SENTENCE = "Measure the resistance at the left rear sensor."


class Voice:
    """A speaker on a fake engine, with what it noticed and every process that it started."""

    def __init__(self, folder: Path, *modes: str, deadlines: Deadlines = QUICK) -> None:
        self._notes = folder / "starts"
        self.command = (sys.executable, str(FAKE), str(self._notes), *modes)
        self.notices: list[str] = []
        self.speaker = PyttsxSpeaker(self.notices.append, self.command, deadlines)

    @property
    def starts(self) -> list[int]:
        return [int(pid) for pid in self._notes.read_text(encoding="utf-8").split()] if self._notes.exists() else []

    def assert_nothing_left(self) -> None:
        for pid in self.starts:
            with pytest.raises(ProcessLookupError):
                os.kill(pid, 0)


def test_a_working_engine_speaks_everything_in_one_process(tmp_path: Path) -> None:
    voice = Voice(tmp_path, "fine", deadlines=Deadlines(base=20.0))
    for _ in range(3):
        voice.speaker.say(SENTENCE)
    voice.speaker.close()
    voice.speaker.close()
    assert voice.notices == []
    assert len(voice.starts) == 1
    voice.assert_nothing_left()


MISSES = {
    "hang": "it did not finish in time",
    "crash": "it ended by itself",
    "silent": "it never started",
    "hasty": "nothing was heard",
    "refuse": "RuntimeError: run loop already started",
    "broken": "OSError: no library",
}


@pytest.mark.parametrize(("mode", "reason"), MISSES.items())
def test_a_miss_is_tried_again_in_a_new_process_then_it_is_text_only(tmp_path: Path, mode: str, reason: str) -> None:
    voice = Voice(tmp_path, mode)
    voice.speaker.say(SENTENCE)
    voice.speaker.say(SENTENCE)
    assert voice.notices == [f"The voice failed ({reason}); from here on everything is shown as text."]
    assert len(voice.starts) == 2
    voice.assert_nothing_left()


@pytest.mark.parametrize("mode", MISSES)
def test_one_miss_is_forgiven(tmp_path: Path, mode: str) -> None:
    voice = Voice(tmp_path, mode, "fine", deadlines=Deadlines(start=20.0, base=2.0, a_character=0.0))
    voice.speaker.say(SENTENCE)
    voice.speaker.say(SENTENCE)
    assert voice.notices == []
    assert len(voice.starts) == 2
    voice.speaker.close()
    voice.assert_nothing_left()


def test_an_engine_that_does_not_come_up_is_given_up(tmp_path: Path) -> None:
    voice = Voice(tmp_path, "no start", deadlines=Deadlines(start=0.3))
    voice.speaker.say(SENTENCE)
    assert len(voice.notices) == 1
    voice.assert_nothing_left()


def test_a_process_that_cannot_be_started_is_a_notice(tmp_path: Path) -> None:
    notices: list[str] = []
    PyttsxSpeaker(notices.append, [str(tmp_path / "absent")]).say(SENTENCE)
    assert len(notices) == 1
    assert "cannot be started" in notices[0]


def test_stop_falls_silent_in_the_middle_and_the_next_sentence_is_spoken(tmp_path: Path) -> None:
    voice = Voice(tmp_path, "hang", "fine", deadlines=Deadlines(start=20.0, base=60.0))
    speaking = threading.Thread(target=voice.speaker.say, args=(SENTENCE,))
    speaking.start()
    waited = threading.Event()
    while not voice.starts:
        waited.wait(0.02)
    voice.speaker.stop()
    speaking.join(timeout=20)
    assert not speaking.is_alive()
    assert voice.notices == []
    voice.speaker.say(SENTENCE)
    voice.speaker.close()
    assert voice.notices == []
    voice.assert_nothing_left()


def test_a_short_word_is_not_judged_by_its_length(tmp_path: Path) -> None:
    voice = Voice(tmp_path, "hasty")
    voice.speaker.say("Logged.")
    voice.speaker.say("  ")
    assert voice.notices == []
    voice.speaker.close()
    voice.assert_nothing_left()


def test_what_would_be_said_is_saved(tmp_path: Path) -> None:
    voice = Voice(tmp_path, "fine")
    render(SENTENCE, tmp_path / "said.wav", voice.command)
    assert (tmp_path / "said.wav").stat().st_size == 64
    voice.assert_nothing_left()


@pytest.mark.parametrize("mode", ["no file", "crash", "broken", "refuse"])
def test_a_file_that_was_not_written_is_an_error(tmp_path: Path, mode: str) -> None:
    voice = Voice(tmp_path, mode)
    with pytest.raises(OperatorError, match="Cannot save speech to"):
        render(SENTENCE, tmp_path / "said.wav", voice.command)
    voice.assert_nothing_left()


@pytest.mark.usefixtures("speech_library")
def test_the_real_engine_saves_speech(tmp_path: Path) -> None:
    render("Twelve point six volts. Logged.", tmp_path / "said.wav")
    assert soundfile.info(tmp_path / "said.wav").duration > 1.0


@pytest.mark.usefixtures("speech_library")
def test_the_real_engine_cannot_save_into_a_folder_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(OperatorError, match="Cannot save speech"):
        render("Logged.", tmp_path / "absent" / "said.wav")


def test_without_a_loudspeaker_one_line_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    problem = devices.Problem("No loudspeaker was found, so nothing is spoken.", "Connect one and start again.")
    monkeypatch.setattr("assistant.tts.speaker.speech_problem", lambda: None)
    monkeypatch.setattr("assistant.tts.speaker.loudspeaker_problem", lambda: problem)
    notices: list[str] = []
    speaker = make_speaker(notices.append)
    assert isinstance(speaker, SilentSpeaker)
    assert notices == ["No loudspeaker was found, so nothing is spoken. Connect one and start again."]
    speaker.say(SENTENCE)
    speaker.stop()
    speaker.close()


def test_with_everything_there_the_voice_is_made_and_no_process_before_it_speaks(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("assistant.tts.speaker.speech_problem", lambda: None)
    monkeypatch.setattr("assistant.tts.speaker.loudspeaker_problem", lambda: None)
    speaker = make_speaker(lambda _: None)
    assert isinstance(speaker, PyttsxSpeaker)
    speaker.close()
