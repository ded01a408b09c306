"""One spoken answer from its first frame to its end, recognized while the silence at its end is still running.

At each pause what was said so far is handed to the recognizer; its words tell how long to wait for more. When the
answer has ended at that pause, it has been heard already: the silence that ends it costs no time twice. The page's
microphone and this machine's gather in the same way.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from concurrent.futures import Future

import numpy as np

from assistant.audio.endpointer import Endpointer, Phase, Waits
from assistant.audio.sound import RATE, Samples
from assistant.audio.vad import FRAME, VoiceDetector
from assistant.messages import Hearing
from assistant.understanding.recognition.completeness import Sofar

LEAD_IN = 0.5
"""Seconds kept from before the first voice: first words are short and begin softly."""
PAUSE = 0.16
"""Seconds of silence after which what was said so far is handed to the recognizer."""
USUAL = Waits(whole=0.3)
"""How long silence may last. What it means for answers is measured by the benchmark of a reply."""
NOTHING = Hearing(())

Decode = Callable[[Samples], Future[Hearing]]


class Segmenter:
    """Gathers one answer.

    Args:
        voice: tells how likely a frame holds speech.
        tells: what words so far are at this prompt.
        decode: hands sound to the recognizer.
        waits: how long silence may last.
        held: True when a held button says where the answer begins and ends, and silence does not.
    """

    def __init__(
        self,
        voice: VoiceDetector,
        tells: Callable[[str], Sofar],
        decode: Decode,
        waits: Waits = USUAL,
        *,
        held: bool = False,
    ) -> None:
        self._voice, self._decode, self._held = voice, decode, held
        self._tells = tells
        self._told: dict[str, Sofar] = {}
        self._endpoint = Endpointer(self._told_once, waits)
        self._longest = waits.longest
        self._lead: deque[Samples] = deque(maxlen=round(LEAD_IN * RATE / FRAME))
        self._kept: list[Samples] = []
        self._heard: Future[Hearing] | None = None
        self.lost = False
        """True when sound inside the answer was lost: then it must be said again."""

    @property
    def began(self) -> bool:
        """True while a voice is, or was, heard."""
        return bool(self._kept) if self._held else self._endpoint.phase is not Phase.WAITING

    @property
    def samples(self) -> Samples:
        """What was gathered."""
        return np.concatenate(self._kept) if self._kept else np.empty(0, dtype=np.int16)

    def feed(self, frame: Samples, *, lost: bool = False) -> bool:
        """Take in one frame; True once the answer has ended."""
        if self._held:
            self._kept.append(frame)
            self.lost = self.lost or lost
            return len(self._kept) * FRAME >= self._longest * RATE
        before = self._endpoint.phase
        phase = self._endpoint.feed(FRAME / RATE, self._voice.likelihood(frame), self._words())
        if phase is Phase.WAITING:
            if before is not Phase.WAITING:
                self._kept, self.lost = [], False
                self._forget()
            self._lead.append(frame)
            return False
        if before is Phase.WAITING:
            self._kept = list(self._lead)
            self._lead.clear()
        self._kept.append(frame)
        self.lost = self.lost or lost
        if phase is Phase.SPEAKING:
            self._forget()
        elif self._heard is None and (phase is Phase.ENDED or self._endpoint.silent >= PAUSE):
            self._heard = self._decode(self.samples)
        return phase is Phase.ENDED

    def finish(self) -> Future[Hearing]:
        """Take what was gathered as the whole answer; returns its recognition."""
        if self._heard is None:
            self._heard = self._decode(self.samples) if self._kept else _nothing()
        return self._heard

    def drop(self) -> None:
        """Forget it: what was not decoded yet need not be."""
        self._forget()

    def hearing(self) -> Hearing:
        """What was heard; waits for the recognizer.

        Raises:
            OperatorError: the recognizer cannot work.
        """
        return self._heard.result() if self._heard is not None else NOTHING

    def _forget(self) -> None:
        if self._heard is not None:
            self._heard.cancel()  # decoding that still waits for its turn is no longer needed
            self._heard = None

    def _told_once(self, words: str) -> Sofar:
        """How complete the words are, worked out once: it is asked with every frame of silence."""
        if words not in self._told:
            self._told[words] = self._tells(words)
        return self._told[words]

    def _words(self) -> str:
        if self._heard is None or not self._heard.done() or self._heard.exception() is not None:
            return ""
        hypotheses = self._heard.result().hypotheses
        return hypotheses[0].words if hypotheses else ""


def _nothing() -> Future[Hearing]:
    future: Future[Hearing] = Future()
    future.set_result(NOTHING)
    return future
