"""Answers on the page: they come from any screen, and each counts only for the prompt that it was made for.

A prompt has a running number, the *turn*. The first answer to a turn is taken; the rest learn that another came
first, and an answer to an earlier turn learns that the question has changed. Sending the same answer twice, by its
own identity, gives the same reply and is taken once.
"""

from __future__ import annotations

import contextlib
import threading
import time
from collections import OrderedDict, deque
from collections.abc import Callable, Iterator
from concurrent.futures import Future
from dataclasses import dataclass, field

from assistant.audio.recent import RecentAudio
from assistant.audio.sound import Samples
from assistant.messages import Expectation, Fact, Heard, Hypothesis, InputEnded, Prompt, Source, WentQuiet

REMEMBERED = 512
"""Answers whose fate is kept for a screen that sends one again."""


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer from a screen."""

    id: str
    """Made by the screen, never used twice."""
    turn: int
    """Running number of the prompt it answers."""
    prompt: str
    hypotheses: tuple[Hypothesis, ...]
    """Best first; a typed answer has exactly one."""
    snr_db: float | None = None
    """Signal-to-noise ratio in decibels, None when it was typed."""
    samples: Samples | None = field(default=None, compare=False, repr=False)
    """The sound at 16 kHz, None when it was typed."""

    @property
    def words(self) -> str:
        """The best guess."""
        return self.hypotheses[0].words if self.hypotheses else ""


@dataclass(frozen=True, slots=True)
class Fate:
    """What became of an answer."""

    name: str
    """``taken``, ``other`` (another answer came first), ``late`` (the question has changed), ``closed`` (the session
    is), or ``away``: the machine is closing, and the screen keeps its answer for when it is back."""
    words: str = ""
    """The words that were taken for that turn, where they are known."""


class PageListener:
    """Waits for answers that screens offer.

    Args:
        now: seconds since the session began.
    """

    def __init__(self, now: Callable[[], float]) -> None:
        self._now = now
        self._changed = threading.Condition()
        self._turn = 0
        self._expectation: Expectation | None = None
        self._listening = False
        self._answered = False
        self._taken: Answer | None = None
        self._waiting: list[tuple[Answer, Future[Fate]]] = []
        self._brought: deque[Fact] = deque()
        self._handled: list[Future[None]] = []
        self._prompts: OrderedDict[int, Prompt] = OrderedDict()
        self._fates: OrderedDict[str, Future[Fate]] = OrderedDict()
        self._winners: OrderedDict[int, str] = OrderedDict()
        self._sounds = RecentAudio("page")
        self._speaking = 0
        self._closed = self._away = False

    def expect(self, expectation: Expectation) -> int:
        """Turn of a prompt that is about to be listened for: a new one after an answer or when the prompt changed."""
        with self._changed:
            if self._answered or expectation != self._expectation:
                self._turn += 1
                self._expectation, self._answered = expectation, False
                self._prompts[self._turn] = expectation.prompt
                while len(self._prompts) > REMEMBERED:
                    self._prompts.popitem(last=False)
            return self._turn

    def current(self) -> tuple[int, Expectation | None]:
        """The turn and what it expects."""
        with self._changed:
            return self._turn, self._expectation

    def listen(self, expectation: Expectation, seconds: float | None) -> Fact:
        """Wait for an answer to this prompt. While somebody is speaking into a screen it does not go quiet."""
        self.expect(expectation)
        with self._changed:
            if not self._brought:
                self._all_handled()
            self._listening = True
            self._settle()
            self._wait(seconds)
            self._listening = False
            if self._brought and self._taken is None and not self._closed:
                return self._brought.popleft()
            if self._taken is not None:
                answer, self._taken = self._taken, None
                return Heard(self._now(), answer.hypotheses, Source.PAGE, answer.snr_db, self._name_of(answer))
            return InputEnded(self._now()) if self._closed else WentQuiet(self._now())

    def offer(self, answer: Answer) -> Future[Fate]:
        """Hand in an answer; the future holds its fate, at once or when the session listens to that prompt again."""
        with self._changed:
            known = self._fates.get(answer.id)
            if known is not None:
                return known
            future: Future[Fate] = Future()
            self._fates[answer.id] = future
            while len(self._fates) > REMEMBERED:
                self._fates.popitem(last=False)
            self._waiting.append((answer, future))
            if self._listening or self._closed or self._answered or not self._fits(answer):
                self._settle()
            return future

    def bring(self, fact: Fact) -> Future[None]:
        """Hand in something that is no answer, such as a photo; done once the session dealt with it, or closed."""
        future: Future[None] = Future()
        with self._changed:
            if self._closed:
                future.set_result(None)
                return future
            self._handled.append(future)
            self._brought.append(fact)
            self._changed.notify_all()
        return future

    def prompt_at(self, turn: int) -> Prompt | None:
        """What was asked at a turn, None when that is not remembered."""
        with self._changed:
            return self._prompts.get(turn)

    def sound_of(self, name: str) -> tuple[Samples, int] | None:
        """The sound of a spoken answer and its samples a second, None when it is not remembered."""
        with self._changed:
            return self._sounds.find(name)

    def fate_of(self, answer_id: str) -> Future[Fate] | None:
        """What became, or will become, of an answer that was handed in before."""
        with self._changed:
            return self._fates.get(answer_id)

    @contextlib.contextmanager
    def speaking(self) -> Iterator[None]:
        """While somebody speaks or is being understood, silence is not counted."""
        with self._changed:
            self._speaking += 1
        try:
            yield
        finally:
            with self._changed:
                self._speaking -= 1
                self._changed.notify_all()

    def close(self, *, away: bool = False) -> None:
        """Take no more answers: whoever waits learns that the input ended.

        Args:
            away: True where the machine closes and the session does not: screens keep what was not taken.
        """
        with self._changed:
            self._closed, self._away = True, self._away or away
            self._brought.clear()
            self._all_handled()
            self._settle()
            self._changed.notify_all()

    def _all_handled(self) -> None:
        """Whatever was brought is dealt with: the session listens again, or never will."""
        for future in self._handled:
            future.set_result(None)
        self._handled.clear()

    def _name_of(self, answer: Answer) -> str:
        """The name under which the sound of an answer is remembered from here, '' for a typed one."""
        return "" if answer.samples is None else self._sounds.keep(answer.samples)

    def _wait(self, seconds: float | None) -> None:
        deadline = None if seconds is None else time.monotonic() + seconds
        while self._taken is None and not self._closed and not self._brought:
            if self._speaking and deadline is not None:
                self._changed.wait()
                deadline = time.monotonic() + (seconds or 0.0)
                continue
            left = None if deadline is None else deadline - time.monotonic()
            if left is not None and left <= 0:
                return
            self._changed.wait(left)

    def _settle(self) -> None:
        """Decide on everything that was handed in."""
        for answer, future in self._waiting:
            future.set_result(self._decide(answer))
        self._waiting.clear()

    def _decide(self, answer: Answer) -> Fate:
        if answer.turn in self._winners:
            return Fate("other", self._winners[answer.turn])
        if self._closed:
            return Fate("away" if self._away else "closed")
        if not self._fits(answer):
            return Fate("late")
        self._answered, self._taken = True, answer
        self._winners[answer.turn] = answer.words
        while len(self._winners) > REMEMBERED:
            self._winners.popitem(last=False)
        self._changed.notify_all()
        return Fate("taken", answer.words)

    def _fits(self, answer: Answer) -> bool:
        """True for an answer to the current prompt."""
        prompt = str(self._expectation.prompt) if self._expectation is not None else ""
        return answer.turn == self._turn and answer.prompt == prompt
