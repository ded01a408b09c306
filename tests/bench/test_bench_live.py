"""What hands-free costs: reply latency with its shares, and how many live sessions one core carries.

Sound is fed at the pace at which it was spoken, so the endpoint's silence is exact and the machine's own work is what
is measured. Goals: an acknowledging sound within 0.5 s of the end of the answer, speech within 0.9 s (median)
and 1.3 s (95th percentile); 0.9 of what bare vosk decodes.
"""

from __future__ import annotations

import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import pytest

from assistant.ear.base import Hearing
from assistant.ear.recogniser import Recogniser
from assistant.ear.sound import RATE, Samples, make_sound
from assistant.ear.voice import FRAME, make_voice
from assistant.live.gathering import Gathering
from assistant.meaning.ending import so_far
from assistant.meaning.interpret import interpret
from assistant.messages import Expectation
from assistant.mouth.rendering import Renderer
from assistant.words.lexicon import Lexicon
from tests.bench.cases import Case, load_readings
from tests.bench.mixing import case_sound
from tests.bench.test_bench_cost import Bare

pytestmark = [pytest.mark.bench, pytest.mark.model, pytest.mark.corpus]
EVERY = 12
REPLY = "One one eight zero ohms."
QUIET = np.zeros(FRAME, dtype=np.int16)


class Paced:
    """Feeds one answer frame by frame; time that the machine works beyond a frame's length counts as delay."""

    def __init__(self, recogniser: Recogniser, lexicon: Lexicon) -> None:
        self._recogniser, self._lexicon = recogniser, lexicon
        self._pool = ThreadPoolExecutor(1)
        self._voice = make_voice()
        self.decode = 0.0

    def answer(self, sound: Samples, expectation: Expectation) -> tuple[float, Hearing]:
        """Seconds from the last loud sample to the end found, in real time, and what was heard."""

        def hear(samples: Samples) -> Hearing:
            made = make_sound(samples.astype(np.float32) / np.float32(32768.0), RATE)
            began = time.perf_counter()
            hearing = self._recogniser.hear(made, expectation)
            self.decode = time.perf_counter() - began
            return hearing

        gathering = Gathering(
            self._voice,
            lambda words: so_far(words, expectation, self._lexicon),
            lambda samples: self._pool.submit(hear, samples),
        )
        loud = np.flatnonzero(np.abs(sound.astype(np.int32)) > 0.02 * np.abs(sound.astype(np.int32)).max())
        ends = int(loud[-1]) / RATE
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


def test_bench_reply(speech_corpus: Path, recogniser: Recogniser, lexicon: Lexicon, speech_library: None) -> None:
    cases = [case for case in load_readings(speech_corpus) if case.expectation.unit][::EVERY][:24]
    paced, renderer = Paced(recogniser, lexicon), Renderer()
    renderer.render(REPLY)
    ends, decodes, starts = [], [], []
    for case in cases:
        sound = case_sound(case, speech_corpus, "", 0.0)
        recogniser.prepare(case.expectation)
        end, hearing = paced.answer(sound.samples, case.expectation)
        began = time.perf_counter()
        interpret(hearing.hypotheses, case.expectation, lexicon, snr_db=hearing.snr_db)
        renderer.render(REPLY)
        ends.append(end)
        decodes.append(paced.decode)
        starts.append(time.perf_counter() - began)
    paced.close()
    renderer.close()
    speech = np.array(ends) + np.array(starts)
    print(f"\nreply after the end of {len(cases)} answers, seconds (device latency not counted)")
    print(f"  acknowledging sound   median {np.median(ends):.2f}   95 % {np.percentile(ends, 95):.2f}   goal 0.50")
    print(f"  speech   median {np.median(speech):.2f}   95 % {np.percentile(speech, 95):.2f}   goal 0.9, 1.3")
    shares = [np.median(ends) / np.median(speech), np.median(starts) / np.median(speech)]
    print(f"  shares of it: endpoint (decoding inside it) {shares[0]:.0%}, meaning and speech start {shares[1]:.0%}")
    print(f"  last decoding, which runs inside the endpoint's silence: median {np.median(decodes):.2f}")


def test_bench_many_bays(speech_corpus: Path, speech_model: Path, recogniser: Recogniser, lexicon: Lexicon) -> None:
    """Work for one second of sound: ours (detector, endpoint, every speculative decoding) beside bare vosk."""
    cases: list[Case] = [case for case in load_readings(speech_corpus) if case.expectation.unit][::EVERY][:24]
    bare = Bare(speech_model, lexicon, shaped=True)
    ours = theirs = length = 0.0
    voice = make_voice()
    for case in cases:
        sound = case_sound(case, speech_corpus, "", 0.0).samples
        bare.prepare(case.expectation)
        recogniser.prepare(case.expectation)
        padded = np.concatenate([sound, np.zeros(RATE, dtype=np.int16)])
        length += len(padded) / RATE
        began = time.process_time()
        bare.hear(padded.tobytes(), case.expectation)
        theirs += time.process_time() - began
        began = time.process_time()
        with ThreadPoolExecutor(1) as pool:
            gathering = Gathering(
                voice,
                lambda words, asked=case.expectation: so_far(words, asked, lexicon),  # type: ignore[misc]
                lambda samples, asked=case.expectation: pool.submit(  # type: ignore[misc]
                    lambda: recogniser.hear(make_sound(samples.astype(np.float32) / np.float32(32768.0), RATE), asked)
                ),
            )
            for at in range(0, len(padded) - FRAME, FRAME):
                over = gathering.feed(padded[at : at + FRAME])
                if gathering.silent and not over and gathering._heard is not None:
                    gathering._heard.result()  # in time with the sound it would be done by now
                if over:
                    break
            gathering.hearing()
        ours += time.process_time() - began
    print(f"\nsessions that one core carries, all speaking at once, {length:.0f} s of answers")
    print(
        f"  bare vosk, streaming all of it {length / theirs:.1f}   a live session {length / ours:.1f}   "
        f"ratio {theirs / ours:.2f}   goal 0.90"
    )
