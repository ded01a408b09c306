"""The websocket of a screen: a whole session, two screens, a lost line, a microphone, and what is refused."""

from __future__ import annotations

import json
import threading
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from starlette.websockets import WebSocketDisconnect

from assistant.display.view import answers
from assistant.messages import Expectation, Expects, Heard, Source
from assistant.numerals.vocabulary import Vocabulary
from assistant.session.dialog_state import Mode
from assistant.web.access.limits import Bucket
from assistant.web.session_worker import OVER_KEPT
from assistant.web.websocket import LARGEST_MESSAGE, MESSAGE_BRIM, MOST_SCREENS, SMALLEST_SOUND, SOUND_BRIM
from tests.records.samples import session_in
from tests.web.conftest import FakeHearing, FakeTime, Floor, FloorMaker, Line, noise, voice

LAMP = ["next", "disc", "whole", "12.6", "3.1", "next", "12.6", "lit"]


def play(line: Line, answers: list[str]) -> dict[str, Any]:
    """Answer until the session is over."""
    for turn, words in enumerate(answers, 1):
        line.answer(f"answer-{turn}", line.standing(turn), words)
        assert line.fate(f"answer-{turn}")["fate"] == "taken"
    turn = len(answers)
    while True:
        turn += 1
        message = line.until(lambda one: one["kind"] in ("over", "standing"))
        if message["kind"] == "over":
            return message
        line.answer(f"answer-{turn}", message, "next" if "next" in message["ask"]["text"].lower() else "yes")
        line.fate(f"answer-{turn}")


def words_in_record(floor: Floor, session: str) -> list[str]:
    """What the record says that we said, in order."""
    facts = [entry.fact for _, entry in session_in(floor.records, session).entries()]
    return [fact.hypotheses[0].words for fact in facts if isinstance(fact, Heard)]


def test_a_whole_session_comes_to_its_end(floor: Floor) -> None:
    """Every answer is in the record once, from the page, and the cause is found."""
    session = floor.start()
    with floor.talk(session) as socket:
        over = play(Line(socket), LAMP)
    assert over["ending"] == "cured and proven"
    page = floor.client.get(f"/record/{session}").text
    assert "<p>Open wire, right</p>" in page
    assert "verified by the closing test" in page
    heard = words_in_record(floor, session)
    wanted = LAMP
    assert heard[: len(wanted)] == wanted
    sources = {e.fact.source for _, e in session_in(floor.records, session).entries() if isinstance(e.fact, Heard)}
    assert sources == {Source.PAGE}
    assert not floor.house.workers.running()


def test_standing_shows_prompt_limits_last_reading_and_suspects(floor: Floor) -> None:
    """What the large screen needs, as numbers and as text."""
    session = floor.start()
    with floor.talk(session) as socket:
        line = Line(socket)
        for turn, words in enumerate(["next", "disc", "whole", "12.6"], 1):
            line.answer(f"answer-{turn}", line.standing(turn), words)
        standing = line.standing(5)
    assert standing["ask"]["text"] == "How many volts at right?"
    assert standing["limits"] == "at least 9.5 V"
    assert standing["unit"] == "volts"
    assert [one["say"] for one in standing["answers"]] == ["over range", "unsteady", "nothing on the display"]
    last = standing["last"]
    assert (last["title"], last["text"], last["verdict"], last["value"], last["low"], last["high"]) == (
        "volts at the lamp, left", "12.6 V", "good", 12.6, 9.5, None,
    )  # fmt: skip
    assert standing["suspects"][0] == {"title": "open wire, right", "percent": standing["suspects"][0]["percent"]}
    assert standing["phase"]["names"][standing["phase"]["at"]] == "finding"
    assert standing["unit_number"] == "4471"


def test_a_screen_that_comes_back_gets_what_it_missed_and_no_more(floor: Floor) -> None:
    """And an answer whose fate it never learned is not taken twice."""
    session = floor.start()
    with floor.talk(session) as socket:
        first = Line(socket)
        standing = first.standing(1)
        epoch, seen = first.welcome["epoch"], standing["seq"]
        first.answer("answer-1", standing, "next")
        first.fate("answer-1")
    with floor.talk(session) as socket:
        back = Line(socket, epoch, seen)
        back.answer("answer-1", standing, "next")
        assert back.fate("answer-1")["fate"] == "taken"
        second = back.standing(2) if not any(one.get("turn") == 2 for one in back.seen) else None
        numbers = [one["seq"] for one in back.seen if "seq" in one]
        assert numbers == sorted(set(numbers))
        assert min(numbers) > seen
        stood = second or next(one for one in back.seen if one.get("turn") == 2)
        assert stood["ask"]["text"] == "Disc or drum?"
    assert words_in_record(floor, session) == ["next"]


def test_another_run_of_the_session_tells_everything_anew(floor: Floor) -> None:
    """Numbers of an earlier run mean nothing."""
    session = floor.start()
    with floor.talk(session) as socket:
        line = Line(socket, "an older run", 40)
        assert line.welcome["after"] == 0
        line.standing(1)
        assert next(one["seq"] for one in line.seen if "seq" in one) == 1
        assert line.texts()[0] == "Lamp is dark."


def test_two_screens_see_both_and_the_first_answer_wins(floor: Floor) -> None:
    """The other is told whose answer counted."""
    session = floor.start()
    with floor.talk(session) as one, floor.talk(session) as two:
        here, there = Line(one), Line(two)
        stood = here.standing(1)
        there.standing(1)
        here.answer("here-1-answer", stood, "next")
        assert here.fate("here-1-answer")["fate"] == "taken"
        there.standing(2)
        there.answer("there-1-answer", stood, "no")
        assert there.fate("there-1-answer") == {
            "kind": "fate", "id": "there-1-answer", "fate": "other", "words": "next",
        }  # fmt: skip
        there.answer(
            "there-2-answer", there.standing(2) if there.seen[-1].get("turn") == 2 else stood | {"turn": 2}, "x"
        )
    assert "next" in there.texts()
    assert words_in_record(floor, session) == ["next"]


def test_hold_and_resume(floor: Floor) -> None:
    """On hold nothing else is taken as an answer to the step."""
    session = floor.start()
    with floor.talk(session) as socket:
        line = Line(socket)
        line.answer("answer-1", line.standing(1), "hold on")
        held = line.standing(2)
        assert held["held"]
        assert [one["say"] for one in held["answers"]] == ["resume"]
        line.answer("answer-2", held, "resume")
        assert not line.standing(3)["held"]


def speak(line: Line, identity: str, standing: dict[str, Any], sound: bytes, *, held: bool) -> None:
    """Send a spoken answer in the pieces that a phone sends."""
    fields = {"id": identity, "turn": standing["turn"], "prompt": standing["prompt"], "held": held}
    line.socket.send_json({"kind": "speak", **fields})
    for start in range(0, len(sound), 4000):
        line.socket.send_bytes(sound[start : start + 4000])
    if held:
        line.socket.send_json({"kind": "spoken"})


def test_a_spoken_answer_ends_by_itself_or_with_the_button(make_floor: FloorMaker) -> None:
    """It is heard for the prompt at which it was begun, whole, and taken like a typed one."""
    hearing = FakeHearing("next", "disc")
    floor = make_floor(hearing=hearing)
    floor.pair()
    session = floor.start()
    with floor.talk(session) as socket:
        line = Line(socket)
        assert line.welcome["hears"]
        speak(line, "spoken-1", line.standing(1), noise(0.3) + voice(0.4) + noise(1.2), held=False)
        assert line.fate("spoken-1")["words"] == "next"
        speak(line, "spoken-2", line.standing(2), noise(0.2) + voice(0.4), held=True)
        assert line.fate("spoken-2")["fate"] == "taken"
        line.standing(3)
    assert [prompt for _, prompt in hearing.heard] == ["ready", "fact:brakes"]
    assert set(hearing.prepared) <= {"ready", "fact:brakes"}
    assert words_in_record(floor, session) == ["next", "disc"]


def test_a_spoken_answer_sent_again_is_heard_once(make_floor: FloorMaker) -> None:
    """Its fate is told again, and the recognizer is not asked."""
    hearing = FakeHearing("next")
    floor = make_floor(hearing=hearing)
    floor.pair()
    session = floor.start()
    sound = noise(0.2) + voice(0.4)
    with floor.talk(session) as socket:
        line = Line(socket)
        standing = line.standing(1)
        speak(line, "spoken-1", standing, sound, held=True)
        line.fate("spoken-1")
        epoch = line.welcome["epoch"]
    with floor.talk(session) as socket:
        back = Line(socket, epoch, 0)
        speak(back, "spoken-1", standing, sound, held=True)
        assert back.fate("spoken-1")["words"] == "next"
    assert len(hearing.heard) == 1


def test_silence_noise_and_a_changed_question_are_no_answers(make_floor: FloorMaker) -> None:
    """Nothing is logged from them, and the screen is told."""
    hearing = FakeHearing("", "[unclear] [unclear]")
    floor = make_floor(hearing=hearing)
    floor.pair()
    session = floor.start()
    with floor.talk(session) as socket:
        line = Line(socket)
        standing = line.standing(1)
        speak(line, "spoken-1", standing, noise(1.0), held=True)
        assert line.until(lambda one: one["kind"] == "nothing")["text"] == "I heard nothing."
        speak(line, "spoken-2", standing, noise(0.2) + voice(0.5) + noise(0.2), held=True)
        assert "no answer" in line.until(lambda one: one["kind"] == "nothing")["text"]
        speak(line, "spoken-3", {"turn": 7, "prompt": "ready"}, voice(0.5), held=True)
        assert line.fate("spoken-3")["fate"] == "late"
        socket.send_json({"kind": "unspoken"})
        line.answer("answer-1", standing, "next")
        assert line.fate("answer-1")["fate"] == "taken"
        line.standing(2)
    assert words_in_record(floor, session) == ["next"]


def test_a_faint_stop_is_asked_about_and_a_faint_reading_is_not(make_floor: FloorMaker) -> None:
    """Heard second behind the unknown word."""
    floor = make_floor(hearing=FakeHearing("[unclear]|next", "[unclear]|stop"))
    floor.pair()
    session = floor.start()
    with floor.talk(session) as socket:
        line = Line(socket)
        standing = line.standing(1)
        speak(line, "spoken-1", standing, voice(0.5), held=True)
        assert "no answer" in line.until(lambda one: one["kind"] == "nothing")["text"]
        speak(line, "spoken-2", standing, voice(0.5), held=True)
        assert line.fate("spoken-2")["fate"] == "taken"
        assert line.standing(2)["mode"] == "stop"  # the question whether to stop is the asking
    assert words_in_record(floor, session) == []


def test_without_a_model_speaking_is_told_why(floor: Floor) -> None:
    """Typed answers go on."""
    session = floor.start()
    with floor.talk(session) as socket:
        line = Line(socket)
        assert (line.welcome["hears"], line.welcome["deaf_because"]) == (False, "No model.")
        speak(line, "spoken-1", line.standing(1), b"", held=True)
        assert line.until(lambda one: one["kind"] == "trouble")["text"] == "No model."


ANSWER = {"kind": "answer", "id": "answer-1", "turn": 1, "prompt": "ready", "text": "next"}


@pytest.mark.parametrize(
    ("message", "code"),
    [
        ("not json", 4400),
        ("[]", 4400),
        ("[" * 3000, 4400),
        (json.dumps({"kind": "unknown"}), 4400),
        (json.dumps({**ANSWER, "id": "short"}), 4400),
        (json.dumps({**ANSWER, "id": 7}), 4400),
        (json.dumps({**ANSWER, "turn": "1"}), 4400),
        (json.dumps({**ANSWER, "turn": -1}), 4400),
        (json.dumps({**ANSWER, "turn": True}), 4400),
        (json.dumps({**ANSWER, "text": "   "}), 4400),
        (json.dumps({**ANSWER, "text": "x" * 600}), 4413),
        ("x" * (LARGEST_MESSAGE + 1), 4413),
        (b"x" * (LARGEST_MESSAGE + 1), 4413),
    ],
)
def test_a_message_against_the_rules_closes_the_line(floor: Floor, message: str | bytes, code: int) -> None:
    """With a code that says which rule; the session goes on for the others."""
    session = floor.start()
    with floor.talk(session) as socket:
        line = Line(socket)
        line.standing(1)
        if isinstance(message, bytes):
            socket.send_bytes(message)
        else:
            socket.send_text(message)
        with pytest.raises(WebSocketDisconnect) as caught:
            line.until(lambda _: False)
    assert caught.value.code == code
    with floor.talk(session) as socket:
        line = Line(socket)
        line.answer("answer-2", line.standing(1), "next")
        line.fate("answer-2")


@pytest.fixture
def still(monkeypatch: pytest.MonkeyPatch) -> None:
    """Time stands still for what a screen may send, however slow the machine is."""
    monkeypatch.setattr("assistant.web.websocket.Bucket", partial(Bucket, clock=FakeTime()))


@pytest.mark.usefixtures("still")
def test_too_many_messages_close_the_line(floor: Floor) -> None:
    """A screen that floods takes nothing from the session."""
    session = floor.start()
    with floor.talk(session) as socket:
        line = Line(socket)
        for _ in range(int(MESSAGE_BRIM) + 40):
            socket.send_json({"kind": "ping"})
        with pytest.raises(WebSocketDisconnect) as caught:
            line.until(lambda _: False)
    assert caught.value.code == 4408


@pytest.mark.usefixtures("still")
def test_too_many_pieces_of_no_sound_close_the_line(make_floor: FloorMaker) -> None:
    """Empty ones count too."""
    floor = make_floor(hearing=FakeHearing())
    floor.pair()
    session = floor.start()
    with floor.talk(session) as socket:
        line = Line(socket)
        for _ in range(int(SOUND_BRIM) // SMALLEST_SOUND + 600):
            socket.send_bytes(b"")
        with pytest.raises(WebSocketDisconnect) as caught:
            line.until(lambda _: False)
    assert caught.value.code == 4408


def test_no_hello_no_session_and_one_screen_too_many(floor: Floor) -> None:
    """Each is closed with its code."""
    session = floor.start()
    with floor.talk(session) as socket:
        socket.send_json({"kind": "ping"})
        with pytest.raises(WebSocketDisconnect) as caught:
            socket.receive_json()
    assert caught.value.code == 4400
    with floor.talk("20260101-000000-xyz") as socket, pytest.raises(WebSocketDisconnect) as caught:
        socket.receive_json()
    assert caught.value.code == 4404
    lines = [floor.talk(session) for _ in range(MOST_SCREENS)]
    for line in lines:
        line.__enter__()
    try:
        with floor.talk(session) as socket, pytest.raises(WebSocketDisconnect) as caught:
            socket.receive_json()
        assert caught.value.code == 4429
    finally:
        for line in lines:
            line.__exit__(None, None, None)


def test_closing_the_page_leaves_no_thread_and_keeps_the_sessions(make_floor: FloorMaker) -> None:
    """Every worker's thread ends and its record can be taken up again."""
    floor = make_floor()
    floor.pair()
    sessions = [floor.start(f"key-number-{number}") for number in range(3)]
    floor.house.workers.close()
    assert [thread.name for thread in threading.enumerate() if thread.name.startswith("leadsman-worker")] == []
    for session in sessions:
        opened = floor.house.shop.resume(session)
        opened.close()


def test_sessions_that_are_over_leave_no_thread_and_no_open_file(make_floor: FloorMaker) -> None:
    """Dozens of sessions, opened and set aside, and what the process holds is as before."""
    floor = make_floor()
    floor.pair()
    floor.post("/api/leave", {"id": floor.start("key-number-0")})
    open_files = len(list(Path("/proc/self/fd").iterdir())) if Path("/proc/self/fd").is_dir() else 0
    threads = {thread.name for thread in threading.enumerate()}
    for number in range(1, 31):
        session = floor.start(f"key-number-{number}")
        with floor.talk(session) as socket:
            Line(socket).standing(1)
        floor.post("/api/leave", {"id": session})
    assert not {name for name in {thread.name for thread in threading.enumerate()} - threads if "worker" in name}
    assert len(floor.house.workers._workers) <= OVER_KEPT + 1
    if open_files:
        assert len(list(Path("/proc/self/fd").iterdir())) <= open_files + 2


@pytest.mark.parametrize(("unit", "buttons"), [("ohm", 3), ("V", 3), ("in", 0), ("32nds", 0), ("psi", 0)])
def test_only_a_meter_can_be_over_range(unit: str, buttons: int, vocabulary: Vocabulary) -> None:
    shown = answers(Mode.CHECK, Expectation(Expects.READING, unit=unit), vocabulary)
    assert len(shown) == buttons


def test_the_open_line_of_a_screen_that_was_let_go_is_closed(floor: Floor) -> None:
    """At once, and it takes no more answers; another screen on the same session goes on."""
    session = floor.start()
    with floor.talk(session) as gone:
        line = Line(gone)
        standing = line.standing(1)
        assert floor.post("/api/unpair", {}).status_code == 200
        line.answer("after-the-end", standing, "yes")
        with pytest.raises(WebSocketDisconnect) as caught:
            line.fate("after-the-end")
        assert caught.value.code == 4401
    floor.client.cookies.clear()
    floor.pair()
    with floor.talk(session) as stays:
        again = Line(stays)
        turn = again.standing(1)
        assert turn["turn"] == standing["turn"]
        again.answer("of-another-one", turn, "yes")
        assert again.fate("of-another-one")["fate"] == "taken"
