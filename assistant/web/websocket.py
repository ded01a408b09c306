"""The websocket of one screen: everything that the session tells goes out, answers and sound come in.

From the screen, as JSON texts: ``hello`` first (``epoch`` and ``after``: what it has already), then ``answer``
(``id``, ``turn``, ``prompt``, ``text``), ``speak`` (``id``, ``turn``, ``prompt``, ``held``) with sound behind it as
bytes, ``spoken`` or ``unspoken`` at its end, and ``ping``. To the screen: ``welcome``, the numbered
messages of the feed, and unnumbered replies to this screen alone: ``fate``, ``listening``, ``hearing`` (a voice, and
the words so far), ``ended`` (it went quiet: no more sound is needed), ``nothing``, ``trouble``, ``pong``,
and ``renew`` when the page should fetch a fresh token (``pairing.Pairing.reminder``).
"""

from __future__ import annotations

import asyncio
import contextlib
import json
from collections.abc import Awaitable, Callable
from typing import Any

from starlette.websockets import WebSocket, WebSocketDisconnect

from assistant.audio.vad import VoiceDetector
from assistant.messages import Hypothesis
from assistant.web.access.limits import Bucket
from assistant.web.access.pairing import Pairing
from assistant.web.answers import Answer
from assistant.web.microphone_stream import MicrophoneStream
from assistant.web.ports import Hears
from assistant.web.refused import NO_JSON, PAIR_FIRST, TOO_MUCH
from assistant.web.session_worker import SessionWorker, SessionWorkers

LARGEST_MESSAGE = 65_536
"""Bytes of the largest message."""
LONGEST_TEXT = 500
"""Characters of the longest typed answer."""
MOST_SCREENS = 12
"""Screens on one session."""
MESSAGE_RATE, MESSAGE_BRIM = 10.0, 60.0
"""Texts a second in the long run, and at once."""
SOUND_RATE, SOUND_BRIM = 64_000.0, 1_500_000.0
"""Bytes of sound a second in the long run (twice what a microphone makes), and at once: a spoken answer that is sent
again after the connection came back arrives in one go."""
SMALLEST_SOUND = 512
"""Bytes that a piece of sound counts for at least: empty ones, too, are work."""
HELLO_SECONDS = 10.0
"""How long a screen may take to say hello."""
_GONE, _BAD, _BUSY, _FAST, _LARGE, _LET_GO = 4404, 4400, 4429, 4408, 4413, 4401


Sends = Callable[[dict[str, Any]], Awaitable[None]]


class ProtocolError(Exception):
    """The screen broke the protocol: the connection is closed with this code."""

    def __init__(self, code: int, text: str) -> None:
        super().__init__(text)
        self.code, self.text = code, text


def session_socket(
    workers: SessionWorkers,
    hears: Hears | None,
    deaf_because: str,
    detector: Callable[[], VoiceDetector],
    pairing: Pairing | None = None,
    *,
    speaks: bool = False,
) -> Callable[[WebSocket], Awaitable[None]]:
    """The function that serves one screen's websocket."""
    screens: dict[str, int] = {}

    async def serve(websocket: WebSocket) -> None:
        await websocket.accept()
        worker = workers.find(websocket.path_params["id"])
        if worker is None:
            await websocket.close(_GONE, "This session is not open here.")
            return
        if screens.get(worker.id, 0) >= MOST_SCREENS:
            await websocket.close(_BUSY, "Too many screens watch this session.")
            return
        screens[worker.id] = screens.get(worker.id, 0) + 1

        def voice(send: Sends) -> MicrophoneStream | None:
            return (
                None if hears is None else MicrophoneStream(worker.listener, hears, worker.vocabulary, detector, send)
            )

        due = pairing.reminder() if pairing is not None else lambda: False
        screen = Screen(websocket, worker, voice, deaf_because, due, speaks=speaks)
        device = getattr(websocket.state, "device", "")
        leave = pairing.watch(device, screen.let_go) if pairing is not None else lambda: None
        try:
            await screen.run()
        finally:
            leave()
            screens[worker.id] -= 1
            if not screens[worker.id]:
                del screens[worker.id]

    return serve


class Screen:
    """One screen on one session."""

    def __init__(
        self,
        websocket: WebSocket,
        worker: SessionWorker,
        voice: Callable[[Sends], MicrophoneStream | None],
        deaf_because: str,
        token_due: Callable[[], bool],
        *,
        speaks: bool,
    ) -> None:
        self._websocket, self._worker = websocket, worker
        self._token_due, self._speaks = token_due, speaks
        self._deaf_because = deaf_because
        self._loop = asyncio.get_running_loop()
        self._sending = asyncio.Lock()
        self._let_go = asyncio.Event()
        self._closed = False
        self._news = asyncio.Event()
        self._messages = Bucket(MESSAGE_RATE, MESSAGE_BRIM)
        self._sound = Bucket(SOUND_RATE, SOUND_BRIM)
        self._tasks: set[asyncio.Task[None]] = set()
        self._voice = voice(self._send)

    async def run(self) -> None:
        """Serve it until it goes away."""
        leave = self._worker.feed.subscribe(lambda: _wake(self._loop, self._news))
        self._begin(self._end_when_let_go())
        try:
            sent = await self._welcome()
            self._begin(self._pass_on(sent))
            while True:
                await self._take(await self._receive())
                if self._token_due():
                    await self._send({"kind": "renew"})
        except WebSocketDisconnect:
            pass
        except ProtocolError as refused:
            await self._close(refused)
        finally:
            leave()
            if self._voice is not None:
                self._voice.close()
            tasks = tuple(self._tasks)
            for task in tasks:
                task.cancel()
            if tasks:
                # not gather: it would hide from the scope that cancels us whose cancellation it was
                await asyncio.wait(tasks)

    def let_go(self) -> None:
        """The screen was unpaired: its connection is closed and takes no more answers. Called from any thread."""
        _wake(self._loop, self._let_go)

    async def _end_when_let_go(self) -> None:
        await self._let_go.wait()
        raise ProtocolError(_LET_GO, PAIR_FIRST)

    async def _welcome(self) -> int:
        """Take the hello and tell what this session is; returns the number after which messages are wanted."""
        try:
            hello = await asyncio.wait_for(self._receive(), HELLO_SECONDS)
        except TimeoutError:
            raise ProtocolError(_BAD, "No hello came.") from None
        if not isinstance(hello, dict) or hello.get("kind") != "hello":
            raise ProtocolError(_BAD, "Say hello first.")
        after = _number(hello, "after") if hello.get("epoch") == self._worker.epoch else 0
        await self._send(
            {
                "kind": "welcome",
                "session": self._worker.id,
                "epoch": self._worker.epoch,
                "after": after,
                "last": self._worker.feed.last,
                "hears": self._voice is not None,
                "deaf_because": self._deaf_because,
                "keeps_sound": self._worker.keeps_sound,
                "speaks": self._speaks,
            }
        )
        return after

    async def _pass_on(self, sent: int) -> None:
        """Send every message of the feed once, in order."""
        while True:
            self._news.clear()
            for message in self._worker.feed.after(sent):
                await self._send(message)
                sent = message["seq"]
            await self._news.wait()

    async def _receive(self) -> dict[str, Any] | bytes:
        message = await self._websocket.receive()
        if message["type"] == "websocket.disconnect":
            raise WebSocketDisconnect(message.get("code", 1000))
        if self._let_go.is_set():
            raise ProtocolError(_LET_GO, PAIR_FIRST)
        sound = message.get("bytes")
        if sound is not None:
            if len(sound) > LARGEST_MESSAGE:
                raise ProtocolError(_LARGE, TOO_MUCH)
            if not self._sound.take(max(len(sound), SMALLEST_SOUND)):
                raise ProtocolError(_FAST, "That is more sound than a microphone makes.")
            return bytes(sound)
        text = message.get("text") or ""
        if len(text) > LARGEST_MESSAGE:
            raise ProtocolError(_LARGE, TOO_MUCH)
        if not self._messages.take():
            raise ProtocolError(_FAST, "Too many messages. Wait a moment.")
        try:
            fields = json.loads(text)
        except (ValueError, RecursionError):
            raise ProtocolError(_BAD, NO_JSON) from None
        if not isinstance(fields, dict):
            raise ProtocolError(_BAD, "That is not a message.")
        return fields

    async def _take(self, message: dict[str, Any] | bytes) -> None:
        if isinstance(message, bytes):
            if self._voice is not None:
                ended = self._voice.feed(message)
                news = self._voice.news(ended=ended)
                if ended:
                    self._begin(self._voice.finish())
                if news is not None:
                    await self._send(news)
            return
        kind = message.get("kind")
        if kind == "answer":
            self._begin(self._answer(message))
        elif kind == "ping":
            await self._send({"kind": "pong"})
        elif kind in ("speak", "spoken", "unspoken"):
            await self._speech(str(kind), message)
        else:
            raise ProtocolError(_BAD, "That message is not known.")

    async def _answer(self, message: dict[str, Any]) -> None:
        text = " ".join(_text(message, "text", LONGEST_TEXT).split())
        if not text:
            raise ProtocolError(_BAD, "An answer has words.")
        answer = Answer(
            _identity(message), _number(message, "turn"), _text(message, "prompt", 300), (Hypothesis(text),)
        )
        fate = await asyncio.wrap_future(self._worker.listener.offer(answer))
        await self._send({"kind": "fate", "id": answer.id, "fate": fate.name, "words": fate.words})

    async def _speech(self, kind: str, message: dict[str, Any]) -> None:
        if self._voice is None:
            await self._send({"kind": "trouble", "text": self._deaf_because})
        elif kind == "speak":
            turn, prompt = _number(message, "turn"), _text(message, "prompt", 300)
            self._begin(self._voice.begin(_identity(message), turn, prompt, held=message.get("held") is True))
        elif kind == "spoken":
            self._begin(self._voice.finish())
        else:
            self._voice.drop()

    async def _send(self, message: dict[str, Any]) -> None:
        async with self._sending:
            await self._websocket.send_text(json.dumps(message, ensure_ascii=False, allow_nan=False))

    def _begin(self, work: Any) -> None:
        """Do something beside the reading of messages; what goes wrong in it closes the connection."""
        task = asyncio.ensure_future(self._guarded(work))
        self._tasks.add(task)
        task.add_done_callback(self._tasks.discard)

    async def _close(self, refused: ProtocolError) -> None:
        """Close the connection; whatever asked for it first gives the reason."""
        if not self._closed:
            self._closed = True
            await self._websocket.close(refused.code, refused.text)

    async def _guarded(self, work: Awaitable[None]) -> None:
        try:
            await work
        except ProtocolError as refused:
            await self._close(refused)
        except (WebSocketDisconnect, RuntimeError):
            pass  # the screen went away while something was on its way to it


def _wake(loop: asyncio.AbstractEventLoop, event: asyncio.Event) -> None:
    with contextlib.suppress(RuntimeError):  # the loop has closed: nobody waits there any more
        loop.call_soon_threadsafe(event.set)


def _identity(message: dict[str, Any]) -> str:
    identity = _text(message, "id", 64)
    if len(identity) < 8:
        raise ProtocolError(_BAD, "An answer has an identity of its own.")
    return identity


def _number(message: dict[str, Any], name: str) -> int:
    value = message.get(name)
    if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value < 2**53:
        raise ProtocolError(_BAD, f"'{name}' must be a whole number.")
    return value


def _text(message: dict[str, Any], name: str, longest: int) -> str:
    value = message.get(name)
    if not isinstance(value, str):
        raise ProtocolError(_BAD, f"'{name}' must be a text.")
    if len(value) > longest:
        raise ProtocolError(_LARGE, f"'{name}' is too long.")
    return "".join(sign if sign.isprintable() else " " for sign in value)
