"""The serving machine's voice for screens whose browser has none: a sentence of the session as sound."""

from __future__ import annotations

import io
import threading
import wave
from collections import OrderedDict

from assistant.tts.synthesizer import VoiceFailedError
from assistant.web.ports import Speaks
from assistant.web.refused import RefusedError
from assistant.web.session_worker import SessionWorker

REMEMBERED = 128
"""Sentences kept as sound: questions come again, and several screens ask for the same one. Some six megabytes."""
NOW = "ask"
"""Asked for in place of a message's number: the question that is open."""


class PageVoice:
    """Speaks what a session says, and nothing else: no request brings words of its own.

    Args:
        synthesizer: makes sound of a sentence.
    """

    def __init__(self, synthesizer: Speaks) -> None:
        self._synthesizer = synthesizer
        self._lock = threading.Lock()
        self._known: OrderedDict[str, bytes] = OrderedDict()

    def said(self, worker: SessionWorker | None, number: str) -> bytes:
        """A message of a session's feed as a WAV file.

        Args:
            worker: the session's, None where it is not open.
            number: of the message, or ``ask``.

        Raises:
            RefusedError: there is no such sentence, or the voice failed.
        """
        text = "" if worker is None else _sentence(worker, number)
        if not text:
            raise RefusedError(404, "There is nothing to be said.")
        with self._lock:
            known = self._known.get(text)
            if known is not None:
                self._known.move_to_end(text)
                return known
        try:
            samples, rate = self._synthesizer.synthesize(text)
        except VoiceFailedError as error:
            raise RefusedError(503, f"The machine's voice failed: {error}.") from None
        file = io.BytesIO()
        with wave.open(file, "wb") as made:
            made.setparams((1, 2, rate, 0, "NONE", ""))
            made.writeframes(samples.astype("<i2").tobytes())
        sound = file.getvalue()
        with self._lock:
            self._known[text] = sound
            while len(self._known) > REMEMBERED:
                self._known.popitem(last=False)
        return sound


def _sentence(worker: SessionWorker, number: str) -> str:
    if number == NOW:
        return str((worker.feed.standing or {}).get("ask", {}).get("text", ""))
    if not (number.isascii() and number.isdecimal()):
        return ""
    found = worker.feed.find(int(number[:15]))
    return "" if found is None else str(found.get("spoken", ""))
