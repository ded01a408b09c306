"""``leadsman setup --listen`` and ``--voice``: whether the microphone is understood, and how the voice is to speak.

Microphone, loudspeaker and clock are the tests' own; what is heard in the last of them is a synthetic voice, by the
real detector and the real recognizer.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from types import TracebackType
from typing import Self

import numpy as np
import pytest
from click.testing import CliRunner

from assistant.audio.devices import Problem
from assistant.audio.microphone import FRAME, Frame, Muted
from assistant.audio.sound import RATE, read_sound
from assistant.commands.machine.setup import setup
from assistant.commands.speech import sound_check
from assistant.commands.speech.sound_check import PATIENCE, SENTENCE, check_microphone, level_bar
from assistant.errors import OperatorError
from assistant.setup.settings import VoiceSettings, load_voice, save_voice, settings_file
from assistant.tts.synthesizer import VoiceFailedError
from tests.commands.running import Run
from tests.conftest import missing
from tests.fakes import FakeClock
from tests.inputs.fakes import SILENCE, VOICE, FakeHearing, FakeMicrophone, FakePlayer, FakeSynthesizer, LoudVoice


class Microphone(FakeMicrophone):
    """One that tells its rate, as the real one does."""

    rate = 44100


class Hearing(FakeHearing):
    """A recognizer that is entered and left."""

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        pass


class PassingTime(FakeClock):
    """A clock on which only sleeping takes time."""

    def monotonic(self) -> float:
        """Seconds."""
        return self.at

    def sleep(self, seconds: float) -> None:
        """Let them pass at once."""
        self.advance(seconds)


class Bench:
    """A microphone, and what is heard by it."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.microphone = Microphone()
        self.hearing = Hearing()
        self.time = PassingTime()
        monkeypatch.setattr(sound_check, "Microphone", lambda: self.microphone)
        monkeypatch.setattr(sound_check, "Recognizer", lambda *_: self.hearing)
        monkeypatch.setattr(sound_check, "make_detector", LoudVoice)
        monkeypatch.setattr(sound_check, "model_folder", Path)
        monkeypatch.setattr(sound_check, "time", self.time)


@pytest.fixture
def bench(monkeypatch: pytest.MonkeyPatch) -> Bench:
    """Stand-ins for everything that hears."""
    return Bench(monkeypatch)


def test_the_sentence_is_heard_and_the_microphone_is_let_go(bench: Bench, run: Run) -> None:
    bench.microphone.say()
    bench.hearing.words = [SENTENCE]
    ran = run("setup", "--listen")
    assert ran.code == 0
    assert ran.out.splitlines() == [
        "Microphone: headset, 44100 samples a second",
        f"Say: {SENTENCE}",
        f"Heard: {SENTENCE}, 30 dB above the noise",
        "The microphone is fine.",
    ]
    [seconds] = bench.hearing.lengths
    assert 15 * FRAME / RATE < seconds < 95 * FRAME / RATE, "the whole answer, and not all the silence around it"
    assert bench.microphone.closed


@pytest.mark.parametrize(("words", "told"), [("twelve hundred ohms", "twelve hundred ohms"), ("", "nothing")])
def test_another_answer_is_no_proof_of_the_microphone(bench: Bench, run: Run, words: str, told: str) -> None:
    bench.microphone.say()
    bench.hearing.words = [words]
    ran = run("setup", "--listen")
    assert ran.code == 2
    assert f"Heard: {told}, 30 dB above the noise" in ran.out
    assert "fine" not in ran.out
    assert "That was not understood as 1180 ohms." in ran.err
    assert "Bring the microphone a hand's width from your voice" in ran.err


def test_where_nobody_speaks_it_waits_its_time_and_says_so(bench: Bench) -> None:
    bench.microphone.put(200, SILENCE)
    with pytest.raises(OperatorError, match="I heard no voice"):
        check_microphone()
    assert bench.time.at == pytest.approx(PATIENCE, abs=0.1)
    assert bench.hearing.lengths == []
    assert bench.microphone.closed


def test_a_microphone_that_goes_away_ends_it_at_once(bench: Bench) -> None:
    bench.microphone.put(20, VOICE)
    bench.microphone.lose()
    with pytest.raises(OperatorError, match=r"The microphone was lost\. No sound comes from it any more\."):
        check_microphone()
    assert bench.time.at == 0
    assert bench.microphone.closed


def test_one_that_gives_no_sound_at_all_is_told_and_may_still_be_switched_on(bench: Bench, run: Run) -> None:
    bench.microphone.queue.append(Muted())
    bench.microphone.say()
    bench.hearing.words = [SENTENCE]
    ran = run("setup", "--listen")
    assert "(It gives no sound at all: is it muted, and may this program use it?)" in ran.out
    assert ran.out.endswith("The microphone is fine.\n")


def test_at_a_terminal_the_level_is_drawn_over_itself(
    bench: Bench, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True)
    bench.microphone.say()
    bench.hearing.words = [SENTENCE]
    ran = run("setup", "--listen")
    bars = [line for line in ran.out.split("\r") if line.startswith("[")]
    assert len(bars) > 35
    assert bars[0] == level_bar(SILENCE)
    assert level_bar(VOICE) in bars
    assert "\nHeard: " in ran.out, "and what follows has a line of its own"


def test_the_level_is_in_decibels_of_full_scale() -> None:
    """A square wave of full scale is at 0 dB, one of a tenth 20 dB below: 20 log10 of its share."""

    def square(level: float) -> str:
        return level_bar(np.resize(np.array([1, -1]) * level * 32768, FRAME).clip(-32768, 32767).astype(np.int16))

    assert square(0.99999).startswith(f"[{'#' * 40}]   -0 dB too loud")
    assert square(0.1).startswith(f"[{'#' * 27}{'.' * 13}]  -20 dB ")
    assert "too loud" not in square(0.4)
    assert level_bar(SILENCE).startswith(f"[{'.' * 40}]  -60 dB")


@pytest.mark.model
def test_a_voice_in_the_room_is_understood(
    speech_model: Path, monkeypatch: pytest.MonkeyPatch, run: Run, tmp_path: Path
) -> None:
    """By flite, which shares nothing with what hears it; detector, endpoint and recognizer are the real ones."""
    if shutil.which("flite") is None:
        missing("speaks with flite: apt-get install flite")
    path = tmp_path / "said.wav"
    subprocess.run(["flite", "-voice", "slt", "-t", SENTENCE, "-o", str(path)], check=True)
    microphone = Microphone()
    said = read_sound(path).samples
    quiet = np.random.default_rng(2).normal(0, 20, 2 * RATE).astype(np.int16)
    room = np.concatenate([quiet, said, quiet])
    microphone.queue += [Frame(room[at : at + FRAME], 0.0) for at in range(0, len(room) - FRAME, FRAME)]
    monkeypatch.setenv("LEADSMAN_MODEL", str(speech_model))
    monkeypatch.setattr(sound_check, "Microphone", lambda: microphone)
    monkeypatch.setattr(sound_check, "time", PassingTime())
    ran = run("setup", "--listen")
    assert ran.code == 0, ran.err
    assert f"Heard: {SENTENCE}" in ran.out


class Engine(FakeSynthesizer):
    """A speech engine with two voices, which keeps what it was asked for."""

    made: list[tuple[object, ...]]
    refuses = False

    def __init__(self, *asked: object) -> None:
        super().__init__(fails=1 if self.refuses and asked else 0)
        self.made.append(asked)

    def voices(self) -> list[str]:
        return ["en-gb", "en-us"]


@pytest.fixture
def engine(monkeypatch: pytest.MonkeyPatch) -> Iterator[type[Engine]]:
    """In the place of the machine's own, with a loudspeaker that keeps, and settings of the test's own."""
    settings_file().unlink(missing_ok=True)
    made = type("OneEngine", (Engine,), {"made": []})
    monkeypatch.setattr(sound_check, "speech_problem", lambda: None)
    monkeypatch.setattr(sound_check, "Synthesizer", made)
    monkeypatch.setattr(sound_check, "Player", FakePlayer)
    yield made
    settings_file().unlink(missing_ok=True)


def test_a_voice_that_was_named_speaks_a_sample_and_is_kept(engine: type[Engine], run: Run) -> None:
    ran = run("setup", "--voice", "--speed", "200", "--named", "en-us")
    assert ran.code == 0
    assert ran.out == f"Kept in {settings_file()}: 200 words a minute, en-us\n"
    assert engine.made[-1] == (200, "en-us"), "the sample is spoken as it will be"
    assert load_voice() == VoiceSettings(200, "en-us")


def test_what_is_not_named_stays_as_it_was(engine: type[Engine], run: Run) -> None:
    save_voice(VoiceSettings(140, "en-gb"))
    assert run("setup", "--voice", "--speed", "150").code == 0
    assert load_voice() == VoiceSettings(150, "en-gb")
    assert run("setup", "--voice", "--named", "").out.endswith("150 words a minute, usual voice\n")
    assert engine.made[-1] == (150, "")


def test_at_a_terminal_it_asks_and_shows_what_there_is(engine: type[Engine], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sound_check, "is_terminal", lambda: True)
    shown = CliRunner().invoke(setup, ["--voice"], input="en-gb\nfast\n180\n").output
    assert "  en-gb\n  en-us\n" in shown
    assert "'fast' is not a valid integer" in shown
    assert load_voice() == VoiceSettings(180, "en-gb")
    assert engine.made[-1] == (180, "en-gb")


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (
            ("--voice", "--named", "klingon"),
            "There is no voice 'klingon'. There are: en-gb, en-us. Or leave it empty.",
        ),
        (("--voice", "--speed", "20"), "20 is not in the range"),
        (("--speed", "200"), "--speed and --named go with --voice."),
    ],
)
def test_what_cannot_be_had_is_told_and_nothing_is_kept(
    engine: type[Engine], run: Run, arguments: tuple[str, ...], told: str
) -> None:
    ran = run("setup", *arguments)
    assert ran.code == 2
    assert told in ran.err
    assert all(not asked for asked in engine.made), "none was made to speak"
    assert not settings_file().exists()


def test_a_voice_that_does_not_speak_is_not_kept(
    engine: type[Engine], run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(engine, "refuses", True)
    ran = run("setup", "--voice", "--named", "en-us")
    assert ran.code == 2
    assert f"That voice does not speak ({VoiceFailedError('it hangs')}). Choose another." in ran.err
    assert not settings_file().exists()


def test_without_a_speech_library_it_says_how_to_get_one(
    engine: type[Engine], run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    lacking = Problem("The speech library is missing, so nothing is spoken.", "Run: sudo apt install espeak-ng")
    monkeypatch.setattr(sound_check, "speech_problem", lambda: lacking)
    ran = run("setup", "--voice", "--speed", "200")
    assert ran.code == 2
    assert f"{lacking.text} {lacking.remedy}" in ran.err
    assert engine.made == []
