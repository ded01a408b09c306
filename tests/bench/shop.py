"""A shop on one core: live sessions side by side on a simulated clock, each piece of work at its measured cost.

The order is the product's own. The page's loop takes frame after frame of all screens, each session's thread takes
its answer a step on, and the one thread of ``ear.shared.SharedHearing`` hears: answers before grammars, each
kind in the order in which it came. On one core the system gives these three equal shares while they have work; the
benchmark runs the real ones beside it (``real_shop``). Frames go through the real endpoint; what the recognizer
says, and the processor time that it took, are measured once for each piece of sound and used again.
"""

from __future__ import annotations

import heapq
import itertools
import math
import time
from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import Future
from dataclasses import dataclass, field

import numpy as np

from assistant.asr.recognizer import KEPT, Recognizer
from assistant.audio.segmenter import NOTHING, Gathering
from assistant.audio.sound import RATE, Samples, make_sound
from assistant.audio.vad import FRAME, Voice, make_voice
from assistant.errors import OperatorError
from assistant.messages import Expectation, Hearing
from assistant.numerals.vocabulary import Vocabulary
from assistant.understanding.completeness import so_far
from assistant.understanding.interpret import interpret

STEP = FRAME / RATE
BLOCK = 1024
"""Samples that a phone sends at a time."""
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

    def __init__(self, recognizer: Recognizer, vocabulary: Vocabulary, step: float) -> None:
        self.recognizer, self.vocabulary = recognizer, vocabulary
        self.costs = Costs(step=step)
        self.spoken: list[Spoken] = []

    def learn(self, sounds: list[tuple[Samples, Expectation]]) -> None:
        """Take in the recordings: judge their frames and build their grammars."""
        quiet = np.zeros(round(LISTENS_ON * RATE), dtype=np.int16)
        wholes = [np.concatenate([samples, quiet]) for samples, _ in sounds]
        likelihoods = self._judged(wholes)
        for (samples, expectation), whole, likely in zip(sounds, wholes, likelihoods, strict=True):
            loud = np.flatnonzero(np.abs(samples.astype(np.int32)) > 0.02 * np.abs(samples.astype(np.int32)).max())
            self.spoken.append(Spoken(whole, expectation, tuple(likely), int(loud[-1]) / RATE))
            self.recognizer._submit(self.recognizer._ready.clear)
            began = time.process_time()
            self.recognizer.prepare(expectation)
            self.costs.build[expectation] = time.process_time() - began

    def _judged(self, sounds: list[Samples]) -> list[list[float]]:
        """Likelihoods of a voice, each sound by a detector of its own, in turn as from so many phones."""
        voices: list[Voice] = [make_voice() for _ in sounds]
        likelihoods: list[list[float]] = [[] for _ in sounds]
        frames, began = 0, time.process_time()
        for start in range(0, max(map(len, sounds)), BLOCK):
            for sound, voice, likely in zip(sounds, voices, likelihoods, strict=True):
                for at in range(start, min(start + BLOCK, len(sound) - FRAME + 1), FRAME):
                    likely.append(voice.likelihood(sound[at : at + FRAME]))
                    frames += 1
        self.costs.frame = (time.process_time() - began) / frames
        return likelihoods

    def hear(self, number: int, samples: Samples) -> tuple[float, Hearing]:
        """Processor time and outcome of hearing one recording up to a sample."""
        key = (number, len(samples))
        if key not in self.costs.hear:
            self.recognizer.prepare(self.spoken[number].expectation)
            began = time.process_time()
            try:
                sound = make_sound(samples.astype(np.float32) / np.float32(32768.0), RATE)
                hearing = self.recognizer.hear(sound, self.spoken[number].expectation)
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


@dataclass(frozen=True, slots=True)
class Job:
    """One piece of work."""

    begin: Callable[[], float]
    """Begins it; returns its seconds of processor time."""
    end: Callable[[], None]
    """Called once they are spent."""


class Lane:
    """A thread of the program: one piece of work after another, by rank and then in the order in which they came."""

    def __init__(self) -> None:
        self._waiting: list[tuple[int, int, Job]] = []
        self._job: Job | None = None
        self.left = 0.0
        """Seconds of processor time until its work is done."""

    def put(self, rank: int, order: int, job: Job) -> None:
        """Have a piece of work wait."""
        heapq.heappush(self._waiting, (rank, order, job))

    def busy(self) -> bool:
        """Whether it has work; takes up what waits when it has none in hand."""
        if self._job is None and self._waiting:
            _, _, self._job = heapq.heappop(self._waiting)
            self.left = self._job.begin()
        return self._job is not None

    def done(self) -> None:
        """Its work is done."""
        job, self._job = self._job, None
        if job is not None:
            job.end()


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
        self._arrivals: list[tuple[float, int, Lane, int, Job]] = []
        self._frames, self._steps, self._hearing = Lane(), Lane(), Lane()
        self._order = itertools.count()
        self._ready: OrderedDict[Expectation, None] = OrderedDict()
        self._now = 0.0
        self.busy = 0.0
        """Seconds of work."""
        self.heard = 0
        """How often sound was heard: more than once an answer where somebody spoke on."""
        self.replies: list[float] = []
        """Seconds from the end of each answer to its reply."""
        random = np.random.default_rng(5)
        period = rest + speaks + 3.0
        for one in range(sessions):
            self._begin(one, one, float(random.uniform(0.0, period)))

    def run(self, seconds: float) -> None:
        """Let so much time pass."""
        lanes = (self._frames, self._steps, self._hearing)
        while self._now <= seconds:
            while self._arrivals and self._arrivals[0][0] <= self._now:
                _, order, lane, rank, job = heapq.heappop(self._arrivals)
                lane.put(rank, order, job)
            working = [lane for lane in lanes if lane.busy()]
            coming = self._arrivals[0][0] if self._arrivals else math.inf
            if not working:
                if math.isinf(coming):
                    return
                self._now = coming
                continue
            share = max(0.0, min(*(lane.left for lane in working), (coming - self._now) / len(working)))
            self._now += share * len(working)
            self.busy += share * len(working)
            for lane in working:
                lane.left -= share
                if lane.left <= 1e-9:
                    lane.done()

    def _later(
        self, at: float, lane: Lane, begin: Callable[[], float], end: Callable[[], None], rank: int = 0
    ) -> None:
        heapq.heappush(self._arrivals, (at, next(self._order), lane, rank, Job(begin, end)))

    def _begin(self, session: int, turn: int, at: float) -> None:
        """The next question of a session: its grammar, quiet, then an answer frame by frame."""
        number = turn % len(self._machine.spoken)
        spoken = self._machine.spoken[number]
        self._later(at, self._hearing, lambda: self._prepare(spoken.expectation), lambda: None, rank=1)
        quiet = int(self._rest / STEP)
        gathering = Gathering(
            Given((0.0,) * quiet + spoken.likelihoods),
            lambda words: so_far(words, spoken.expectation, self._machine.vocabulary),
            lambda samples: self._hear(number, samples),
        )
        silence = np.zeros(FRAME, dtype=np.int16)
        start = at + self._speaks

        def feed(index: int) -> None:
            over = False

            def begin() -> float:
                nonlocal over
                began = time.process_time()
                inside = index - quiet
                frame = silence if inside < 0 else spoken.samples[inside * FRAME : (inside + 1) * FRAME]
                over = gathering.feed(frame)
                return time.process_time() - began + self._machine.costs.frame

            def end() -> None:
                if over:
                    gathering.finish().add_done_callback(lambda _: reply())
                else:
                    feed(index + 1)

            self._later(start + (index + 1) * STEP, self._frames, begin, end)

        def reply() -> None:
            ended = start + quiet * STEP + spoken.ends

            def begin() -> float:
                hearing = gathering.hearing()
                began = time.process_time()
                interpret(hearing.hypotheses, spoken.expectation, self._machine.vocabulary, snr_db=hearing.snr_db)
                return time.process_time() - began + self._machine.costs.step

            def end() -> None:
                self.replies.append(self._now - ended)
                self._begin(session, turn + 1, self._now)

            self._later(self._now, self._steps, begin, end)

        feed(0)

    def _prepare(self, expectation: Expectation) -> float:
        if expectation in self._ready:
            self._ready.move_to_end(expectation)
            return 0.0
        self._ready[expectation] = None
        while len(self._ready) > KEPT:
            self._ready.popitem(last=False)
        return self._machine.costs.build[expectation]

    def _hear(self, number: int, samples: Samples) -> Future[Hearing]:
        future: Future[Hearing] = Future()
        found: list[Hearing] = []

        def begin() -> float:
            if not future.set_running_or_notify_cancel():
                return 0.0  # somebody spoke on while it waited
            built = self._prepare(self._machine.spoken[number].expectation)
            cost, hearing = self._machine.hear(number, samples)
            found.append(hearing)
            self.heard += 1
            return built + cost

        def end() -> None:
            if found:
                future.set_result(found[0])

        self._later(self._now, self._hearing, begin, end)
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
