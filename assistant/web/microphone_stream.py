"""Spoken answers of one screen: sound arrives, its end is found, it is recognized, and the words go to the session.

The end is found as at this machine's own microphone (``audio.segmenter``): by voices, and by what the words so far
are. Sound counts for the turn at which the person began to speak. The same spoken answer sent again after a reconnect
is recognized again only when its fate is not known.
"""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from concurrent.futures import Future
from contextlib import AbstractContextManager
from dataclasses import dataclass
from typing import Any

import numpy as np

from assistant.asr.rejection import is_for_us
from assistant.audio.segmenter import Segmenter
from assistant.audio.sound import Samples
from assistant.audio.vad import FRAME, VoiceDetector
from assistant.errors import LeadsmanError
from assistant.messages import Expectation, Hearing
from assistant.numerals.vocabulary import Vocabulary
from assistant.understanding.recognition.completeness import Sofar, so_far
from assistant.web.answers import Answer, Fate, PageListener
from assistant.web.ports import Hears

NOTHING_HEARD = "I heard nothing."
MOST_SHOWN = 120
"""Characters of words that were heard, as a screen is told them."""


def plain(words: str) -> str:
    """Words for a screen: what the recognizer has no word for is left out."""
    return " ".join(word for word in words.split() if not word.startswith("["))[:MOST_SHOWN]


@dataclass(eq=False)
class _Speech:
    """One spoken answer under way."""

    id: str
    turn: int
    prompt: str
    expectation: Expectation
    segmenter: Segmenter
    hush: Callable[[], AbstractContextManager[None]]
    rest: bytes = b""
    words: str = ""
    """What the words so far are, '' before the first pause."""
    told: tuple[bool, str] = (False, "")
    """What the screen was told last: whether a voice is heard, and its words so far."""
    hushed: AbstractContextManager[None] | None = None

    def speaking(self) -> None:
        """Somebody is speaking: stop counting silence."""
        if self.hushed is None:
            self.hushed = self.hush()
            self.hushed.__enter__()

    def over(self) -> None:
        """Count silence again."""
        hushed, self.hushed = self.hushed, None
        if hushed is not None:
            hushed.__exit__(None, None, None)

    def frames(self, sound: bytes) -> list[Samples]:
        """Whole frames of the sound received so far; the remainder is kept for the next call."""
        sound = self.rest + sound
        whole = len(sound) // (2 * FRAME) * 2 * FRAME
        self.rest = sound[whole:]
        return list(np.frombuffer(sound[:whole], dtype="<i2").astype(np.int16).reshape(-1, FRAME))


class MicrophoneStream:
    """The microphone of one screen.

    Args:
        listener: the session's listener.
        hears: the recognizer, shared by all sessions.
        vocabulary: what people say.
        detector: makes what tells voices from noise.
        send: sends a reply to this screen.
    """

    def __init__(
        self,
        listener: PageListener,
        hears: Hears,
        vocabulary: Vocabulary,
        detector: Callable[[], VoiceDetector],
        send: Callable[[dict[str, Any]], Awaitable[None]],
    ) -> None:
        self._listener, self._hears, self._vocabulary = listener, hears, vocabulary
        self._detector, self._send = detector, send
        self._speech: _Speech | None = None
        self._understanding: list[_Speech] = []

    def begin(self, identity: str, turn: int, prompt: str, *, held: bool) -> Awaitable[None]:
        """Somebody is about to speak: a held button (``held``), or until it goes quiet. Sound may follow at once.

        Returns:
            The reply to the screen and the preparing of the grammar, to be awaited beside the sound.
        """
        self.drop()
        known = self._listener.fate_of(identity)
        if known is not None:
            return self._tell(identity, known)
        now, expectation = self._listener.current()
        if expectation is None or now != turn:
            return self._send({"kind": "fate", "id": identity, "fate": "late", "words": ""})
        asked = expectation

        def tells(words: str) -> Sofar:
            if self._speech is not None:
                self._speech.words = words
            return so_far(words, asked, self._vocabulary)

        segmenter = Segmenter(
            self._detector(),
            tells,
            lambda samples: self._hears.hear(samples, asked),
            held=held,
        )
        self._speech = _Speech(identity, turn, prompt, asked, segmenter, self._listener.speaking)
        if held:
            self._speech.speaking()
        return self._prepare(identity, asked)

    def feed(self, sound: bytes) -> bool:
        """Take in sound, 16-bit little-endian mono at 16 kHz; True once the answer has ended."""
        speech = self._speech
        if speech is None:
            return False
        for frame in speech.frames(sound):
            if speech.segmenter.feed(frame):
                return True
            if speech.segmenter.began:
                speech.speaking()
            else:
                speech.over()
        return False

    def news(self, *, ended: bool) -> dict[str, Any] | None:
        """What the screen does not know yet: that a voice is heard or is no longer, its words so far, its end."""
        speech = self._speech
        if speech is None:
            return None
        if ended:
            return {"kind": "ended", "id": speech.id}
        now = (speech.segmenter.began, plain(speech.words) if speech.segmenter.began else "")
        if now == speech.told:
            return None
        speech.told = now
        return {"kind": "hearing", "id": speech.id, "voice": now[0], "words": now[1]}

    def drop(self) -> None:
        """Forget what was being said."""
        speech, self._speech = self._speech, None
        if speech is not None:
            speech.segmenter.drop()
            self._let_go(speech)

    def finish(self) -> Awaitable[None]:
        """End the answer; returns the task of recognizing and offering it, to be awaited beside further messages."""
        speech, self._speech = self._speech, None
        if speech is not None:
            self._understanding.append(speech)
        return self._understand(speech)

    def close(self) -> None:
        """The screen went away: forget everything that it had under way."""
        self.drop()
        for speech in tuple(self._understanding):
            self._let_go(speech)

    async def _understand(self, speech: _Speech | None) -> None:
        if speech is None:
            return
        try:
            await self._hear(speech)
        except LeadsmanError as error:
            await self._send({"kind": "nothing", "id": speech.id, "text": str(error)})
        finally:
            self._let_go(speech)

    def _let_go(self, speech: _Speech) -> None:
        speech.over()
        if speech in self._understanding:
            self._understanding.remove(speech)

    async def _hear(self, speech: _Speech) -> None:
        hearing: Hearing = await asyncio.wrap_future(speech.segmenter.finish())
        voice = any(one.words for one in hearing.hypotheses[:1])
        advice = " ".join(hearing.warnings)
        if not voice or not is_for_us(hearing, speech.expectation, self._vocabulary):
            text = (advice or "I heard sound, and no answer in it.") if voice else NOTHING_HEARD
            await self._send({"kind": "nothing", "id": speech.id, "text": text, "voice": voice})
            return
        answer = Answer(
            speech.id, speech.turn, speech.prompt, hearing.hypotheses, hearing.snr_db, speech.segmenter.samples
        )
        fate = await asyncio.wrap_future(self._listener.offer(answer))
        reply = {"kind": "fate", "id": answer.id, "fate": fate.name, "words": answer.words, "advice": advice}
        await self._send(reply)

    async def _tell(self, identity: str, known: Future[Fate]) -> None:
        fate = await asyncio.wrap_future(known)
        await self._send({"kind": "fate", "id": identity, "fate": fate.name, "words": fate.words})

    async def _prepare(self, identity: str, expectation: Expectation) -> None:
        await self._send({"kind": "listening", "id": identity})
        try:
            await asyncio.to_thread(self._hears.prepare, expectation)
        except LeadsmanError as error:
            await self._send({"kind": "trouble", "text": str(error)})
