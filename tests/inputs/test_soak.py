"""Two hours' worth of answers, as fast as they can be heard: memory flat, no thread and no file left over."""

from __future__ import annotations

import os
import sys
import threading
from decimal import Decimal
from pathlib import Path

import pytest
import soundfile

from assistant.asr.recognizer import Recognizer
from assistant.audio.vad import FRAME
from assistant.inputs.microphone import LiveListener
from assistant.messages import Expectation, Expects, Heard
from assistant.numerals.vocabulary import Vocabulary
from assistant.tts.voice import Voice
from tests.conftest import ROOT
from tests.inputs.fakes import SILENCE, FakeKeyboard, FakeMicrophone, FakePlayer, FakeSynthesizer

ANSWERS = 480
"""One every fifteen seconds for two hours."""
WARM = 40
GROWTH_MB = 8.0

pytestmark = pytest.mark.skipif(not sys.platform.startswith("linux"), reason="reads /proc")


def megabytes() -> float:
    pages = int(Path("/proc/self/statm").read_text(encoding="utf-8").split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


@pytest.mark.sweep
@pytest.mark.model
def test_two_hours_of_answers(recognizer: Recognizer, vocabulary: Vocabulary) -> None:
    running = set(threading.enumerate())  # of other tests in this process
    sound, _ = soundfile.read(ROOT / "demo_sessions" / "backed-off-on-a-disc" / "02.flac", dtype="int16")
    asked = Expectation(Expects.READING, unit="ohm", span=(Decimal(0), Decimal(20000)))
    microphone = FakeMicrophone()
    voice = Voice(FakeSynthesizer(), FakePlayer(), print)
    listener = LiveListener(
        lambda: 1.0, vocabulary, FakeKeyboard(), lambda: recognizer, voice, print, lambda _: microphone
    )  # fmt: skip
    listener.start()
    before, files, heard = 0.0, 0, 0
    for number in range(ANSWERS):
        if number == WARM:
            before, files = megabytes(), len(os.listdir("/proc/self/fd"))  # noqa: PTH208
        microphone.put(20, SILENCE)
        for at in range(0, len(sound) - FRAME, FRAME):
            microphone.put(1, sound[at : at + FRAME])
        microphone.put(80, SILENCE)
        heard += isinstance(listener.listen(asked, 60.0), Heard)
        microphone.queue.clear()
        voice.say("Logged.")
    assert heard > ANSWERS * 0.9
    assert megabytes() - before < GROWTH_MB
    assert len(os.listdir("/proc/self/fd")) <= files  # noqa: PTH208
    listener.close()
    voice.close()
    left = [one.name for one in threading.enumerate() if one.name.startswith("leadsman-") and one not in running]
    assert [name for name in left if not name.startswith("leadsman-recognizer")] == [], "that one is the fixture's"
