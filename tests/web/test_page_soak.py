"""Two hours' worth of answers on the page, as fast as they are taken: memory flat, no thread or file left over."""

from __future__ import annotations

import gc
import os
import sys
import threading
from pathlib import Path

import pytest

from tests.inputs.sound_card import until
from tests.web.conftest import FakeHearing, FloorMaker, Line, noise, voice
from tests.web.test_websocket import speak

ANSWERS = 480
"""One every fifteen seconds for two hours."""
WARM = 60
EACH = 20
"""Answers after which the phone sleeps and comes back."""
GROWTH_MB = 8.0

pytestmark = [pytest.mark.sweep, pytest.mark.skipif(not sys.platform.startswith("linux"), reason="reads /proc")]


def megabytes() -> float:
    gc.collect()
    pages = int(Path("/proc/self/statm").read_text(encoding="utf-8").split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


def held() -> tuple[int, int]:
    """Threads and open files of this process."""
    return threading.active_count(), len(list(Path("/proc/self/fd").iterdir()))


def test_two_hours_of_answers_on_the_page(make_floor: FloorMaker) -> None:
    """Typed and spoken in turn, held and resumed, over a line that breaks every few minutes."""
    hearing = FakeHearing(*(["resume"] * ANSWERS))
    floor = make_floor(hearing=hearing, keep_sound=True)
    floor.pair()
    session = floor.start()
    worker = floor.house.workers.find(session)
    assert worker is not None
    sound = noise(0.2) + voice(0.4) + noise(0.2)
    before, holds, done, epoch, seen = 0.0, (0, 0), 0, "", 0
    while done < ANSWERS:
        with floor.talk(session) as socket:
            line = Line(socket, epoch, seen)
            epoch = line.welcome["epoch"]
            until(lambda: worker.listener.current()[1] is not None, "its first question")  # asked by its own thread
            turn = worker.listener.current()[0]
            for _ in range(EACH // 2):
                expected = worker.listener.current()[1]
                assert expected is not None
                line.answer(f"typed-answer-{done}", {"turn": turn, "prompt": str(expected.prompt)}, "hold on")
                assert line.fate(f"typed-answer-{done}")["fate"] == "taken"
                standing = line.standing(turn + 1)
                speak(line, f"spoken-answer-{done}", standing, sound, held=True)
                assert line.fate(f"spoken-answer-{done}")["fate"] == "taken"
                turn = line.standing(turn + 2)["turn"]
                done += 2
            seen = max(one["seq"] for one in line.seen if "seq" in one)
            line.seen.clear()
        if done == WARM:
            before, holds = megabytes(), held()
    assert megabytes() - before < GROWTH_MB
    threads, files = held()
    assert threads <= holds[0]
    assert files <= holds[1]
    floor.post("/api/leave", {"id": session})
    assert not worker.running
    assert [one.name for one in threading.enumerate() if one.name.startswith("leadsman-worker")] == []
