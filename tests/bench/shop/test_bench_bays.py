"""Many bays: how many live voice sessions one core carries, beside what bare vosk decodes on it, and their memory.

Goals: replies within 1.3 s in 95 of 100 answers, with at least 0.9 of the streams that bare vosk decodes on the same
core; bare vosk has to decode whatever the open microphone gives.
"""

from __future__ import annotations

import gc
import os
import sys
import time
from decimal import Decimal
from pathlib import Path

import numpy as np
import pytest
import soundfile

from assistant.asr.recognizer import Recognizer
from assistant.asr.scheduler import SharedRecognizer
from assistant.audio.sound import RATE, read_sound
from assistant.audio.vad import FRAME, make_detector
from assistant.commands.lead.serving import ShopFloor
from assistant.messages import Expectation, Expects
from assistant.numerals.vocabulary import Vocabulary
from assistant.records.store.folder import FolderStore
from assistant.scenes import load_scene
from assistant.web.session_worker import SessionWorker
from tests.bench.hearing.cases import load_readings
from tests.bench.hearing.mixing import case_sound
from tests.bench.hearing.test_bench_cost import Bare
from tests.bench.shop.real_shop import Phone, in_real_time, loud_until, on_one_core
from tests.conftest import ROOT

pytestmark = [pytest.mark.bench, pytest.mark.model, pytest.mark.corpus]
EVERY = 12
SLIPS = 1.3
SCENE = ROOT / "demo_sessions" / "backed-off-on-a-disc"
PACES = (("answer upon answer", 1.0, 0.0), ("a session: 4 s of speech, 8 s of work, an answer", 8.0, 4.0))
"""Name, seconds of quiet before an answer with the microphone open, seconds of our own speech."""
COUNTS, SECONDS = (4, 8, 16), 60.0
"""Sessions at a time, the last as many as one machine runs (``session_worker.MOST_RUNNING``), and for how long."""
BAYS, LISTENING = 64, 16


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="keeps to one core")
def test_bench_many_bays(
    speech_corpus: Path, speech_model: Path, recognizer: Recognizer, vocabulary: Vocabulary, tmp_path: Path
) -> None:
    rate, still = cost_of_bare_vosk(speech_corpus, speech_model, vocabulary)
    scene = load_scene(SCENE.name)
    hears = SharedRecognizer(recognizer)
    mean = float(np.mean([loud_until(read_sound(path).samples) for _, path in scene.spoken]))
    load = os.getloadavg()[0]
    print(
        f"\nlive voice sessions on one core, replies within {SLIPS} s in 95 of 100 (load {load:.1f}); "
        f"bare vosk takes {rate:.3f} s for a second of speech, {still:.3f} s for one of quiet"
    )
    for name, rest, speaks in PACES:
        carried, replied = 0, 0.0
        for count in COUNTS:
            floor = ShopFloor(FolderStore(tmp_path / f"{count} {rest}"), "shop")
            phones = [Phone(floor, hears, scene, rest=rest, speaks=speaks) for _ in range(count)]
            with on_one_core():
                replies, share = in_real_time(phones, SECONDS)
            median, late = np.percentile(replies, [50, 95])
            if late <= SLIPS:
                carried, replied = count, float(median)
            print(
                f"  {name}, {count} sessions for {SECONDS:.0f} s: {len(replies)} answers, "
                f"reply median {median:.2f} s, 95 % {late:.2f} s, this process had {share:.0%} of the core",
                flush=True,
            )
        # bare vosk hears what an open microphone gives: the quiet, the answer, and the half second that ends it
        streams = (rest + speaks + mean + replied) / (rate * mean + still * (rest + 0.5))
        told = (
            "as many as one machine runs" if carried == COUNTS[-1] else f"ratio {carried / streams:.2f} (goal 0.90)"
        )
        print(f"  {name}: ours {carried}, bare vosk decodes {streams:.1f}: {told}")
    hears.close()


def cost_of_bare_vosk(corpus: Path, model: Path, vocabulary: Vocabulary) -> tuple[float, float]:
    """Processor seconds in which bare vosk decodes a second of speech, and one of quiet."""
    bare = Bare(model, vocabulary, shaped=True)
    second = np.zeros(RATE, dtype=np.int16).tobytes()
    cases = [case for case in load_readings(corpus) if case.expectation.unit][::EVERY][:24]
    speech = quiet = length = 0.0
    for case in cases:
        samples = case_sound(case, corpus, "", 0.0).samples
        bare.prepare(case.expectation)
        began = time.process_time()
        bare.hear(samples.tobytes(), case.expectation)
        between = time.process_time()
        bare.hear(second, case.expectation)
        speech, quiet = speech + between - began, quiet + time.process_time() - between
        length += len(samples) / RATE
    return speech / length, quiet / len(cases)


def megabytes() -> float:
    """Memory of this process."""
    gc.collect()
    pages = int(Path("/proc/self/statm").read_text(encoding="utf-8").split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="reads /proc")
def test_bench_memory_of_a_session(recognizer: Recognizer, tmp_path: Path) -> None:
    """Sessions on the page in one process: opened, then listening each with a detector and an answer heard."""
    hears = SharedRecognizer(recognizer)
    floor = ShopFloor(FolderStore(tmp_path / "records"), "shop")
    sound, _ = soundfile.read(SCENE / "02.flac", dtype="int16")
    asked = [Expectation(Expects.READING, unit="ohm", high=Decimal(2000 + n)) for n in range(LISTENING)]
    first = floor.start("trailer-abs-light-on", "0", "", "")
    first.close()
    hears.hear(sound, asked[0]).result()
    taken = [make_detector()]
    taken[0].likelihood(np.zeros(FRAME, dtype=np.int16))
    before = megabytes()
    bays = [SessionWorker(floor.start("trailer-abs-light-on", str(number), "", "")) for number in range(BAYS)]
    for bay in bays:
        bay.start()
    while any(bay.listener.current()[1] is None for bay in bays):
        time.sleep(0.05)
    opened = megabytes()
    for expectation in asked:
        taken.append(make_detector())
        hears.hear(sound, expectation).result()
    listening = megabytes()
    for bay in bays:
        bay.close()
    for bay in bays:
        bay.join()
    hears.close()
    print(f"\nmemory of sessions that share one model, megabytes each ({BAYS} opened, {LISTENING} of them listening)")
    print(f"  opened {(opened - before) / BAYS:.2f}   detector and grammar {(listening - opened) / LISTENING:.2f}")
