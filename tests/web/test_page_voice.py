"""The serving machine's voice on the page: it says what the session says, in whole, and nothing else."""

from __future__ import annotations

import io
import wave

import numpy as np
import pytest

from assistant.audio.sound import Samples
from assistant.tts.synthesizer import VoiceFailedError
from assistant.web.page_voice import REMEMBERED, PageVoice
from assistant.web.refused import RefusedError
from tests.web.conftest import FakeHearing, FloorMaker, Line, noise, voice
from tests.web.test_websocket import speak


class Hum:
    """A voice that hums, or fails."""

    def __init__(self, *, fails: bool = False) -> None:
        self.texts: list[str] = []
        self._fails = fails

    def synthesize(self, text: str) -> tuple[Samples, int]:
        self.texts.append(text)
        if self._fails:
            raise VoiceFailedError("it made no sound")
        return np.full(100 * len(text), 1000, dtype=np.int16), 22_050


def test_each_sentence_is_given_as_sound_once_made(make_floor: FloorMaker) -> None:
    """The whole sentence at the voice's own rate; asked for again it is not made again."""
    floor = make_floor()
    floor.pair()
    session = floor.start()
    worker = floor.house.workers.find(session)
    assert worker is not None
    hum = Hum()
    said = PageVoice(hum)
    with floor.talk(session) as socket:
        line = Line(socket)
        line.standing(1)
    ready = next(one for one in line.seen if one["kind"] == "talk")
    for number in (str(ready["seq"]), str(ready["seq"]), "ask"):
        with wave.open(io.BytesIO(said.said(worker, number))) as sound:
            assert (sound.getframerate(), sound.getnchannels(), sound.getsampwidth()) == (22_050, 1, 2)
            assert sound.getnframes() % 100 == 0
    assert hum.texts[0] == ready["spoken"]
    assert len(hum.texts) == len(set(hum.texts))
    assert len(hum.texts) <= REMEMBERED
    for number in ("0", "999", "-1", "x", "²", "9" * 300):
        with pytest.raises(RefusedError) as caught:
            said.said(worker, number)
        assert caught.value.status == 404
    with pytest.raises(RefusedError):
        said.said(None, "ask")
    with pytest.raises(RefusedError) as caught:
        PageVoice(Hum(fails=True)).said(worker, "ask")
    assert (caught.value.status, str(caught.value)) == (503, "The machine's voice failed: it made no sound.")


def test_a_machine_without_a_voice_says_so(make_floor: FloorMaker) -> None:
    floor = make_floor()
    assert floor.client.get("/api/voice/20260302-080000-aaa/ask").status_code == 401, "not to a stranger"
    floor.pair()
    session = floor.start()
    answer = floor.client.get(f"/api/voice/{session}/ask")
    assert (answer.status_code, answer.json()["error"]) == (404, "This machine has no voice.")
    with floor.talk(session) as socket:
        assert Line(socket).welcome["speaks"] is False


def test_the_screen_is_told_that_a_voice_is_heard_and_its_words_so_far(make_floor: FloorMaker) -> None:
    """At the pause, before the answer has ended; then that its end was found."""
    floor = make_floor(hearing=FakeHearing(*["[unk] over the radio"] * 20))
    floor.pair()
    session = floor.start()
    with floor.talk(session) as socket:
        line = Line(socket)
        standing = line.standing(1)
        speak(line, "spoken-1", standing, noise(0.5) + voice(0.6) + noise(4.0), held=False)
        first = line.until(lambda one: one["kind"] == "hearing")
        assert (first["id"], first["voice"], first["words"]) == ("spoken-1", True, "")
        so_far = line.until(lambda one: one["kind"] == "hearing" and one["words"] != "")
        assert so_far["words"] == "over the radio"
        assert line.until(lambda one: one["kind"] == "ended")["id"] == "spoken-1"
