"""A shop on one core in real time: the page's own parts and threads, fed with recordings as phones would.

It shows that the shop on the simulated clock keeps the order: a ``microphone_stream`` and ``answers`` of each
session, one loop that takes frames, a thread a session that takes answers a step on, and the shared recognizer. Only
the step itself is stood in for, by as much processor time as it was measured to take.
"""

from __future__ import annotations

import asyncio
import contextlib
import os
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np

from assistant.asr.scheduler import SharedHearing
from assistant.audio.sound import RATE
from assistant.audio.vad import FRAME, make_voice
from assistant.messages import Heard
from assistant.understanding.interpret import interpret
from assistant.web.answers import PageEar
from assistant.web.microphone_stream import Voice
from tests.bench.shop import BLOCK, STEP, Machine


@contextlib.contextmanager
def on_one_core() -> Iterator[None]:
    """Every thread of this process on one core meanwhile."""
    threads = [int(task.name) for task in Path("/proc/self/task").iterdir()]
    before = os.sched_getaffinity(0)
    for thread in threads:
        os.sched_setaffinity(thread, {max(before)})
    try:
        yield
    finally:
        for thread in threads:
            with contextlib.suppress(OSError):
                os.sched_setaffinity(thread, before)


class RealBay:
    """One session: a phone that is spoken into, and the thread that answers.

    Args:
        machine: the recordings, and what a step takes.
        hears: the shared recognizer.
        number: which recording it begins with.
    """

    def __init__(self, machine: Machine, hears: SharedHearing, number: int) -> None:
        self._machine, self._number = machine, number
        self._began = time.monotonic()
        self._ear = PageEar(lambda: time.monotonic() - self._began)
        self._voice = Voice(self._ear, hears, machine.vocabulary, make_voice, self._told)
        self._nothing = asyncio.Event()
        self._spoken_at = 0.0
        self.replies: list[float] = []
        """Seconds from the end of each answer to its reply."""
        self._thread = threading.Thread(target=self._answer, daemon=True)

    async def run(self, begins: float, until: float, rest: float) -> None:
        """Speak one answer upon another until a time."""
        self._thread.start()
        await asyncio.sleep(begins)
        told, turn = 0, 0
        while time.monotonic() < until:
            while self._ear.current()[0] == turn:
                await asyncio.sleep(0.005)
            turn = self._ear.current()[0]
            await self._speak(told, turn, rest)
            told += 1
        self._ear.close()
        await asyncio.to_thread(self._thread.join)
        self._voice.close()

    async def _speak(self, told: int, turn: int, rest: float) -> None:
        spoken = self._machine.spoken[self._number % len(self._machine.spoken)]
        tasks = [asyncio.ensure_future(self._voice.begin(f"answer {told}", turn, "", held=False))]  # type: ignore[arg-type]
        quiet = int(rest / STEP)
        sound = np.concatenate([np.zeros(FRAME * quiet, dtype=np.int16), spoken.samples])
        began = time.monotonic()
        self._spoken_at = began + quiet * STEP + spoken.ends
        for at in range(0, len(sound), BLOCK):
            await asyncio.sleep(max(0.0, began + (at + BLOCK) / RATE - time.monotonic()))
            if self._voice.feed(sound[at : at + BLOCK].tobytes()):
                break
        await self._voice.finish()
        await asyncio.gather(*tasks)

    async def _told(self, message: dict[str, Any]) -> None:
        """A reply to the screen: nothing to show it on."""

    def _answer(self) -> None:
        while True:
            spoken = self._machine.spoken[self._number % len(self._machine.spoken)]
            fact = self._ear.listen(spoken.expectation, None)
            if not isinstance(fact, Heard):
                return
            began = time.thread_time()
            interpret(fact.hypotheses, spoken.expectation, self._machine.vocabulary, snr_db=fact.snr_db)
            while time.thread_time() - began < self._machine.costs.step:
                sum(range(100))
            self.replies.append(time.monotonic() - self._spoken_at)
            self._number += 1


def in_real_time(machine: Machine, sessions: int, rest: float, seconds: float) -> tuple[list[float], float]:
    """Seconds to each reply with so many sessions, and the share of the core that was busy."""
    hears = SharedHearing(machine.recognizer)
    random = np.random.default_rng(5)

    async def all_of_them() -> list[RealBay]:
        asyncio.get_running_loop().set_debug(False)
        until = time.monotonic() + seconds
        bays = [RealBay(machine, hears, number) for number in range(sessions)]
        await asyncio.gather(*(bay.run(float(random.uniform(0, rest + 3)), until, rest) for bay in bays))
        return bays

    began, spent = time.monotonic(), time.process_time()
    bays = asyncio.run(all_of_them())
    share = (time.process_time() - spent) / (time.monotonic() - began)
    hears.close()
    return [reply for bay in bays for reply in bay.replies], share
