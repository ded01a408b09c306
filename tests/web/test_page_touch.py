"""Staying in touch on the page: one reminder and then quiet, where we are, and nothing taken while it is on hold."""

from __future__ import annotations

import time

import pytest

from assistant.session.saying import questions
from tests.inputs.sound_card import until
from tests.web.conftest import FakeHearing, Floor, FloorMaker, Line, noise, voice
from tests.web.test_websocket import speak, words_in_record


def test_one_reminder_and_then_quiet(floor: Floor, monkeypatch: pytest.MonkeyPatch) -> None:
    """It is told to every screen, the question stays the same, and it does not come again."""
    monkeypatch.setattr(questions, "ANSWER_SECONDS", 0.2)
    session = floor.start()
    with floor.talk(session) as socket:
        line = Line(socket)
        line.until(lambda one: one["kind"] == "talk" and "I am still here" in one["text"])
        time.sleep(1.0)  # five times as long as the first silence: there is no state to wait for
        line.answer("answer-1", {"turn": 1, "prompt": "ready"}, "next")
        assert line.fate("answer-1")["fate"] == "taken"
        line.standing(2)
    assert sum("I am still here" in text for text in line.texts()) == 1


@pytest.mark.parametrize("tail", [0.2, 1.0, 1.6])
def test_silence_is_not_counted_while_one_speaks(make_floor: FloorMaker, tail: float) -> None:
    """Nor while it is being understood; a screen that goes away in the middle of either holds nobody up."""
    hearing = FakeHearing()
    hearing.waits = True
    floor = make_floor(hearing=hearing)
    floor.pair()
    session = floor.start()
    worker = floor.house.workers.find(session)
    assert worker is not None
    with floor.talk(session) as socket:
        line = Line(socket)
        speak(line, "spoken-1", line.standing(1), noise(0.2) + voice(0.5) + noise(tail), held=False)
        socket.send_json({"kind": "ping"})
        line.until(lambda one: one["kind"] == "pong")  # what was sent before it has been taken in
        assert worker.listener._speaking == 1
    until(lambda: worker.listener._speaking == 0, "silence that counts again")


def test_on_hold_no_answer_counts_and_the_position_is_reported(floor: Floor) -> None:
    """A reading called out on hold is not kept; 'resume' goes on where it was."""
    session = floor.start()
    with floor.talk(session) as socket:
        line = Line(socket)
        line.answer("answer-1", line.standing(1), "hold on")
        held = line.standing(2)
        line.answer("answer-2", held, "1180")
        held = line.standing(3)
        line.answer("answer-where", held, "where are we")
        said = line.until(lambda one: one["kind"] == "talk" and one["text"].startswith("We are at"))
        assert said["spoken"]
        held = line.standing(4)
        assert held["held"]
        line.answer("answer-3", held, "resume")
        assert not line.standing(5)["held"]
    assert "1180" not in words_in_record(floor, session)
