"""Heard and not understood by tones, one reminder and then quiet, hold and resume, where we are, and a left session.

By microphone, keyboard and typed chat of this machine; the page's are in ``tests/web/test_page_touch.py``.
"""

from __future__ import annotations

import io
import re
import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack
from pathlib import Path

import pytest
from click.testing import CliRunner
from prompt_toolkit.input import create_pipe_input
from prompt_toolkit.output import DummyOutput

from assistant.__main__ import cli
from assistant.audio import tones
from assistant.clock import SystemClock
from assistant.commands.lead import session as session_command
from assistant.commands.lead.live import Live, Wishes
from assistant.composition import Work, new_session
from assistant.display.terminal import Screen
from assistant.inputs.chat import ChatKeyboard
from assistant.inputs.microphone import LiveListener
from assistant.inputs.ports import Keyboard
from assistant.loop import Loop
from assistant.numerals.vocabulary import Vocabulary
from assistant.records.store.folder import FolderStore
from assistant.session.saying import questions
from assistant.tts.voice import Voice
from tests.inputs.fakes import FakeHearing, FakeKeyboard, FakeMicrophone, FakePlayer, FakeSynthesizer, LoudVoice
from tests.inputs.sound_card import until
from tests.procedure.small import SMALL


@pytest.fixture(autouse=True)
def _lamp(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "shop" / "dialogs").mkdir(parents=True)
    (tmp_path / "shop" / "dialogs" / "lamp.toml").write_text(SMALL, encoding="utf-8")
    monkeypatch.setenv("LEADSMAN_SHOP", str(tmp_path / "shop"))


class Session:
    """One live session with stand-ins for its devices, in a thread of its own."""

    def __init__(self, folder: Path, vocabulary: Vocabulary, keyboard: Keyboard, *words: str) -> None:
        self.work: Work = new_session("lamp", FolderStore(folder), SystemClock(), unit="4471")
        self.out = io.StringIO()
        self.player, self.microphone = FakePlayer(), FakeMicrophone()
        self.voice = Voice(FakeSynthesizer(), self.player, self.note)
        clock = SystemClock()
        self.listener = LiveListener(
            clock.now, vocabulary, keyboard, lambda: FakeHearing(*words), self.voice, self.note,
            lambda _: self.microphone, detector=LoudVoice(),
        )  # fmt: skip
        self.listener.start()
        self.listened = 0
        self.loop = Loop(
            self.work.context, self.work.state, self.work.journal, self.listener, Screen(self.voice, self.out), clock
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
        self.listener.close()
        self.thread.join(60)
        self.voice.close()
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
    sessions: list[Session], tmp_path: Path, vocabulary: Vocabulary, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Silence is answered once at a prompt, and at the next prompt once again."""
    monkeypatch.setattr(questions, "ANSWER_SECONDS", 0.2)
    keyboard = FakeKeyboard()
    one = Session(tmp_path / "records", vocabulary, keyboard)
    sessions.append(one)
    until(lambda: "I am still here" in one.talk, "a reminder")
    until(lambda: one.listened == 2, "to be listening again")
    time.sleep(1.0)  # five times as long as the first silence: there is no state to wait for
    assert one.talk.count("I am still here") == 1
    assert one.listened == 2
    keyboard.lines.append("next")
    until(lambda: one.talk.count("I am still here") == 2, "a reminder at the next prompt")


def test_heard_and_not_understood_sound_different_and_only_voices_are_answered(
    sessions: list[Session], tmp_path: Path, vocabulary: Vocabulary
) -> None:
    """A high tone for an answer, two falling ones for a voice without one, nothing for a noise without words."""
    one = Session(tmp_path / "records", vocabulary, FakeKeyboard(), "", "[unclear]", "next")
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
    # when the hold began, for the reading that was not taken, and at the end of each answer
    assert one.talk.count("On hold. Say resume to go on.") == 4
    assert not one.loop.state.held
    entries = one.work.journal.where
    told = re.sub(r'"[0-9a-f]{64}"', "", Path(entries).read_text(encoding="utf-8"))  # a hash may hold any figures
    assert "1180" not in told


def test_hold_and_where_by_lines(sessions: list[Session], tmp_path: Path, vocabulary: Vocabulary) -> None:
    """On hold nothing is taken, and nothing that is said is kept."""
    one = Session(tmp_path / "records", vocabulary, FakeKeyboard(*SAID))
    sessions.append(one)
    check_hold(one)


def test_hold_and_where_by_voice(sessions: list[Session], tmp_path: Path, vocabulary: Vocabulary) -> None:
    """The same at the microphone."""
    one = Session(tmp_path / "records", vocabulary, FakeKeyboard(), *SAID)
    sessions.append(one)
    for number in range(len(SAID)):
        until(lambda number=number: one.listened > number, "the next prompt")  # type: ignore[misc]
        until(lambda: time.monotonic() > one.voice.silent_since + 0.3, "our own voice and its echo to be over")
        one.microphone.say()
    check_hold(one)


def test_hold_and_where_in_the_chat(sessions: list[Session], tmp_path: Path, vocabulary: Vocabulary) -> None:
    """The same from the chat's own line."""
    with create_pipe_input() as keys:
        chat = ChatKeyboard(vocabulary, lambda: "headset", keys, DummyOutput())
        one = Session(tmp_path / "records", vocabulary, chat)
        sessions.append(one)
        for words in SAID:
            keys.send_text(f"{words}\r")
        check_hold(one)
        one.close()
        sessions.clear()


@pytest.mark.parametrize("by", ["voice", "typed"])
@pytest.mark.parametrize("wanted", [True, False])
def test_a_session_that_was_left_is_offered_again(
    tmp_path: Path, vocabulary: Vocabulary, monkeypatch: pytest.MonkeyPatch, by: str, wanted: bool
) -> None:
    """By voice and typed, before anything is recorded. Who says no begins a new one; a yes goes on where it was."""
    records = tmp_path / "records"
    work = new_session("lamp", FolderStore(records), SystemClock(), unit="4471")
    work.journal.close()
    answer = "yes" if wanted else "no"
    microphone, player, hearing = FakeMicrophone(), FakePlayer(), FakeHearing("twelve hundred", answer)
    listeners: list[LiveListener] = []

    def fronted(stack: ExitStack, now: Callable[[], float], wishes: Wishes, notice: Callable[[str], None]) -> Live:
        keyboard = FakeKeyboard(*(() if by == "voice" else ("1180", answer)))
        voice = Voice(FakeSynthesizer(), player, notice)
        listeners.append(
            LiveListener(
                now, vocabulary, keyboard, lambda: hearing, voice, notice, lambda _: microphone,
                detector=LoudVoice(),
            )
        )  # fmt: skip
        listeners[0].start()
        stack.callback(listeners[0].close)
        return Live(listeners[0], voice, None)

    monkeypatch.setattr(session_command, "open_live", fronted)
    monkeypatch.setattr(session_command, "is_terminal", lambda: True)
    monkeypatch.setattr(session_command, "model_used", lambda _: None)
    out = io.StringIO()
    monkeypatch.setattr(session_command, "Screen", lambda voice, **_: Screen(voice, out))
    words = ["start", "lamp", "--unit", "4471", "--records", str(records)]

    def talk() -> str:
        return " ".join(out.getvalue().split())

    def both_heard() -> bool:
        if not microphone.queue:
            microphone.say()
        return not hearing.words

    with ThreadPoolExecutor(1) as pool:
        begun = pool.submit(CliRunner().invoke, cli, words)
        try:
            until(lambda: "Say yes or no." in talk(), "the offer")
            if by == "voice":
                # typed answers wait already, so the new session may have begun by now
                assert len(list(records.glob("**/*.jsonl"))) == 1, "nothing is recorded before the answer"
                # what is said while we speak is dropped, so it is said again as people do
                until(both_heard, "both heard")
            until(lambda: ("Welcome back" if wanted else "Ready?") in talk(), "the session")
        finally:
            until(lambda: listeners, "the listener")
            listeners[0].close()
        result = begun.result(60)
    assert result.exit_code == 0, result.output
    assert "Unit 4471 has a session that was left at the cautions, today at" in talk()
    assert "Yes or no, please." in talk()
    assert ("Welcome back" in talk()) is wanted
    assert len(list(records.glob("**/*.jsonl"))) == (1 if wanted else 2)
