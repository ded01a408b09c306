"""A shop on one core in real time: the page's own sessions and threads, spoken into as by so many phones.

Each phone speaks a demo scene, prompt by prompt, through a ``microphone_stream`` of its own into a session of its own
(``session_worker``), all heard by the one shared recognizer and recorded as always. Nothing is stood in for.
"""

from __future__ import annotations

import asyncio
import contextlib
import os
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np

from assistant.asr.scheduler import SharedRecognizer
from assistant.audio.sound import RATE, Samples, read_sound
from assistant.audio.vad import make_detector
from assistant.commands.lead.serving import ShopFloor
from assistant.scenes import StoredScene
from assistant.web.microphone_stream import MicrophoneStream
from assistant.web.session_worker import SessionWorker

BLOCK = 1024
"""Samples that a phone sends at a time."""
LISTENS_ON = 4.0
"""Seconds of quiet behind each answer: more than any endpoint waits."""
LOUD = 0.02
"""Share of its loudest sample above which a recording is not yet over."""
LOOK = 0.005
"""Seconds between two looks whether the next question stands."""


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


def loud_until(samples: Samples) -> float:
    """Seconds from the beginning of a recording to its last loud sample."""
    levels = np.abs(samples.astype(np.int32))
    return int(np.flatnonzero(levels > LOUD * levels.max())[-1]) / RATE


class Phone:
    """Speaks a scene into one session after another.

    Args:
        floor: opens sessions.
        hears: the shared recognizer.
        scene: what is said.
        rest: seconds of quiet before each answer, with the microphone open.
        speaks: seconds before that in which the reply is spoken and the microphone closed.
    """

    def __init__(
        self, floor: ShopFloor, hears: SharedRecognizer, scene: StoredScene, *, rest: float, speaks: float
    ) -> None:
        self._floor, self._hears, self._scene, self._rest, self._speaks = floor, hears, scene, rest, speaks
        self._sounds = {path: read_sound(path).samples for _, path in scene.spoken}
        self._fate = ""
        self.replies: list[float] = []
        """Seconds from the end of each answer that was taken to the next question."""

    async def run(self, begins: float, until: float) -> None:
        """Speak until a time."""
        await asyncio.sleep(begins)
        while time.monotonic() < until:
            opened = await asyncio.to_thread(self._floor.start, self._scene.scene.procedure, "", "shop", "")
            bay = SessionWorker(opened)
            voice = MicrophoneStream(bay.listener, self._hears, bay.vocabulary, make_detector, self._told)
            bay.start()
            try:
                await self._session(bay, voice, until)
            finally:
                bay.close()
                await asyncio.to_thread(bay.join)
                voice.close()

    async def _session(self, bay: SessionWorker, voice: MicrophoneStream, until: float) -> None:
        left = list(self._scene.spoken)
        turn, said = 0, 0
        answer: Path | None = None
        while bay.running and time.monotonic() < until:
            now, expectation = bay.listener.current()
            if now == turn or expectation is None:
                await asyncio.sleep(LOOK)
                continue
            turn, asked = now, str(expectation.prompt)
            at = next((at for at, (one, _) in enumerate(left) if one.prompt == asked), None)
            if at is not None:
                answer = left[at][1]
                del left[: at + 1]
            if answer is None:
                return
            self._fate = ""
            while self._fate in ("", "nothing") and bay.running and time.monotonic() < until:
                ended = await self._speak(voice, f"answer {said}", turn, asked, self._sounds[answer])
                said += 1
            while bay.running and bay.listener.current()[0] == turn and time.monotonic() < until:
                await asyncio.sleep(LOOK)
            if self._fate == "taken" and bay.listener.current()[0] != turn:
                self.replies.append(time.monotonic() - ended)

    async def _speak(self, voice: MicrophoneStream, identity: str, turn: int, prompt: str, samples: Samples) -> float:
        """Speak one answer; returns when its last loud sample was."""
        await asyncio.sleep(self._speaks)
        preparing = asyncio.ensure_future(voice.begin(identity, turn, prompt, held=False))
        quiet = np.zeros(int(self._rest * RATE), dtype=np.int16)
        sound = np.concatenate([quiet, samples, np.zeros(int(LISTENS_ON * RATE), dtype=np.int16)])
        began = time.monotonic()
        for at in range(0, len(sound), BLOCK):
            await asyncio.sleep(max(0.0, began + (at + BLOCK) / RATE - time.monotonic()))
            if voice.feed(sound[at : at + BLOCK].tobytes()):
                break
        await voice.finish()
        await preparing
        return began + self._rest + loud_until(samples)

    async def _told(self, message: dict[str, Any]) -> None:
        """A reply to the screen."""
        if message["kind"] in ("fate", "nothing"):
            self._fate = message.get("fate", "nothing")


def in_real_time(phones: list[Phone], seconds: float) -> tuple[list[float], float]:
    """Seconds to each reply with so many phones at work, and the share of a core that this process was busy."""
    random = np.random.default_rng(5)

    async def all_of_them() -> None:
        until = time.monotonic() + seconds
        await asyncio.gather(*(phone.run(float(random.uniform(0.0, 4.0)), until) for phone in phones))

    began, spent = time.monotonic(), time.process_time()
    asyncio.run(all_of_them())
    share = (time.process_time() - spent) / (time.monotonic() - began)
    return [reply for phone in phones for reply in phone.replies], share
