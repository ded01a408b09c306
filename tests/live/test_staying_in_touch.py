"""Heard and not understood by ear, one reminder and then quiet, hold and resume, where we are, and a left session.

By microphone, keyboard and typed chat of this machine; the page's are in ``tests/page/test_page_touch.py``.
"""

from __future__ import annotations

import io
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import click
import pytest
from prompt_toolkit.input import create_pipe_input
from prompt_toolkit.output import DummyOutput

from assistant.app import Loop
from assistant.clock import SystemClock
from assistant.commands import session as session_command
from assistant.engine import asking
from assistant.live import tones
from assistant.live.chat import ChatKeyboard
from assistant.live.ear import LiveEar
from assistant.live.mouth import Mouth
from assistant.log.store.folder import FolderStore
from assistant.screen import Screen
from assistant.wiring import Work, new_session, resume_session
from assistant.words.lexicon import Lexicon
from tests.live.fakes import FakeHearing, FakeKeyboard, FakeMicrophone, FakePlayer, FakeRenderer, LoudVoice
from tests.live.sound_card import until
from tests.procedure.small import SMALL


@pytest.fixture(autouse=True)
def _lamp(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "shop" / "dialogs").mkdir(parents=True)
    (tmp_path / "shop" / "dialogs" / "lamp.toml").write_text(SMALL, encoding="utf-8")
    monkeypatch.setenv("LEADSMAN_SHOP", str(tmp_path / "shop"))


class Session:
    """One live session with stand-ins for its devices, in a thread of its own."""

    def __init__(self, folder: Path, lexicon: Lexicon, keyboard: object, *words: str) -> None:
        self.work: Work = new_session("lamp", FolderStore(folder), SystemClock(), unit="4471")
        self.out = io.StringIO()
        self.player, self.microphone = FakePlayer(), FakeMicrophone()
        self.mouth = Mouth(FakeRenderer(), self.player, self.note)
        clock = SystemClock()
        self.ear = LiveEar(
            clock.now, lexicon, keyboard, lambda: FakeHearing(*words), self.mouth, self.note,  # type: ignore[arg-type,return-value]
            lambda _: self.microphone, detector=LoudVoice(),
        )  # fmt: skip
        self.ear.start()
        self.listened = 0
        self.loop = Loop(
            self.work.setting, self.work.state, self.work.journal, self.ear, Screen(self.mouth, self.out), clock
        )
        self.loop.on_listen = lambda _: self._count()
        self.thread = threading.Thread(target=self.loop.run, daemon=True)
        self.thread.start()

    @property
    def talk(self) -> str:
        """What the screen shows, wrapped lines joined."""
        return " ".join(self.out.getvalue().split())

    def note(self, text: str) -> None:
        self.out.write(f"({text})\n")

    def close(self) -> None:
        self.ear.close()
        self.thread.join(60)
        self.mouth.close()
        self.work.journal.close()

    def _count(self) -> None:
        self.listened += 1


@pytest.fixture
def sessions() -> Iterator[list[Session]]:
    made: list[Session] = []
    yield made
    for one in made:
        one.close()


def test_one_reminder_and_then_quiet(
    sessions: list[Session], tmp_path: Path, lexicon: Lexicon, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Silence is answered once at a prompt, and at the next prompt once again."""
    monkeypatch.setattr(asking, "ANSWER_SECONDS", 0.2)
    keyboard = FakeKeyboard()
    one = Session(tmp_path / "records", lexicon, keyboard)
    sessions.append(one)
    until(lambda: "I am still here" in one.talk, "a reminder")
    until(lambda: one.listened == 2, "to be listening again")
    time.sleep(1.0)  # five times as long as the first silence: there is no state to wait for
    assert one.talk.count("I am still here") == 1
    assert one.listened == 2
    keyboard.lines.append("next")
    until(lambda: one.talk.count("I am still here") == 2, "a reminder at the next prompt")


def test_heard_and_not_understood_sound_different_and_only_voices_are_answered(
    sessions: list[Session], tmp_path: Path, lexicon: Lexicon
) -> None:
    """A high tone for an answer, two falling ones for a voice without one, nothing for a noise without words."""
    one = Session(tmp_path / "records", lexicon, FakeKeyboard(), "", "[unk]", "next")
    sessions.append(one)
    until(lambda: one.listened, "the first prompt")
    good, bad = len(tones.heard(16000)), len(tones.not_understood(16000))
    one.microphone.say()
    one.microphone.say()
    until(lambda: bad in one.player.played, "the falling tones")
    assert good not in one.player.played
    one.microphone.say()
    until(lambda: "next" in one.talk and one.listened >= 2, "the answer")
    assert one.player.played.count(bad) == 1
    assert one.player.played.count(good) == 1


SAID = ("where are we", "hold on", "1180", "where are we", "what's left", "resume")


def check_hold(one: Session) -> None:
    """What both ways of typing come to."""
    until(lambda: one.listened >= 7, "all of it taken")
    assert one.talk.count("We are at the cautions.") == 2
    # asked while held, it says so at the end of each answer; when the hold began, too
    assert one.talk.count("On hold. Say resume to go on.") == 3
    assert not one.loop.state.held
    entries = one.work.journal.where
    assert "1180" not in Path(entries).read_text(encoding="utf-8")


def test_hold_and_where_by_lines(sessions: list[Session], tmp_path: Path, lexicon: Lexicon) -> None:
    """On hold nothing is taken, and nothing that is said is kept."""
    one = Session(tmp_path / "records", lexicon, FakeKeyboard(*SAID))
    sessions.append(one)
    check_hold(one)


def test_hold_and_where_by_voice(sessions: list[Session], tmp_path: Path, lexicon: Lexicon) -> None:
    """The same at the microphone."""
    one = Session(tmp_path / "records", lexicon, FakeKeyboard(), *SAID)
    sessions.append(one)
    for number in range(len(SAID)):
        until(lambda number=number: one.listened > number, "the next prompt")  # type: ignore[misc]
        until(lambda: time.monotonic() > one.mouth.silent_since + 0.3, "our own voice and its echo to be over")
        one.microphone.say()
    check_hold(one)


def test_hold_and_where_in_the_chat(sessions: list[Session], tmp_path: Path, lexicon: Lexicon) -> None:
    """The same from the chat's own line."""
    with create_pipe_input() as keys:
        chat = ChatKeyboard(lexicon, lambda: "headset", keys, DummyOutput())
        one = Session(tmp_path / "records", lexicon, chat)
        sessions.append(one)
        for words in SAID:
            keys.send_text(f"{words}\r")
        check_hold(one)
        one.close()
        sessions.clear()


@pytest.mark.parametrize("wanted", [True, False])
def test_a_session_that_was_left_is_offered_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, wanted: bool
) -> None:
    """The same procedure on the same unit; who says no begins a new one. It goes on where it was left."""
    store = FolderStore(tmp_path / "records")
    work = new_session("lamp", store, SystemClock(), unit="4471")
    work.journal.close()
    asked: list[str] = []
    monkeypatch.setattr(session_command, "is_terminal", lambda: True)
    monkeypatch.setattr(click, "confirm", lambda text, default: (asked.append(text), wanted)[1])
    found = session_command._left_session(store, "lamp", "4471")
    assert found == (work.header.session_id if wanted else None)
    assert asked[0].startswith("A session on unit 4471 was left on 20")
    assert session_command._left_session(store, "lamp", "9") is None
    again, _ = resume_session(store, work.header.session_id, SystemClock)
    again.journal.close()
