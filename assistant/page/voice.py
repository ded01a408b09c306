"""Spoken answers of one screen: sound comes in, its end is found, the recogniser hears it, the ear is offered it.

Sound counts for the turn at which the person began to speak. The same spoken answer sent again after the line came
back is heard again only when its fate is not known.
"""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from concurrent.futures import Future
from contextlib import AbstractContextManager
from dataclasses import dataclass
from typing import Any

from assistant.errors import LeadsmanError
from assistant.messages import Expectation
from assistant.page.ear import Answer, Fate, PageEar
from assistant.page.ports import Hearing
from assistant.page.utterance import Utterance

SHORTEST = 0.12
"""Seconds below which nothing was said: a button touched by mistake."""

UNKNOWN = "[unk]"
"""What the recogniser writes for words that are no answer to the prompt."""


@dataclass
class _Speech:
    """One spoken answer under way."""

    id: str
    turn: int
    prompt: str
    expectation: Expectation
    utterance: Utterance
    hush: AbstractContextManager[None]
    counted: bool = False

    def speaking(self) -> None:
        """Somebody speaks: silence is not counted from here."""
        if not self.counted:
            self.hush.__enter__()
            self.counted = True

    def over(self) -> None:
        """Silence counts again."""
        if self.counted:
            self.hush.__exit__(None, None, None)
            self.counted = False


class Voice:
    """The microphone of one screen.

    Args:
        ear: the session's ear.
        hearing: the recogniser, shared by all sessions.
        send: sends a reply to this screen.
    """

    def __init__(self, ear: PageEar, hearing: Hearing, send: Callable[[dict[str, Any]], Awaitable[None]]) -> None:
        self._ear, self._hearing, self._send = ear, hearing, send
        self._speech: _Speech | None = None

    def begin(self, identity: str, turn: int, prompt: str, *, held: bool) -> Awaitable[None]:
        """Somebody is about to speak: a held button (``held``), or until it goes quiet. Sound may follow at once.

        Returns:
            The reply to the screen and the preparing of the grammar, to be awaited beside the sound.
        """
        self.drop()
        known = self._ear.fate_of(identity)
        if known is not None:
            return self._tell(identity, known)
        now, expectation = self._ear.current()
        if expectation is None or now != turn:
            return self._send({"kind": "fate", "id": identity, "fate": "late", "words": ""})
        utterance = Utterance(until_released=held)
        self._speech = _Speech(identity, turn, prompt, expectation, utterance, self._ear.speaking())
        if held:
            self._speech.speaking()
        return self._prepare(identity, expectation)

    def feed(self, sound: bytes) -> bool:
        """Take in sound; True once the answer has ended."""
        speech = self._speech
        if speech is None:
            return False
        ended = speech.utterance.feed(sound)
        if speech.utterance.began:
            speech.speaking()
        return ended

    def release(self) -> None:
        """The button was let go."""
        if self._speech is not None:
            self._speech.utterance.release()

    def drop(self) -> None:
        """Forget what was being said."""
        speech, self._speech = self._speech, None
        if speech is not None:
            speech.over()

    def finish(self) -> Awaitable[None]:
        """Take what was said from here; returns the hearing and offering of it, to be awaited beside what follows."""
        speech, self._speech = self._speech, None
        return self._understand(speech)

    async def _understand(self, speech: _Speech | None) -> None:
        if speech is None:
            return
        try:
            await self._hear(speech)
        except LeadsmanError as error:
            await self._send({"kind": "nothing", "id": speech.id, "text": str(error)})
        finally:
            speech.over()

    async def _hear(self, speech: _Speech) -> None:
        sound = speech.utterance
        if not sound.began or sound.seconds < SHORTEST:
            await self._send({"kind": "nothing", "id": speech.id, "text": "I heard nothing."})
            return
        heed = await asyncio.to_thread(self._hearing.hear, sound.samples, speech.expectation)
        if not heed.hypotheses or set(heed.hypotheses[0].words.split()) <= {UNKNOWN}:
            # talk near by, a radio: nothing that could be an answer here, so it is not even asked about
            text = heed.advice or "I heard sound, and no answer in it."
            await self._send({"kind": "nothing", "id": speech.id, "text": text})
            return
        answer = Answer(speech.id, speech.turn, speech.prompt, heed.hypotheses, heed.snr_db)
        fate = await asyncio.wrap_future(self._ear.offer(answer))
        reply = {"kind": "fate", "id": answer.id, "fate": fate.name, "words": answer.words, "advice": heed.advice}
        await self._send(reply)

    async def _tell(self, identity: str, known: Future[Fate]) -> None:
        fate = await asyncio.wrap_future(known)
        await self._send({"kind": "fate", "id": identity, "fate": fate.name, "words": fate.words})

    async def _prepare(self, identity: str, expectation: Expectation) -> None:
        await self._send({"kind": "listening", "id": identity})
        try:
            await asyncio.to_thread(self._hearing.prepare, expectation)
        except LeadsmanError as error:
            await self._send({"kind": "trouble", "text": str(error)})
