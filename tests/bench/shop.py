"""A shop on one core: live sessions side by side on a simulated clock, each piece of work at its measured cost.

One server takes one piece of work after another: a frame of sound first, whichever session it is from, then answers
to be heard and prompts to be got ready in the order in which they came. Frames go through the real endpoint; what the
recogniser says, and the processor time that it took, are measured once for each piece of sound and used again.
"""

from __future__ import annotations

import heapq
import itertools
import time
from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import Future
from dataclasses import dataclass, field

import numpy as np

from assistant.ear.base import Hearing
from assistant.ear.recogniser import KEPT, Recogniser
from assistant.ear.sound import RATE, Samples, make_sound
from assistant.ear.voice import FRAME, Voice, make_voice
from assistant.errors import OperatorError
from assistant.live.gathering import NOTHING, Gathering
from assistant.meaning.ending import so_far
from assistant.meaning.interpret import interpret
from assistant.messages import Expectation
from assistant.words.lexicon import Lexicon

STEP = FRAME / RATE
LISTENS_ON = 4.0
"""Seconds of quiet behind each recording: more than any endpoint waits."""


@dataclass(frozen=True, slots=True)
class Spoken:
    """One recorded answer."""

    samples: Samples
    expectation: Expectation
    likelihoods: tuple[float, ...]
    """Of a voice, frame by frame, the quiet behind it too."""
    ends: float
    """Seconds from its beginning to its last loud sample."""


@dataclass
class Costs:
    """Processor time, measured: seconds."""

    frame: float = 0.0
    """To judge one frame."""
    step: float = 0.0
    """To take one answer a step on: engine, record and what the screen shows."""
    hear: dict[tuple[int, int], tuple[float, Hearing]] = field(default_factory=dict)
    """To hear a recording up to a sample, and what was heard."""
    build: dict[Expectation, float] = field(default_factory=dict)
    """To build the grammar of a prompt."""


class Machine:
    """Measures each piece of work once."""

    def __init__(self, recogniser: Recogniser, lexicon: Lexicon, step: float) -> None:
        self.recogniser, self.lexicon = recogniser, lexicon
        self.costs = Costs(step=step)
        self.spoken: list[Spoken] = []

    def learn(self, sounds: list[tuple[Samples, Expectation]]) -> None:
        """Take in the recordings: judge their frames and build their grammars."""
        frames, spent = 0, 0.0
        for samples, expectation in sounds:
            voice: Voice = make_voice()
            quiet = np.zeros(round(LISTENS_ON * RATE), dtype=np.int16)
            whole = np.concatenate([samples, quiet])
            cut = [whole[at : at + FRAME] for at in range(0, len(whole) - FRAME, FRAME)]
            began = time.process_time()
            likelihoods = tuple(voice.likelihood(frame) for frame in cut)
            spent += time.process_time() - began
            frames += len(cut)
            loud = np.flatnonzero(np.abs(samples.astype(np.int32)) > 0.02 * np.abs(samples.astype(np.int32)).max())
            self.spoken.append(Spoken(whole, expectation, likelihoods, int(loud[-1]) / RATE))
            self.recogniser.renew()
            began = time.process_time()
            self.recogniser.prepare(expectation)
            self.costs.build[expectation] = time.process_time() - began
        self.costs.frame = spent / frames

    def hear(self, number: int, samples: Samples) -> tuple[float, Hearing]:
        """Processor time and outcome of hearing one recording up to a sample."""
        key = (number, len(samples))
        if key not in self.costs.hear:
            self.recogniser.prepare(self.spoken[number].expectation)
            began = time.process_time()
            try:
                sound = make_sound(samples.astype(np.float32) / np.float32(32768.0), RATE)
                hearing = self.recogniser.hear(sound, self.spoken[number].expectation)
            except OperatorError:
                hearing = NOTHING
            self.costs.hear[key] = (time.process_time() - began, hearing)
        return self.costs.hear[key]


class Given:
    """Gives likelihoods that were judged before."""

    def __init__(self, likelihoods: tuple[float, ...]) -> None:
        self._left = iter(likelihoods)

    def likelihood(self, frame: Samples) -> float:
        return next(self._left, 0.0)


class Shop:
    """So many sessions on one core.

    Args:
        machine: what work costs.
        sessions: how many.
        rest: seconds between the reply and the next answer, in which nobody speaks and the microphone is open.
        speaks: seconds before that in which the reply is spoken and the microphone closed.
    """

    def __init__(self, machine: Machine, sessions: int, rest: float, speaks: float) -> None:
        self._machine, self._rest, self._speaks = machine, rest, speaks
        self._arrivals: list[tuple[float, int, Callable[[], float]]] = []
        self._frames: list[tuple[float, int, Callable[[], float]]] = []
        self._answers: list[tuple[float, int, Callable[[], float]]] = []
        self._order = itertools.count()
        self._ready: OrderedDict[Expectation, None] = OrderedDict()
        self._free = 0.0
        self.busy = 0.0
        """Seconds of work."""
        self.replies: list[float] = []
        """Seconds from the end of each answer to its reply."""
        random = np.random.default_rng(5)
        period = rest + speaks + 3.0
        for one in range(sessions):
            self._begin(one, one, float(random.uniform(0.0, period)))

    def run(self, seconds: float) -> None:
        """Let so much time pass."""
        while self._arrivals or self._frames or self._answers:
            while self._arrivals and self._arrivals[0][0] <= self._free:
                at, order, work = heapq.heappop(self._arrivals)
                heapq.heappush(self._frames if order % 2 == 0 else self._answers, (at, order, work))
            queue = self._frames or self._answers
            if not queue:
                self._free = self._arrivals[0][0]
                continue
            if self._free > seconds:
                return
            _, _, work = heapq.heappop(queue)
            cost = work()
            self._free += cost
            self.busy += cost

    def _later(self, at: float, work: Callable[[], float], *, frame: bool) -> None:
        heapq.heappush(self._arrivals, (at, 2 * next(self._order) + (not frame), work))

    def _begin(self, session: int, turn: int, at: float) -> None:
        """The next question of a session: its grammar, quiet, then an answer frame by frame."""
        number = turn % len(self._machine.spoken)
        spoken = self._machine.spoken[number]
        self._later(at, lambda: self._prepare(spoken.expectation), frame=False)
        quiet = int(self._rest / STEP)
        gathering = Gathering(
            Given((0.0,) * quiet + spoken.likelihoods),
            lambda words: so_far(words, spoken.expectation, self._machine.lexicon),
            lambda samples: self._hear(number, samples, quiet),
        )
        silence = np.zeros(FRAME, dtype=np.int16)
        start = at + self._speaks
        state = {"over": False}

        def feed(index: int) -> float:
            if state["over"]:
                return 0.0
            began = time.process_time()
            inside = index - quiet
            frame = silence if inside < 0 else spoken.samples[inside * FRAME : (inside + 1) * FRAME]
            over = gathering.feed(frame)
            spent = time.process_time() - began + self._machine.costs.frame
            if over:
                state["over"] = True
                ended = start + quiet * STEP + spoken.ends
                self._later(self._free + spent, lambda: reply(ended), frame=False)
            else:
                self._later(start + (index + 2) * STEP, lambda: feed(index + 1), frame=True)
            return spent

        def reply(ended: float) -> float:
            hearing = gathering.hearing()
            began = time.process_time()
            interpret(hearing.hypotheses, spoken.expectation, self._machine.lexicon, snr_db=hearing.snr_db)
            spent = time.process_time() - began + self._machine.costs.step
            self.replies.append(self._free + spent - ended)
            self._begin(session, turn + 1, self._free + spent)
            return spent

        self._later(start + STEP, lambda: feed(0), frame=True)

    def _prepare(self, expectation: Expectation) -> float:
        if expectation in self._ready:
            self._ready.move_to_end(expectation)
            return 0.0
        self._ready[expectation] = None
        while len(self._ready) > KEPT:
            self._ready.popitem(last=False)
        return self._machine.costs.build[expectation]

    def _hear(self, number: int, samples: Samples, quiet: int) -> Future[Hearing]:
        future: Future[Hearing] = Future()

        def work() -> float:
            if not future.set_running_or_notify_cancel():
                return 0.0  # somebody spoke on while it waited
            built = self._prepare(self._machine.spoken[number].expectation)
            cost, hearing = self._machine.hear(number, samples)
            future.set_result(hearing)
            return built + cost

        self._later(self._free, work, frame=False)
        return future


def carried(make: Callable[[int], Shop], limit: float, seconds: float, most: int = 400) -> tuple[int, Shop]:
    """The most sessions whose replies stay within a limit, 95 of 100, and the shop that had them."""

    def holds(count: int) -> Shop | None:
        shop = make(count)
        shop.run(seconds)
        return shop if shop.replies and float(np.percentile(shop.replies, 95)) <= limit else None

    low, high, best = 1, 2, holds(1)
    if best is None:
        return 0, make(0)
    while high <= most and (shop := holds(high)) is not None:
        low, best, high = high, shop, high * 2
    while high - low > 1:
        middle = (low + high) // 2
        if (shop := holds(middle)) is not None:
            low, best = middle, shop
        else:
            high = middle
    return low, best
