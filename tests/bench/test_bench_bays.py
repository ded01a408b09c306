"""Many bays: how many live voice sessions one core carries, beside what bare vosk decodes on it, and their memory.

Goals: replies within 1.3 s in 95 of 100 answers, with at least 0.9 of the streams that bare vosk decodes on the same
core; bare vosk has to decode whatever the open microphone gives.
"""

from __future__ import annotations

import gc
import os
import sys
import time
import tomllib
from decimal import Decimal
from pathlib import Path

import numpy as np
import pytest
import soundfile

from assistant.asr.recognizer import Recognizer
from assistant.asr.scheduler import SharedHearing
from assistant.audio.sound import RATE
from assistant.audio.vad import FRAME, make_voice
from assistant.clock import SystemClock
from assistant.commands.lead.serving import ShopFloor
from assistant.composition import new_session
from assistant.display.view import standing
from assistant.loop import Loop
from assistant.messages import Expectation, Expects
from assistant.numerals.vocabulary import Vocabulary
from assistant.records.store.folder import FolderStore
from assistant.web.session_worker import Bay
from tests.bench.cases import load_readings
from tests.bench.mixing import case_sound
from tests.bench.real_shop import in_real_time, on_one_core
from tests.bench.shop import Machine, Shop, carried
from tests.bench.test_bench_cost import Bare
from tests.conftest import ROOT

pytestmark = [pytest.mark.bench, pytest.mark.model, pytest.mark.corpus]
EVERY = 12
SLIPS = 1.3
SCENE = ROOT / "demo_sessions" / "backed-off-on-a-disc"
PACES = (
    ("answer upon answer", 1.0, 0.0, 120.0),
    ("a session: 4 s of speech, 8 s of work, an answer", 8.0, 4.0, 300.0),
)
"""Name, seconds of quiet before an answer with the microphone open, seconds of our own speech, seconds simulated."""
BAYS, LISTENING = 64, 16
REAL, REAL_SECONDS = (8, 16, 24), 40.0
"""Sessions at a time in real time."""


class Typed:
    """Answers of a scene, typed; counts them and the processor time between them."""

    def __init__(self, lines: list[str]) -> None:
        self.lines = lines
        self.spent: list[float] = []
        self._began = 0.0

    def listen(self, expectation: Expectation, seconds: float | None) -> object:
        """The next line."""
        from assistant.messages import Heard, Hypothesis, InputEnded, Source

        if self._began:
            self.spent.append(time.process_time() - self._began)
        self._began = time.process_time()
        return Heard(0.0, (Hypothesis(self.lines.pop(0)),), Source.TYPED) if self.lines else InputEnded(0.0)

    def sound_of(self, name: str) -> None:
        """None is kept."""

    def close(self) -> None:
        """Nothing to let go of."""


class Silent:
    """Shows and says nothing."""

    def say(self, at: float, sentence: object) -> None:
        """Nothing."""

    def heard(self, at: float, fact: object) -> None:
        """Nothing."""

    def listening(self, expectation: object) -> None:
        """Nothing."""


def cost_of_a_step(tmp_path: Path) -> float:
    """Mean processor time that one answer takes between being understood and the next question standing."""
    scene = tomllib.loads((SCENE / "scene.toml").read_text(encoding="utf-8"))
    lines = [str(one["typed"]) for one in scene["answers"] if one.get("only") != "sound"]
    work = new_session(scene["procedure"], FolderStore(tmp_path / "steps"), SystemClock(), meter="shop")
    ear = Typed(lines)
    loop = Loop(work.context, work.state, work.journal, ear, Silent(), SystemClock())  # type: ignore[arg-type]
    loop.on_listen = lambda expectation: (standing(work.context, loop.state, expectation), None)[1]
    loop.run()
    work.journal.close()
    return float(np.mean(ear.spent))


def test_bench_many_bays(
    speech_corpus: Path, speech_model: Path, recognizer: Recognizer, vocabulary: Vocabulary, tmp_path: Path
) -> None:
    cases = [case for case in load_readings(speech_corpus) if case.expectation.unit][::EVERY][:24]
    sounds = [(case_sound(case, speech_corpus, "", 0.0).samples, case.expectation) for case in cases]
    machine = Machine(recognizer, vocabulary, cost_of_a_step(tmp_path))
    machine.learn(sounds)
    bare = Bare(speech_model, vocabulary, shaped=True)
    speech = quiet = length = 0.0
    second = np.zeros(RATE, dtype=np.int16).tobytes()
    for samples, expectation in sounds:
        bare.prepare(expectation)
        began = time.process_time()
        bare.hear(samples.tobytes(), expectation)
        speech += time.process_time() - began
        began = time.process_time()
        bare.hear(second, expectation)
        quiet += time.process_time() - began
        length += len(samples) / RATE
    rate, still, mean = speech / length, quiet / len(sounds), length / len(sounds)
    load = os.getloadavg()[0]
    print(
        f"\nlive voice sessions on one core, replies within {SLIPS} s in 95 of 100 (load of this machine {load:.1f})"
    )
    print(
        f"  measured: bare vosk {rate:.3f} s for a second of speech, {still:.3f} s for one of quiet; ours "
        f"{machine.costs.frame / FRAME * RATE:.4f} s to judge a second, {machine.costs.step:.3f} s a step"
    )
    for name, rest, speaks, seconds in PACES:
        count, shop = carried(lambda n, r=rest, s=speaks: Shop(machine, n, r, s), SLIPS, seconds)  # type: ignore[misc]
        round_trip = rest + speaks + mean + float(np.median(shop.replies))
        # bare vosk hears what an open microphone gives: the quiet, the answer, and the half second that ends it
        streams = round_trip / (rate * mean + still * (rest + 0.5))
        print(
            f"  {name}: ours {count}, bare vosk decodes {streams:.1f}, ratio {count / streams:.2f} (goal 0.90); "
            f"reply median {np.median(shop.replies):.2f} s, 95 % {np.percentile(shop.replies, 95):.2f} s, "
            f"{len(shop.replies)} answers, core {shop.busy / seconds:.0%} busy"
        )
    if sys.platform.startswith("linux"):
        for count in REAL:
            shop = Shop(machine, count, 1.0, 0.0)
            shop.run(REAL_SECONDS)
            with on_one_core():
                replies, share = in_real_time(machine, count, 1.0, REAL_SECONDS)
            print(
                f"  {count} answer upon answer in real time, phones and all on one core, {REAL_SECONDS:.0f} s: "
                f"{len(replies)} answers, reply median {np.median(replies):.2f} s, 95 % "
                f"{np.percentile(replies, 95):.2f} s, this process had {share:.0%} of it; simulated "
                f"{len(shop.replies)}, {np.median(shop.replies):.2f} s, {np.percentile(shop.replies, 95):.2f} s"
            )
    alone = Shop(machine, 1, 1.0, 0.0)
    alone.run(120.0)
    share = np.percentile(alone.replies, 95)
    print(f"  one session alone: reply median {np.median(alone.replies):.2f} s, 95 % {share:.2f} s")


def megabytes() -> float:
    """Memory of this process."""
    gc.collect()
    pages = int(Path("/proc/self/statm").read_text(encoding="utf-8").split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="reads /proc")
def test_bench_memory_of_a_session(recognizer: Recognizer, tmp_path: Path) -> None:
    """Sessions on the page in one process: opened, then listening each with a detector and an answer heard."""
    hears = SharedHearing(recognizer)
    floor = ShopFloor(FolderStore(tmp_path / "records"), "shop")
    sound, _ = soundfile.read(SCENE / "02.flac", dtype="int16")
    asked = [Expectation(Expects.READING, unit="ohm", high=Decimal(2000 + n)) for n in range(LISTENING)]
    first = floor.start("trailer-abs-light-on", "0", "", "")
    first.close()
    hears.hear(sound, asked[0]).result()
    taken = [make_voice()]
    taken[0].likelihood(np.zeros(FRAME, dtype=np.int16))
    before = megabytes()
    bays = [Bay(floor.start("trailer-abs-light-on", str(number), "", "")) for number in range(BAYS)]
    for bay in bays:
        bay.start()
    while any(bay.ear.current()[1] is None for bay in bays):
        time.sleep(0.05)
    opened = megabytes()
    for expectation in asked:
        taken.append(make_voice())
        hears.hear(sound, expectation).result()
    listening = megabytes()
    for bay in bays:
        bay.close()
    for bay in bays:
        bay.join()
    hears.close()
    print(f"\nmemory of sessions that share one model, megabytes each ({BAYS} opened, {LISTENING} of them listening)")
    print(f"  opened {(opened - before) / BAYS:.2f}   detector and grammar {(listening - opened) / LISTENING:.2f}")
