"""What hands-free costs: reply latency with its shares, on paced sound and between the sinks of a sound card.

Sound is fed at the pace at which it was spoken, so the endpoint's silence is exact and the machine's own work is what
is measured. Goals: an acknowledging sound within 0.5 s of the end of the answer, speech within 0.9 s (median)
and 1.3 s (95th percentile).
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from assistant.asr.recognizer import Recognizer
from assistant.audio.endpointer import Waits
from assistant.audio.segmenter import USUAL, Segmenter
from assistant.audio.sound import RATE, Samples, Sound, make_sound
from assistant.audio.vad import FRAME, make_detector
from assistant.messages import Expectation, Hearing
from assistant.numerals.vocabulary import Vocabulary
from assistant.tts.synthesizer import Synthesizer
from assistant.understanding.interpret import interpret
from assistant.understanding.recognition.completeness import so_far
from tests.bench.hearing.cases import load_readings
from tests.bench.hearing.mixing import case_sound
from tests.bench.shop.real_shop import loud_until
from tests.conftest import ROOT, missing
from tests.inputs.sound_card import SoundCard, lacking

pytestmark = [pytest.mark.bench, pytest.mark.model, pytest.mark.corpus]
EVERY = 12
REPLY = "One one eight zero ohms."
SCENES = ("backed-off-on-a-disc", "corroded-plug")
Factory = pytest.TempPathFactory
QUIET = np.zeros(FRAME, dtype=np.int16)


class Paced:
    """Feeds one answer frame by frame; time that the machine works beyond a frame's length counts as delay."""

    def __init__(self, recognizer: Recognizer, vocabulary: Vocabulary) -> None:
        self._recognizer, self._vocabulary = recognizer, vocabulary
        self._pool = ThreadPoolExecutor(1)
        self._voice = make_detector()
        self.decode = 0.0

    def answer(self, sound: Samples, expectation: Expectation) -> tuple[float, Hearing]:
        """Seconds from the last loud sample to the end found, in real time, and what was heard."""

        def hear(samples: Samples) -> Hearing:
            began = time.perf_counter()
            hearing = self._recognizer.hear(made_of(samples), expectation)
            self.decode = time.perf_counter() - began
            return hearing

        gathering = Segmenter(
            self._voice,
            lambda words: so_far(words, expectation, self._vocabulary),
            lambda samples: self._pool.submit(hear, samples),
        )
        ends = loud_until(sound)
        frames = [sound[at : at + FRAME] for at in range(0, len(sound) - FRAME, FRAME)] + [QUIET] * 100
        start = time.perf_counter()
        for number, frame in enumerate(frames):
            due = start + (number + 1) * FRAME / RATE
            time.sleep(max(0.0, due - time.perf_counter()))
            if gathering.feed(frame):
                break
        hearing = gathering.hearing()
        return time.perf_counter() - start - ends, hearing

    def close(self) -> None:
        """End its thread."""
        self._pool.shutdown()


def test_bench_reply(
    speech_corpus: Path, recognizer: Recognizer, vocabulary: Vocabulary, speech_library: None
) -> None:
    cases = [case for case in load_readings(speech_corpus) if case.expectation.unit][::EVERY][:24]
    paced, synthesizer = Paced(recognizer, vocabulary), Synthesizer()
    synthesizer.synthesize(REPLY)
    ends, decodes, starts = [], [], []
    for case in cases:
        sound = case_sound(case, speech_corpus, "", 0.0)
        recognizer.prepare(case.expectation)
        end, hearing = paced.answer(sound.samples, case.expectation)
        began = time.perf_counter()
        interpret(hearing.hypotheses, case.expectation, vocabulary, snr_db=hearing.snr_db)
        synthesizer.synthesize(REPLY)
        ends.append(end)
        decodes.append(paced.decode)
        starts.append(time.perf_counter() - began)
    paced.close()
    synthesizer.close()
    speech = np.array(ends) + np.array(starts)
    print(f"\nreply after the end of {len(cases)} answers, seconds (device latency not counted)")
    print(f"  acknowledging sound   median {np.median(ends):.2f}   95 % {np.percentile(ends, 95):.2f}   goal 0.50")
    print(f"  speech   median {np.median(speech):.2f}   95 % {np.percentile(speech, 95):.2f}   goal 0.9, 1.3")
    shares = [np.median(ends) / np.median(speech), np.median(starts) / np.median(speech)]
    print(f"  shares of it: endpoint (decoding inside it) {shares[0]:.0%}, meaning and speech start {shares[1]:.0%}")
    print(f"  last decoding, which runs inside the endpoint's silence: median {np.median(decodes):.2f}")


def test_bench_answers_cut_short(speech_corpus: Path, recognizer: Recognizer, vocabulary: Vocabulary) -> None:
    """Answers that were taken for over too early: with the shorter wait and with the longer."""
    cases = load_readings(speech_corpus)[::4]
    print(f"\nanswers found to be over before their last word, of {len(cases)} recordings")
    for waits in (USUAL, Waits()):
        cut = []
        for case in cases:
            samples = case_sound(case, speech_corpus, "", 0.0).samples

            def decode(heard: Samples, asked: Expectation = case.expectation) -> Future[Hearing]:
                future: Future[Hearing] = Future()
                future.set_result(recognizer.hear(made_of(heard), asked))
                return future

            gathering = Segmenter(
                make_detector(),
                lambda words, asked=case.expectation: so_far(words, asked, vocabulary),  # type: ignore[misc]
                decode,
                waits,
            )
            whole = np.concatenate([samples, np.tile(QUIET, 100)])
            frames = range(0, len(whole) - FRAME, FRAME)
            over = next((at for at in frames if gathering.feed(whole[at : at + FRAME])), None)
            if over is not None and over / RATE < loud_until(samples):
                cut.append(f"{case.said} ({gathering.hearing().hypotheses[0].words})")
        print(f"  {waits.whole:.2f} s behind a whole answer: {len(cut)}  {'; '.join(cut[:6])}")


def made_of(samples: Samples) -> Sound:
    """Sixteen-bit samples as the recognizer takes them."""
    return make_sound(samples.astype(np.float32) / np.float32(32768.0), RATE)


def test_bench_reply_on_a_sound_card(speech_model: Path, speech_library: None, tmp_path_factory: Factory) -> None:
    """A scene spoken into a virtual room, the whole program between its microphone and its loudspeaker."""
    if why := lacking():
        missing(why)
    rows: list[dict[str, Any]] = []
    load = os.getloadavg()[0]
    tmp_path = tmp_path_factory.mktemp("card")  # a socket's path must be short
    sound_card = SoundCard(tmp_path)
    for scene in SCENES:
        folders = [str(ROOT / "demo_sessions" / scene), str(tmp_path / scene)]
        done = subprocess.run(
            [sys.executable, "-m", "tests.bench.hearing.spoken_trial", *folders],
            env=sound_card.environment, cwd=ROOT, capture_output=True, text=True, check=False, timeout=900,
        )  # fmt: skip
        rows += [row for line in done.stdout.splitlines() if "tone" in (row := json.loads(line))]
        assert rows, done.stderr
    sound_card.close()
    tone, speech = (np.array([row[name] for row in rows]) for name in ("tone", "speech"))
    print(f"\nreply between two sinks of a virtual sound card, {len(rows)} answers, load {load:.1f}, seconds")
    print(f"  short sound {_spread(tone)}   within 0.5 s: {np.mean(tone <= 0.5):.0%}   goal 0.5")
    print(f"  speech      {_spread(speech)}   goals 0.9, 1.3")
    for kind in ("whole", "may_go_on"):
        some = np.array([row["tone"] for row in rows if row["so_far"] == kind])
        if len(some):
            print(f"    short sound behind an answer that is {kind.replace('_', ' ')}: {len(some)}, {_spread(some)}")
    total = float(np.mean(speech))
    parts = {name: float(np.mean([row[name] for row in rows])) for name in ("endpoint", "think", "device")}
    told = ", ".join(f"{name} {value:.2f} ({value / total:.0%})" for name, value in parts.items())
    print(
        f"  mean shares of speech: {told}; decoding, inside the endpoint {np.mean([r['decode'] for r in rows]):.2f}"
    )


def _spread(values: np.ndarray) -> str:
    return f"median {np.median(values):.2f}   95 % {np.percentile(values, 95):.2f}"
