"""One recognizer for many sessions: the most urgent work comes first.

An answer is heard before a grammar is made ready, since somebody waits for it now; answers in the order in which they
came. Grammars are spelled out in the thread that asks for them, so that the recognizer need not wait for that.
"""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable
from concurrent.futures import Future
from enum import IntEnum
from itertools import count
from typing import Any

from assistant.asr.recognizer import Recognizer, closed
from assistant.audio.sound import Samples, sound_of_samples
from assistant.errors import OperatorError
from assistant.messages import Expectation, Hearing


class _Rank(IntEnum):
    """What comes first."""

    CLOSE = 0
    ANSWER = 1
    GRAMMAR = 2


class SharedRecognizer:
    """Recognizes speech for every session; its methods may be called from any thread.

    Args:
        recognizer: does the work, one piece after another.
    """

    def __init__(self, recognizer: Recognizer) -> None:
        self._recognizer = recognizer
        self._waiting: queue.PriorityQueue[tuple[_Rank, int, Callable[[], Any], Future[Any]]] = queue.PriorityQueue()
        self._order = count()
        self._lock = threading.Lock()
        self._closed = False
        self._thread = threading.Thread(target=self._work, name="leadsman-hear", daemon=True)
        self._thread.start()

    def prepare(self, expectation: Expectation) -> None:
        """Get the grammar of a prompt ready; blocks.

        Raises:
            OperatorError: the model cannot be loaded.
        """
        self._recognizer.spell(expectation)
        self._put(_Rank.GRAMMAR, lambda: self._recognizer.prepare(expectation)).result()

    def hear(self, samples: Samples, expectation: Expectation) -> Future[Hearing]:
        """Hear sound at 16 kHz as an answer to a prompt, when its turn comes; one that is cancelled costs nothing."""
        return self._put(_Rank.ANSWER, lambda: self._hear(samples, expectation))

    def close(self) -> None:
        """Accept no more work and drop what is waiting."""
        with self._lock:
            if not self._closed:
                self._closed = True
                self._waiting.put((_Rank.CLOSE, next(self._order), lambda: None, Future()))
        self._thread.join()

    def _put(self, rank: _Rank, work: Callable[[], Any]) -> Future[Any]:
        future: Future[Any] = Future()
        with self._lock:
            if self._closed:
                raise closed()
            self._waiting.put((rank, next(self._order), work, future))
        return future

    def _work(self) -> None:
        while True:
            rank, _, work, future = self._waiting.get()
            if rank is _Rank.CLOSE:
                break
            if not future.set_running_or_notify_cancel():
                continue
            try:
                future.set_result(work())
            except BaseException as error:  # noqa: BLE001 - carried to whoever waits for it
                future.set_exception(error)
        while not self._waiting.empty():
            *_, future = self._waiting.get()
            future.cancel()

    def _hear(self, samples: Samples, expectation: Expectation) -> Hearing:
        try:
            sound = sound_of_samples(samples, where="That")
        except OperatorError:
            return Hearing(())  # too short or silent: nothing was said
        return self._recognizer.hear(sound, expectation)
