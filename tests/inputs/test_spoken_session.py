"""Whole sessions on a virtual sound card: the program as people start it, answers as sound, what it says as sound."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import threading
import time
import tomllib
from collections.abc import Iterator
from functools import partial
from pathlib import Path

import numpy as np
import pytest
import soundfile

from tests.conftest import ROOT
from tests.inputs.sound_card import SoundCard, until

pytestmark = [pytest.mark.live, pytest.mark.model, pytest.mark.usefixtures("speech_model", "speech_library")]
QUIET = ("--mute",)
NOISE_SECONDS = float(os.environ.get("LEADSMAN_NOISE_SECONDS", "100"))
"""How long the noise lasts: it is played as fast as it sounds. 600 for the whole ten minutes."""


class Talk:
    """One running session: what it showed, line by line."""

    def __init__(
        self, card: SoundCard, records: Path, *options: str, procedure: str = "trailer-abs-light-on"
    ) -> None:
        self.card, self.records = card, records
        self.lines: list[str] = []
        self.process = subprocess.Popen(
            [sys.executable, "-m", "assistant", "start", procedure, "--listen", "--meter", "shop",
             "--records", str(records), *options],
            stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
            env=card.environment,
        )  # fmt: skip
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()

    @property
    def text(self) -> str:
        """Everything shown, wrapped lines joined."""
        return " ".join(" ".join(self.lines).split())

    def more_than(self, words: str, times: int) -> bool:
        """Whether it has shown this more often than that."""
        return self.text.count(words) > times

    def wait(self, words: str, times: int = 1) -> None:
        """Wait until it has shown this so often."""
        until(lambda: self.text.count(words) >= times or self.process.poll() is not None, words)
        assert self.text.count(words) >= times, f"ended without {words!r}:\n{self.text}"

    def answer(self, folder: Path, words: str) -> None:
        """Say it in an invented voice, when it has stopped speaking."""
        until(lambda: not self.card.speaking(), "silence")
        time.sleep(0.5)  # a person, too, lets the other one finish; the guard time is a part of what is tested
        path = folder / f"{words.replace(' ', '-')}.wav"
        if not path.exists():
            subprocess.run(["flite", "-voice", "slt", "-t", words, "-o", str(path)], check=True)
        self.card.speak(path)

    def insist(self, folder: Path, words: str, shown: str) -> int:
        """Say it until it is answered, as people do: on a slow machine it may fall into the other's sentence."""
        for times in range(1, 6):
            self.answer(folder, words)
            try:
                until(lambda: shown in self.text, shown, limit=15.0)
            except AssertionError:
                continue
            return times
        raise AssertionError(f"{words!r} was not answered with {shown!r}:\n{self.text}")

    def settle(self, folder: Path) -> None:
        """Say yes where it asks whether it heard right: a busy machine drops sound, and then it asks."""
        asked = r"Did you mean [^?]*\?$"
        for _ in range(3):
            until(lambda: "Leadsman" in self.text.rpartition("You \N{LEFT DOUBLE QUOTATION MARK}")[2], "a reply")
            if re.search(asked, self.text) is None:
                return
            self.answer(folder, "yes")
            try:
                until(lambda: re.search(asked, self.text) is None, "what comes after it", limit=15.0)
            except AssertionError:
                continue

    def rolled(self, folder: Path, light: str) -> None:
        """Say yes where it asks whether so quick a roll was one."""
        until(lambda: light in self.text or "every wheel turning? Yes or no" in self.text, light)
        if light not in self.text:
            self.insist(folder, "yes", light)

    def end(self) -> str:
        """Press Ctrl-C and give back what was shown."""
        self.process.send_signal(2)
        try:
            self.process.wait(60)
        finally:
            self.process.kill()
            self._reader.join(10)
            assert self.process.stdout is not None
            self.process.stdout.close()
        return self.text

    def _read(self) -> None:
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self.lines.append(line.strip())


@pytest.fixture
def talk(sound_card: SoundCard, tmp_path: Path) -> Iterator[Talk]:
    """A session that shows and does not speak."""
    made = Talk(sound_card, tmp_path / "records", *QUIET)
    yield made
    if made.process.poll() is None:
        made.end()


def test_answers_are_heard_and_a_microphone_is_lost_and_found(
    talk: Talk, sound_card: SoundCard, tmp_path: Path
) -> None:
    """Spoken answers lead on; pulled out it says so and keeps the step; another one is only offered."""
    talk.wait("Ready?")
    talk.insist(tmp_path, "ready", "chock the wheels")
    sound_card.unplug("headset")
    talk.wait("I lost the microphone")
    sound_card.plug("cabin")
    talk.wait("cabin is there")
    talk.answer(tmp_path, "yes")
    sound_card.unplug("cabin")
    sound_card.plug("headset")
    talk.wait("The microphone is back: headset")
    assert "What is the unit number" not in talk.text
    talk.insist(tmp_path, "yes", "What is the unit number")
    shown = talk.end()
    assert "The session is kept" in shown


@pytest.mark.sweep
def test_its_own_voice_at_full_level_is_no_answer(sound_card: SoundCard, tmp_path: Path) -> None:
    """What it says comes back into the microphone through a loop; it says 'yes' and 'ready' a lot."""
    loop = sound_card.loop_back()
    talk = Talk(sound_card, tmp_path / "records", "--voice", procedure="wheel-speed-sensor-survey")
    try:
        talk.wait("Ready?")
        until(sound_card.speaking, "a voice")
        until(lambda: not sound_card.speaking(), "the end of it")
        said = talk.insist(tmp_path, "ready", "You \N{LEFT DOUBLE QUOTATION MARK}")
        until(lambda: not sound_card.speaking(), "the end of the next")
    finally:
        shown = talk.end()
        sound_card.cut(loop)
    assert shown.count("You \N{LEFT DOUBLE QUOTATION MARK}") <= said
    assert np.abs(sound_card.spoken().astype(np.int32)).max() > 3000


@pytest.mark.sweep
@pytest.mark.corpus
def test_noise_and_talk_log_nothing(talk: Talk, sound_card: SoundCard, speech_corpus: Path, tmp_path: Path) -> None:
    """Tools, rain, an engine and people who speak to each other."""
    talk.wait("Ready?")
    noises = [soundfile.read(path, dtype="float32") for path in sorted((speech_corpus / "noise").glob("*.flac"))]
    voices = [soundfile.read(path, dtype="float32") for path in sorted((speech_corpus / "human/talk").glob("*.flac"))]
    rows, length = [], 0.0
    while length < NOISE_SECONDS:
        for sound, rate in [*noises, *voices]:
            mono = sound if sound.ndim == 1 else sound.mean(axis=1)
            if rate != 16000 or length >= NOISE_SECONDS:
                continue
            rows += [mono, np.zeros(4000, dtype=np.float32)]
            length += len(mono) / 16000 + 0.25
    path = tmp_path / "noise.wav"
    soundfile.write(path, np.concatenate(rows), 16000)
    sound_card.speak(path)
    shown = talk.end()
    assert "chock the wheels" not in shown


@pytest.mark.sweep
def test_a_whole_scene_spoken_into_the_room_ends_as_it_should(sound_card: SoundCard, tmp_path: Path) -> None:
    """Every answer of a demo scene, from the first caution to the proven cure."""
    folder = ROOT / "demo_sessions" / "backed-off-on-a-disc"
    scene = tomllib.loads((folder / "scene.toml").read_text(encoding="utf-8"))
    told = ("--complaint", "The light stays on.")  # else it asks, and no recording answers that
    talk = Talk(sound_card, tmp_path / "records", *QUIET, *told, procedure=scene["procedure"])
    you = "You \N{LEFT DOUBLE QUOTATION MARK}"
    try:
        talk.wait("Ready?")
        for path, answer in zip(sorted(folder.glob("*.flac")), scene["answers"], strict=True):
            before = talk.text.count(you)
            for _ in range(4):
                sound_card.speak(path)
                try:
                    until(partial(talk.more_than, you, before), path.name, limit=20.0)
                except AssertionError:
                    continue
                break
            assert talk.text.count(you) == before + 1, f"{path.name}:\n{talk.text}"
            try:
                talk.settle(tmp_path)
            except AssertionError as error:
                raise AssertionError(f"{path.name}: {error}\n{talk.text}") from None
            if answer["prompt"] == "proof:roll":  # nobody drives in a test: said soon, it asks back
                talk.rolled(tmp_path, "ABS light out")
        talk.process.wait(60)
        assert "cured and proven" in "".join(path.read_text("utf-8") for path in talk.records.glob("*.jsonl"))
    finally:
        talk.end()
