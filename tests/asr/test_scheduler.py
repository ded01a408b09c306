"""One recognizer for many sessions: who is heard first."""

from __future__ import annotations

import threading
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest

from assistant.asr.scheduler import SharedRecognizer
from assistant.audio.sound import RATE, Samples, Sound
from assistant.errors import OperatorError
from assistant.messages import Expectation, Expects, Hearing, Hypothesis, check_prompt

PATIENCE = 60.0


class SlowRecognizer:
    """Waits at its first piece of work until it is let on, and notes the order of all."""

    def __init__(self) -> None:
        self.done: list[str] = []
        self.began, self.on = threading.Event(), threading.Event()
        self.spelled: list[tuple[str, str]] = []

    def spell(self, expectation: Expectation) -> None:
        self.spelled.append((expectation.prompt.name, threading.current_thread().name))

    def prepare(self, expectation: Expectation) -> None:
        self._work(f"grammar {expectation.prompt.name}")

    def hear(self, sound: Sound, expectation: Expectation) -> Hearing:
        self._work(f"answer {expectation.prompt.name}")
        if expectation.prompt.name == "broken":
            raise OperatorError("The model is gone.")
        return Hearing((Hypothesis(expectation.prompt.name),))

    def _work(self, name: str) -> None:
        self.began.set()
        assert self.on.wait(PATIENCE)
        self.done.append(name)


def prompt(name: str) -> Expectation:
    return Expectation(Expects.COMMAND, check_prompt(name))


def noise() -> Samples:
    return np.random.default_rng(1).integers(-9000, 9000, RATE).astype(np.int16)


def test_answers_come_before_grammars_and_each_in_its_order() -> None:
    slow = SlowRecognizer()
    hears = SharedRecognizer(slow)  # type: ignore[arg-type]
    first = hears.hear(noise(), prompt("one"))
    assert slow.began.wait(PATIENCE)
    with ThreadPoolExecutor(1) as pool:
        grammar = pool.submit(hears.prepare, prompt("two"))
        while not slow.spelled or hears._waiting.empty():
            pass
        later = [hears.hear(noise(), prompt(name)) for name in ("three", "four")]
        slow.on.set()
        assert [one.result(PATIENCE).hypotheses[0].words for one in (first, *later)] == ["one", "three", "four"]
        grammar.result(PATIENCE)
    hears.close()
    assert slow.done == ["answer one", "answer three", "answer four", "grammar two"]
    assert slow.spelled[0][1] != "leadsman-hear", "a grammar is spelled out where it is asked for"


def test_a_cancelled_answer_costs_nothing() -> None:
    slow = SlowRecognizer()
    hears = SharedRecognizer(slow)  # type: ignore[arg-type]
    first = hears.hear(noise(), prompt("one"))
    assert slow.began.wait(PATIENCE)
    gone, last = hears.hear(noise(), prompt("two")), hears.hear(noise(), prompt("three"))
    assert gone.cancel()
    slow.on.set()
    assert last.result(PATIENCE).hypotheses[0].words == "three"
    assert first.result(PATIENCE).hypotheses[0].words == "one"
    hears.close()
    assert slow.done == ["answer one", "answer three"]


def test_an_error_reaches_whoever_waits_and_the_next_answer_is_heard() -> None:
    slow = SlowRecognizer()
    slow.on.set()
    hears = SharedRecognizer(slow)  # type: ignore[arg-type]
    with pytest.raises(OperatorError, match="The model is gone"):
        hears.hear(noise(), prompt("broken")).result(PATIENCE)
    assert hears.hear(noise(), prompt("next")).result(PATIENCE).hypotheses[0].words == "next"
    assert hears.hear(np.zeros(8000, dtype=np.int16), prompt("silence")).result(PATIENCE) == Hearing(())
    hears.close()
    assert slow.done == ["answer broken", "answer next"]


def test_closing_drops_what_waits_and_accepts_no_more() -> None:
    slow = SlowRecognizer()
    hears = SharedRecognizer(slow)  # type: ignore[arg-type]
    first = hears.hear(noise(), prompt("one"))
    assert slow.began.wait(PATIENCE)
    waits = hears.hear(noise(), prompt("two"))
    with ThreadPoolExecutor(1) as pool:
        closing = pool.submit(hears.close)
        while not hears._closed:
            pass
        slow.on.set()
        closing.result(PATIENCE)
    assert first.result(PATIENCE).hypotheses[0].words == "one"
    assert waits.cancelled()
    hears.close()
    with pytest.raises(OperatorError, match="was closed"):
        hears.hear(noise(), prompt("three"))
