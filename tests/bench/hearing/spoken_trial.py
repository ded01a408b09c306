"""One demo scene spoken into a virtual room, answer by answer; prints what each reply took as JSON lines.

Run in a process of its own, whose sound library has the virtual sound card before it. The question is cut short once
it has begun, so that a scene takes minutes and not half an hour.
"""

from __future__ import annotations

import json
import subprocess
import sys
import threading
import time
import tomllib
from pathlib import Path
from typing import Any

import numpy as np

from assistant import catalog
from assistant.asr.recognizer import Recognizer
from assistant.audio.player import Player
from assistant.audio.segmenter import Segmenter
from assistant.audio.sound import Sound
from assistant.clock import SystemClock
from assistant.composition import new_session
from assistant.inputs.microphone import LiveListener
from assistant.loop import Loop
from assistant.messages import Expectation, Heard, Hearing, MicrophoneLost
from assistant.phrasing.phrase import Sentence
from assistant.records.store.folder import FolderStore
from assistant.setup.model import model_folder
from assistant.tts.synthesizer import Synthesizer
from assistant.tts.voice import Voice
from assistant.understanding.recognition.completeness import so_far

RATE = 16000
LISTENED = 0.45
"""Seconds of our speech that are played before it is cut."""
PAUSE = 0.5
"""Seconds that a person waits after it."""
LOUD = 300
GAP = 0.03
"""Seconds of silence between the short sound and the speech."""


class Tap:
    """Everything that one sink plays, and when: the least delay of any piece is the delay of all."""

    def __init__(self, source: str) -> None:
        self._process = subprocess.Popen(
            ["parec", "-d", source, "--format=s16le", f"--rate={RATE}", "--channels=1", "--latency-msec=20"],
            stdout=subprocess.PIPE,
        )
        self._pieces: list[bytes] = []
        self._length = 0
        self._begins = float("inf")
        threading.Thread(target=self._read, daemon=True).start()

    def loud(self, since: float) -> np.ndarray:
        """Times of the loud samples since then."""
        levels = np.frombuffer(b"".join(self._pieces), dtype="<i2")
        first = max(0, round((since - self._begins) * RATE))
        return (first + np.flatnonzero(np.abs(levels[first:].astype(np.int32)) > LOUD)) / RATE + self._begins

    def close(self) -> None:
        """End it."""
        self._process.terminate()
        self._process.wait()

    def _read(self) -> None:
        assert self._process.stdout is not None
        while piece := self._process.stdout.read(320):
            self._pieces.append(piece)
            self._length += len(piece) // 2
            self._begins = min(self._begins, time.monotonic() - self._length / RATE)


class Timed:
    """The recognizer, and how long it took last."""

    def __init__(self, recognizer: Recognizer) -> None:
        self._recognizer = recognizer
        self.took = 0.0

    def hear(self, sound: Sound, expectation: Expectation) -> Hearing:
        """Hear one answer."""
        began = time.monotonic()
        hearing = self._recognizer.hear(sound, expectation)
        self.took = time.monotonic() - began
        return hearing

    def prepare(self, expectation: Expectation) -> None:
        """Get ready."""
        self._recognizer.prepare(expectation)


class Listener(LiveListener):
    """The listener, and when it last found that an answer was over."""

    told_end = 0.0

    def _sound(self, segmenter: Segmenter, *, speaking: bool = False) -> tuple[bool, MicrophoneLost | None]:
        over, lost = super()._sound(segmenter, speaking=speaking)
        if over:
            self.told_end = time.monotonic()
        return over, lost


class Trial:
    """The session, the person who answers, and the two taps."""

    def __init__(self, folder: Path, records: Path) -> None:
        self._folder = folder
        scene = tomllib.loads((folder / "scene.toml").read_text(encoding="utf-8"))
        self._answers: list[dict[str, Any]] = scene["answers"]
        self._files = sorted(folder.glob("*.flac"))
        self._at = 0
        self._turn = self._began_first = self._spoken_at = 0.0
        self._vocabulary = catalog.load_vocabulary()
        clock = SystemClock()
        work = new_session(scene["procedure"], FolderStore(records), clock, meter=scene.get("meter"))
        self._work = work
        self._voice = Voice(Synthesizer(), Player(), self.notice, self._cut)
        self._hears = Timed(Recognizer(model_folder(), self._vocabulary))
        self._listener = Listener(clock.now, self._vocabulary, None, lambda: self._hears, self._voice, self.notice)
        self._loop = Loop(
            work.context, work.state, work.journal, self._listener, self, clock, on_listen=self._listening
        )
        self._room, self._speaker = Tap("room.monitor"), Tap("loudspeaker.monitor")
        self._threads: list[threading.Thread] = []
        self._words = ""
        self._asked: Expectation | None = None

    def run(self) -> None:
        """Play it to its end."""
        self._listener.start()
        self._loop.run()
        self._measure()
        self._work.journal.close()
        self._listener.close()
        self._voice.close()
        self._room.close()
        self._speaker.close()

    def notice(self, text: str) -> None:
        """Trouble."""
        print(json.dumps({"notice": text}), flush=True)

    def say(self, at: float, sentence: Sentence) -> None:
        """As a screen does: aloud."""
        self._voice.say(sentence.spoken)
        self._first_began()

    def heard(self, at: float, fact: Heard) -> None:
        """What was understood."""
        self._words = fact.hypotheses[0].words if fact.hypotheses else ""

    def listening(self, expectation: Expectation) -> None:
        """Nothing to show."""

    def _cut(self) -> bool:
        """True once enough of our speech in this turn was played."""
        return self._voice.began > self._turn and time.monotonic() > self._first_began() + LISTENED

    def _first_began(self) -> float:
        """When our speech in this turn began."""
        if self._began_first <= self._turn:
            self._began_first = self._voice.began
        return self._began_first

    def _listening(self, expectation: Expectation) -> None:
        """A question stands: measure the reply before it, and answer."""
        if self._asked is not None:
            self._measure()
        index = self._next(str(expectation.prompt))
        self._asked, self._words = expectation, ""
        if index is not None:
            thread = threading.Thread(target=self._answer, args=(self._files[index],), daemon=True)
            self._threads.append(thread)
            thread.start()

    def _next(self, prompt: str) -> int | None:
        """The answer to a prompt: the next one of that name, else the last one given once more."""
        for index in range(self._at, len(self._answers)):
            if self._answers[index].get("prompt") == prompt:
                self._at = index + 1
                return index
        before = [index for index in range(self._at) if self._answers[index].get("prompt") == prompt]
        return before[-1] if before else None

    def _answer(self, path: Path) -> None:
        time.sleep(PAUSE)
        self._turn = self._began_first = self._spoken_at = time.monotonic()
        subprocess.run(["paplay", "-d", "room", str(path)], check=True)

    def _measure(self) -> None:
        """What the reply to the last answer took."""
        if not self._spoken_at or not self._words or self._asked is None:
            return
        time.sleep(0.15)  # what was played comes through the taps
        room = self._room.loud(self._spoken_at)
        room = room[room < self._listener.told_end]
        if not len(room):
            return
        ended = float(room[-1])
        sounds = self._speaker.loud(ended)
        starts = [float(sounds[0])] if len(sounds) else []
        starts += [float(one) for one in sounds[1:][np.diff(sounds) > GAP]]
        if len(starts) < 2:
            return
        began = self._began_first
        print(
            json.dumps(
                {
                    "words": self._words,
                    "so_far": str(so_far(self._words, self._asked, self._vocabulary)),
                    "tone": starts[0] - ended,
                    "speech": starts[1] - ended,
                    "endpoint": self._listener.told_end - ended,
                    "decode": self._hears.took,
                    "think": began - self._listener.told_end,
                    "device": starts[1] - began,
                }
            ),
            flush=True,
        )


if __name__ == "__main__":
    Trial(Path(sys.argv[1]), Path(sys.argv[2])).run()
