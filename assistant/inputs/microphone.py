"""Live answers: by the keyboard and the microphone at once, whichever comes first.

Half duplex: what comes in while we speak, and for ``GUARD`` seconds after, is dropped before anybody hears it. With a
headset only 'stop' and 'say again' are listened for meanwhile. A lost microphone is reported once, looked for every
second, and reopened unasked only when it is the same one.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import numpy as np

from assistant.asr.rejection import is_for_us
from assistant.audio.microphone import Frame, Lost, Microphone, OtherMicrophoneError
from assistant.audio.recent import RecentAudio
from assistant.audio.segmenter import NOTHING, Segmenter
from assistant.audio.sound import Samples, sound_of_samples
from assistant.audio.vad import NoDetector, VoiceDetector, make_detector
from assistant.errors import OperatorError
from assistant.inputs.keyboard import TypedLines
from assistant.inputs.ports import Clock, Hearable, Hears, Keyboard, Opens
from assistant.messages import (
    Command,
    Expectation,
    Expects,
    Fact,
    Heard,
    Hearing,
    Hypothesis,
    InputEnded,
    MicrophoneLost,
    Source,
    WentQuiet,
)
from assistant.numerals.vocabulary import Vocabulary
from assistant.tts.voice import Voice
from assistant.understanding.recognition.completeness import so_far

GUARD = 0.25
"""Seconds after our own voice in which nothing is heard: the room's echo and the devices' delay."""
RETRY = 1.0
"""Seconds between looks for a lost microphone."""
COMPLAIN = 10.0
"""Seconds between two sounds for 'not understood' where no answer was in what was heard: a radio goes on."""
MUTED = "The microphone gives no sound at all. Look at its switch and at the system's privacy settings, or type."
_TICK = 0.02
ON, OFF = ("voice on", "listen", "microphone on"), ("voice off", "microphone off")


LISTENING, HEARING, THINKING = "listening", "hearing you", "thinking"
"""What it does, in a word for the screen."""
_QUIETEST = -60.0
"""Decibels under full scale that show as no level at all; a quiet room lies below, common practice, no source."""
_CELLS = 8


def loudness(samples: Samples) -> float:
    """How loud a piece of sound is: 0 for a quiet room, 1 for full scale, evenly in decibels between."""
    level = float(np.sqrt(np.mean(np.square(samples.astype(np.float64))))) / 32768 if samples.size else 0.0
    return min(1.0, max(0.0, 1 - 20 * math.log10(level) / _QUIETEST)) if level > 0 else 0.0


def level_bar(level: float) -> str:
    """A level as a bar of eight cells, in characters that every terminal has."""
    full = round(level * _CELLS)
    return f"[{'|' * full}{'.' * (_CELLS - full)}]"


class LiveListener:
    """Waits for what is said or typed.

    Args:
        now: seconds since the session began.
        vocabulary: what people say.
        keyboard: typed lines, None without a keyboard.
        hearing: makes the recognizer when it is needed first; raises OperatorError.
        voice: our own voice, which must not be heard; None when we are silent.
        notice: takes one sentence about the microphone.
        open_microphone: opens the microphone of a name, '' for the usual one.
        headset: True when our voice cannot reach the microphone.
        detector: tells voices from noise; None for the best of this machine.
    """

    def __init__(
        self,
        now: Clock,
        vocabulary: Vocabulary,
        keyboard: Keyboard | None,
        hearing: Callable[[], Hears],
        voice: Voice | None,
        notice: Callable[[str], None],
        open_microphone: Opens = Microphone,
        *,
        headset: bool = False,
        detector: VoiceDetector | None = None,
    ) -> None:
        self._now, self._vocabulary, self._voice = now, vocabulary, voice
        self._typed = TypedLines(keyboard)
        self._make_hearing = hearing
        self._notice, self._open, self._headset = notice, open_microphone, headset
        self._hearing: Hears | None = None
        self._detector = detector
        self._microphone: Hearable | None = None
        self._wanted = ""
        self._listens = False
        self._retry_at = 0.0
        self._offered = ""
        self._pending: list[Fact] = []
        self._complained = 0.0
        self._pool = ThreadPoolExecutor(1, thread_name_prefix="leadsman-hear")
        self._overheard: Segmenter | None = None
        self._expectation = Expectation(Expects.COMMAND)
        self._sounds = RecentAudio("spoken")
        self._doing, self._level = LISTENING, 0.0

    @property
    def state(self) -> str:
        """The microphone's state, in a word or two for the screen."""
        if not self._listens:
            return "off"
        return self._microphone.title if self._microphone is not None else "LOST"

    @property
    def standing(self) -> str:
        """The same with what it does now and how loud it is, for a line that is drawn again and again."""
        if not self._listens or self._microphone is None:
            return self.state
        voice = self._voice
        if voice is not None and voice.speaking and not self._headset:
            return f"speaking, not listening ({self.state})"
        return f"{self._doing} {level_bar(self._level)} {self.state}"

    def start(self) -> None:
        """Switch the microphone on.

        Raises:
            OperatorError: it cannot be used, or the recognizer cannot.
        """
        if self._hearing is None:
            self._hearing = self._make_hearing()
        if self._detector is None:
            self._detector = make_detector()
        if self._microphone is None:
            self._microphone = self._open(self._wanted)
            self._wanted = self._microphone.name
        self._listens = True

    def listen(self, expectation: Expectation, seconds: float | None) -> Fact:
        """Wait for an answer to this prompt; while somebody speaks it does not go quiet."""
        self._expectation = expectation
        if self._pending:
            return self._pending.pop(0)
        if self._hearing is not None and self._listens:
            self._hearing.prepare(expectation)
        segmenter = self._segmenter(expectation)
        deadline = None if seconds is None else time.monotonic() + seconds
        while True:
            if self._voice is not None:
                self._voice.rest()
            if (fact := self._keys(_TICK)) is not None:
                return fact
            if self._microphone is None and self._listens:
                self._look_again()
                segmenter = self._segmenter(expectation)
            over, lost = self._sound(segmenter)
            if lost is not None:
                return lost
            if over:
                fact = self._understood(segmenter)
                if fact is not None:
                    return fact
                segmenter = self._segmenter(expectation)
                deadline = None if seconds is None else time.monotonic() + seconds
            if deadline is not None and time.monotonic() > deadline and not segmenter.began:
                return WentQuiet(self._now())

    def interrupts(self) -> bool:
        """While we speak: True when someone typed, or said 'stop' or 'say again' into a headset."""
        waiting = self._typed.waiting(listens=self._listens)
        if self._microphone is None or self._hearing is None:
            return waiting
        if self._overheard is None:
            self._overheard = self._segmenter(self._expectation)
        over, lost = self._sound(self._overheard, speaking=True)
        if lost is not None:
            self._pending.append(lost)
        if over:
            heard, self._overheard = self._overheard.hearing(), None
            words = heard.hypotheses[0].words if heard.hypotheses else ""
            forms = self._vocabulary.commands
            if words and words in {*forms[Command.STOP], *forms[Command.SAY_AGAIN]}:
                self._pending.append(Heard(self._now(), heard.hypotheses, Source.MICROPHONE, heard.snr_db))
        return waiting or bool(self._pending)

    def sound_of(self, name: str) -> tuple[Samples, int] | None:
        """The sound of a spoken answer, None when it is not remembered."""
        return self._sounds.find(name)

    def close(self) -> None:
        """Release the microphone and the keyboard."""
        self._switch_off()
        self._typed.close()
        self._pool.shutdown(wait=True, cancel_futures=True)

    def _keys(self, seconds: float) -> Fact | None:
        """What was typed, as a fact; switching the voice is ours to do."""
        if self._typed.ended or (self._voice is not None and self._voice.broken_off):
            return InputEnded(self._now())
        line = self._typed.take(seconds, listens=self._listens)
        if line is None:
            return None
        plain = " ".join(line.lower().split())
        if plain in ON:
            self._switch_on()
        elif plain in OFF:
            self._switch_off()
            self._notice("The microphone is off; type 'voice on' to switch it on again.")
        else:
            return Heard(self._now(), (Hypothesis(line),), Source.TYPED)
        return None

    def _switch_on(self) -> None:
        """Someone asked for it: then any microphone will do."""
        if self._microphone is None:
            self._wanted = ""
        try:
            self.start()
        except OperatorError as error:
            self._notice(str(error))
        else:
            self._notice(f"Listening with {self.state}.")
            if self._voice is not None:
                self._voice.on = True

    def _switch_off(self) -> None:
        self._listens = False
        microphone, self._microphone = self._microphone, None
        if microphone is not None:
            microphone.close()

    def _look_again(self) -> None:
        """Reopen the same microphone; another one is only offered."""
        if time.monotonic() < self._retry_at:
            return
        self._retry_at = time.monotonic() + RETRY
        try:
            self.start()
        except OtherMicrophoneError as error:
            if self._offered != error.source.name:
                self._offered = error.source.name
                self._notice(str(error))
        except OperatorError:
            pass
        else:
            self._offered = ""
            self._notice(f"The microphone is back: {self.state}.")
            if self._voice is not None:
                self._voice.acknowledge(understood=True)

    def _sound(self, segmenter: Segmenter, *, speaking: bool = False) -> tuple[bool, MicrophoneLost | None]:
        """Take in what the microphone has: whether the answer is over, or the microphone lost."""
        if self._microphone is None:
            return False, None
        quiet_from = 0.0
        if self._voice is not None and not self._headset:
            quiet_from = math.inf if speaking else self._voice.silent_since + GUARD
        for event in self._microphone.events():
            if isinstance(event, Frame):
                self._level = loudness(event.samples)
                if event.at < quiet_from:
                    continue
                over = segmenter.feed(event.samples, lost=event.lost)
                self._doing = THINKING if over else HEARING if segmenter.began else LISTENING
                if over:
                    return True, None
            elif isinstance(event, Lost):
                self._microphone.close()
                self._microphone = None
                self._retry_at = time.monotonic()
                return False, MicrophoneLost(self._now(), event.reason)
            else:
                self._notice(MUTED)
        return False, None

    def _understood(self, segmenter: Segmenter) -> Fact | None:
        """The fact of a spoken answer; None when no answer was in it."""
        heard = segmenter.hearing()
        words = set(heard.hypotheses[0].words.split()) if heard.hypotheses else set()
        if segmenter.lost and words:
            self._complain(always=True)
            self._notice("Sound was lost inside that answer. Say it again.")
            return None
        if not words:
            return None
        if not is_for_us(heard, self._expectation, self._vocabulary):
            self._complain()
            return None
        if self._voice is not None:
            self._voice.acknowledge(understood=True)
        name = self._sounds.keep(segmenter.samples)
        return Heard(self._now(), heard.hypotheses, Source.MICROPHONE, heard.snr_db, name)

    def _complain(self, *, always: bool = False) -> None:
        if self._voice is not None and (always or time.monotonic() - self._complained > COMPLAIN):
            self._complained = time.monotonic()
            self._voice.acknowledge(understood=False)

    def _segmenter(self, expectation: Expectation) -> Segmenter:
        detector = self._detector
        return Segmenter(
            detector if detector is not None else NoDetector(),
            lambda words: so_far(words, expectation, self._vocabulary),
            lambda samples: self._pool.submit(self._hear, samples, expectation),
        )

    def _hear(self, samples: Samples, expectation: Expectation) -> Hearing:
        if self._hearing is None:
            return NOTHING
        try:
            sound = sound_of_samples(samples, where="That")
        except OperatorError:
            return NOTHING  # too short or silent: nothing was said
        return self._hearing.hear(sound, expectation)
