"""Noise while a reading is asked for: tools, rain, one who talks, two who talk, a radio. Nothing is logged.

Sound is fed as fast as it can be heard, each decoding done before the next frame, as on a machine that keeps up.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import Future
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile

from assistant.asr.recognizer import Recognizer
from assistant.audio.vad import FRAME
from assistant.clock import ScriptedClock
from assistant.composition import new_session
from assistant.inputs.microphone import LiveListener
from assistant.loop import Loop
from assistant.messages import Expectation, Expects, Fact, Heard, Hypothesis, InputEnded, Source, WentQuiet
from assistant.messages.decisions import Remarked
from assistant.numerals.vocabulary import Vocabulary
from assistant.phrasing.phrase import Sentence
from assistant.records.journal.reader import parse
from tests.bench.hearing.cases import load_readings
from tests.inputs.fakes import SILENCE, FakeKeyboard, FakeMicrophone
from tests.procedure.small import SMALL

pytestmark = [pytest.mark.model, pytest.mark.corpus]
RATE = 16000
LONG = float(os.environ.get("LEADSMAN_NOISE_SECONDS", "60"))
"""Seconds of each kind in the sweep; 600 for ten whole minutes."""
TO_A_READING = ["next", "whole", "disc"]


class AtOnce:
    """Does work where it is handed in."""

    def submit(self, work: Callable[..., Any], *arguments: Any) -> Future[Any]:
        future: Future[Any] = Future()
        try:
            future.set_result(work(*arguments))
        except Exception as error:  # noqa: BLE001 - carried as a pool does
            future.set_exception(error)
        return future

    def shutdown(self, **_: object) -> None:
        pass


class TypedThenHeard:
    """Leads to the reading by typing, then listens until the noise is over."""

    def __init__(self, lines: list[str], listener: LiveListener, microphone: FakeMicrophone) -> None:
        self._lines, self._listener, self._microphone = lines, listener, microphone
        self.prompts: list[Expectation] = []

    def listen(self, expectation: Expectation, seconds: float | None) -> Fact:
        if self._lines:
            return Heard(0.0, (Hypothesis(self._lines.pop(0)),), Source.TYPED)
        self.prompts.append(expectation)
        fact = self._listener.listen(expectation, 0.0)
        return InputEnded(0.0) if isinstance(fact, WentQuiet) and not self._microphone.queue else fact

    def close(self) -> None:
        pass


class Kept:
    """Keeps what was said and heard."""

    def __init__(self) -> None:
        self.talk: list[str] = []

    def say(self, at: float, sentence: Sentence) -> None:
        self.talk.append(sentence.shown)

    def heard(self, at: float, fact: Heard) -> None:
        self.talk.append(f"heard: {fact.hypotheses[0].words if fact.hypotheses else ''}")

    def listening(self, expectation: Expectation) -> None:
        pass


def logged_from(
    sound: np.ndarray, recognizer: Recognizer, vocabulary: Vocabulary, folder: Path
) -> tuple[int, list[str]]:
    """How many decisions stand in the record after a stretch of sound at a reading, and the talk.

    Remarks are left out: words that answered nothing are kept as such.
    """
    clock = ScriptedClock(datetime(2026, 3, 2, 7, 40, tzinfo=UTC))
    work = new_session("lamp", folder, clock, unit="4471")
    microphone = FakeMicrophone()
    listener = LiveListener(
        lambda: 0.0, vocabulary, FakeKeyboard(), lambda: recognizer, None, print, lambda _: microphone
    )  # fmt: skip
    listener._pool = AtOnce()  # type: ignore[assignment]
    listener.start()
    levels = np.asarray(np.rint(np.clip(sound, -1.0, 1.0) * 32767), dtype=np.int16)
    for at in range(0, len(levels) - FRAME, FRAME):
        microphone.put(1, levels[at : at + FRAME])
    microphone.put(100, SILENCE)
    kept = Kept()
    listens = TypedThenHeard(list(TO_A_READING), listener, microphone)
    loop = Loop(work.context, work.state, work.journal, listens, kept, clock)
    loop.run()
    work.journal.close()
    listener.close()
    assert listens.prompts[0].expects is Expects.READING
    (record,) = folder.glob("*.jsonl")
    text = record.read_text(encoding="utf-8")
    assert "[unk]" not in text, "the recognizer's own token is no word of a record"
    entries = [entry for _, entry in parse(text.encode(), record.stem).entries()]
    counted = [one for entry in entries for one in entry.decisions if not isinstance(one, Remarked)]
    return len(counted), kept.talk


def levels_in(folder: Path) -> list[np.ndarray]:
    """Recordings of a folder at 16 kHz, one channel each, at one loudness."""
    return [levels_in_file(path) for path in sorted(folder.glob("*.flac")) if soundfile.info(path).samplerate == RATE]


def levels_in_file(path: Path) -> np.ndarray:
    """One recording."""
    levels, _ = soundfile.read(path, dtype="float64", always_2d=True)
    mono = levels.mean(axis=1)
    return np.asarray(mono / max(1e-3, float(np.sqrt(np.mean(mono**2)))) * 0.08)


def row(pieces: list[np.ndarray], seconds: float, gap: float) -> np.ndarray:
    """Pieces one after another, again and again, with quiet between them."""
    length, parts, at = round(seconds * RATE), [], 0
    have = 0
    while have < length:
        part = np.concatenate([pieces[at % len(pieces)], np.zeros(round(gap * RATE))])
        parts.append(part)
        have += len(part)
        at += 1
    return np.concatenate(parts)[:length]


def radio(talk: np.ndarray, bed: np.ndarray) -> np.ndarray:
    """A voice as a small loudspeaker gives it, over a bed of sound that never stops."""
    spectrum = np.fft.rfft(talk)
    pitch = np.fft.rfftfreq(len(talk), 1 / RATE)
    spectrum[(pitch < 300) | (pitch > 3400)] = 0
    narrow = np.fft.irfft(spectrum, len(talk))
    return np.asarray(np.tanh(narrow * 6) * 0.15 + bed * 0.15)


def kinds(corpus: Path, seconds: float) -> dict[str, np.ndarray]:
    """What a shop sounds like, so many seconds of each."""
    talk, noise = levels_in(corpus / "human/talk"), levels_in(corpus / "noise")
    one, other = row(talk, seconds, 0.4), row(talk[::-1], seconds, 1.1)
    return {
        "tools, rain and engines": row(noise, seconds, 0.25),
        "one who talks to somebody": one,
        "two who talk": one + other,
        "a radio": radio(row(talk[1::2], seconds, 0.2), row(noise, seconds, 0.0)),
    }


KINDS = ("tools, rain and engines", "one who talks to somebody", "two who talk", "a radio")


def check(
    kind: str, seconds: float, corpus: Path, recognizer: Recognizer, vocabulary: Vocabulary, folder: Path
) -> None:
    quiet, _ = logged_from(np.zeros(RATE), recognizer, vocabulary, folder / "quiet")
    number, talk = logged_from(kinds(corpus, seconds)[kind], recognizer, vocabulary, folder / "noise")
    assert number == quiet, talk


@pytest.fixture(autouse=True)
def _lamp(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "shop" / "dialogs").mkdir(parents=True)
    (tmp_path / "shop" / "dialogs" / "lamp.toml").write_text(SMALL, encoding="utf-8")
    monkeypatch.setenv("LEADSMAN_SHOP", str(tmp_path / "shop"))


@pytest.mark.parametrize("kind", KINDS)
def test_noise_at_a_reading_logs_nothing(
    kind: str, speech_corpus: Path, recognizer: Recognizer, vocabulary: Vocabulary, tmp_path: Path
) -> None:
    check(kind, 12.0, speech_corpus, recognizer, vocabulary, tmp_path)


def test_a_reading_said_into_the_same_listener_is_logged(
    speech_corpus: Path, recognizer: Recognizer, vocabulary: Vocabulary, tmp_path: Path
) -> None:
    """So the tests above can fail."""
    volts = [case for case in load_readings(speech_corpus) if case.expectation.unit == "V" and case.kind == "reading"]
    said = [levels_in_file(case.files[0]) for case in volts if 9.5 <= float(case.truth) <= 20][:2]
    quiet, _ = logged_from(np.zeros(RATE), recognizer, vocabulary, tmp_path / "quiet")
    number, talk = logged_from(row(said, 9.0, 2.5), recognizer, vocabulary, tmp_path / "said")
    assert number > quiet, talk


@pytest.mark.sweep
@pytest.mark.parametrize("kind", KINDS)
def test_minutes_of_noise_at_a_reading_log_nothing(
    kind: str, speech_corpus: Path, recognizer: Recognizer, vocabulary: Vocabulary, tmp_path: Path
) -> None:
    check(kind, LONG, speech_corpus, recognizer, vocabulary, tmp_path)
