"""A session at a terminal: typed, in the chat, or by microphone; what is opened, what is asked first, what is closed.

Microphone, recognizer, loudspeaker and keyboard are the tests' own.
"""

from __future__ import annotations

import functools
import queue
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from io import BytesIO
from pathlib import Path
from types import TracebackType
from typing import Self

import pytest
import soundfile

from assistant.audio import microphone as microphone_room
from assistant.audio.devices import Problem
from assistant.audio.microphone import Event
from assistant.clock import SystemClock
from assistant.commands.lead import live as live_command
from assistant.commands.lead import practice as practice_command
from assistant.commands.lead import session as session_command
from assistant.commands.lead import voice as voice_command
from assistant.commands.lead.live import Wishes, model_used, open_live, tell
from assistant.composition import new_session
from assistant.display.terminal import Screen
from assistant.errors import OperatorError
from assistant.inputs import microphone as listening
from assistant.inputs.chat import ChatKeyboard
from assistant.inputs.microphone import LiveListener
from assistant.messages import Heard, Source
from assistant.records.journal.private import sounds_of
from assistant.records.journal.sound import NOTICE
from assistant.records.store.folder import FolderStore
from assistant.records.store.ports import find
from assistant.setup.model import ModelIdentity
from assistant.simulator.partner import SAME
from assistant.tts.voice import Voice
from tests.commands.running import Run
from tests.inputs.fakes import FakeHearing, FakeMicrophone, FakePlayer, FakeSynthesizer, LoudVoice
from tests.procedure.small import SMALL

MODEL = ModelIdentity("invented", "0" * 64)
NO_MICROPHONE = "No microphone was found."
TYPED = Wishes(listen=False, headset=False, speak=False)


class Hearing(FakeHearing):
    """A recognizer that is made, entered and left; it keeps whether it was."""

    left = False

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.left = True


class Room(FakeMicrophone):
    """Somebody who says one thing after another, the next once the one before was heard."""

    def __init__(self, hearing: Hearing) -> None:
        super().__init__()
        self._hearing = hearing
        self.unsaid = 0
        self.over = False

    def events(self) -> Iterator[Event]:
        if self.unsaid and self.unsaid == len(self._hearing.words):
            self.unsaid -= 1
            self.say()
        self.over = not self._hearing.words and not self.queue
        yield from super().events()


class EndsBehind:
    """A keyboard on which nothing is typed; its stream ends once everything that was said is heard."""

    interactive = True

    def __init__(self, room: Room) -> None:
        self._room = room

    def poll(self, seconds: float) -> str | None:
        del seconds
        if not self._room.over:
            raise queue.Empty
        return None

    def close(self) -> None:
        pass


class Desk:
    """A terminal with what lies around it."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, folder: Path) -> None:
        self._patch = monkeypatch
        self.hearing = Hearing()
        self.microphone = Room(self.hearing)
        self.there = True
        self.records = FolderStore(folder / "records")
        self.terminal(is_one=False)
        self.types()
        monkeypatch.setattr(live_command, "has_chat", lambda: False)
        monkeypatch.setattr(live_command, "model_folder", Path)
        monkeypatch.setattr(live_command, "identity", lambda _: MODEL)
        monkeypatch.setattr(microphone_room, "Microphone", lambda: self.open(""))
        monkeypatch.setattr("assistant.asr.recognizer.Recognizer", lambda *_, **__: self.hearing)
        monkeypatch.setattr(
            listening,
            "LiveListener",
            functools.partial(LiveListener, open_microphone=self.open, detector=LoudVoice()),
        )

    def open(self, _wanted: str) -> FakeMicrophone:
        if not self.there:
            raise OperatorError(NO_MICROPHONE, remedy="Connect one and start again.")
        return self.microphone

    def terminal(self, *, is_one: bool) -> None:
        for module in (live_command, session_command, practice_command):
            self._patch.setattr(module, "is_terminal", lambda: is_one)

    def types(self, *lines: str) -> None:
        typed = "".join(f"{line}\n" for line in lines).encode()
        self._patch.setattr(live_command, "own_standard_input", lambda: BytesIO(typed))

    def says(self, *words: str) -> None:
        self.hearing.words = list(words)
        self.microphone.unsaid = len(words)
        keyboard = EndsBehind(self.microphone)
        self._patch.setattr(live_command, "LineKeyboard", lambda *_, **__: keyboard)

    def start(self, run: Run, *more: str) -> tuple[int, str, str]:
        ran = run("start", "lamp", "--unit", "4471", "--records", str(self.records.folder), *more)
        return ran.code, ran.out, ran.err

    def heard(self, name: str) -> list[tuple[str, Source]]:
        facts = [one.fact for _, one in find(self.records, name).entries() if isinstance(one.fact, Heard)]
        return [(fact.hypotheses[0].words, fact.source) for fact in facts]

    def leaves(self) -> str:
        """A session on the same unit that was left; its name."""
        work = new_session("lamp", self.records, SystemClock(), unit="4471")
        work.journal.close()
        return work.header.session_id


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Desk:
    """With an invented lamp to mend."""
    (tmp_path / "shop" / "dialogs").mkdir(parents=True)
    (tmp_path / "shop" / "dialogs" / "lamp.toml").write_text(SMALL, encoding="utf-8")
    monkeypatch.setenv("LEADSMAN_SHOP", str(tmp_path / "shop"))
    return Desk(monkeypatch, tmp_path)


def test_a_session_is_led_by_microphone_and_its_answers_keep_their_sound(desk: Desk, run: Run) -> None:
    desk.says("next", "lamp is dark", "yes", "drum")
    code, out, err = desk.start(run, "--listen", "--mute", "--keep-sound")
    assert code == 0, err
    assert out.index(NOTICE[:40]) < out.index("next"), "it is told before anything is heard"
    [name] = desk.records.ids()
    heard = desk.heard(name)
    assert [words for words, _ in heard] == ["next", "lamp is dark", "drum"], "the yes counts for the note"
    assert {source for _, source in heard} == {Source.MICROPHONE}
    header = find(desk.records, name).header
    assert (header.source, header.model) == ("microphone", MODEL.name)
    sounds = sounds_of(desk.records.folder, name)
    assert sorted(sounds) == [2, 3], "the last of them answers nothing"
    assert soundfile.info(next(iter(sounds.values()))).duration > 0.4
    assert f"The session is kept. Go on with: leadsman resume {name}" in out
    assert desk.microphone.closed
    assert desk.hearing.left


def test_without_a_microphone_a_session_that_must_listen_leaves_no_record(desk: Desk, run: Run) -> None:
    desk.there = False
    code, _, err = desk.start(run, "--listen", "--mute")
    assert code == 2
    assert NO_MICROPHONE in err
    assert not desk.records.ids()


def test_at_a_terminal_without_a_microphone_the_session_is_typed(desk: Desk, run: Run) -> None:
    desk.there = False
    desk.terminal(is_one=True)
    desk.types("next", "drum")
    code, _, err = desk.start(run, "--mute")
    assert code == 0
    told = " ".join(err.split())
    assert f"({NO_MICROPHONE} Connect one and start again. The session is typed; 'voice on' tries again.)" in told
    [name] = desk.records.ids()
    assert desk.heard(name) == [("next", Source.TYPED), ("drum", Source.TYPED)]


@pytest.mark.parametrize("answer", ["yes", "no", "stop"])
def test_at_a_terminal_a_session_that_was_left_is_offered_first(desk: Desk, run: Run, answer: str) -> None:
    """Yes goes on with it, no begins another one, and 'stop' does neither."""
    left = desk.leaves()
    desk.terminal(is_one=True)
    desk.types(answer, "next", "drum")
    code, out, _ = desk.start(run, "--typed")
    assert code == 0
    assert "Unit 4471 has a session that was left" in out
    others = [name for name in desk.records.ids() if name != left]
    led = [("next", Source.TYPED), ("drum", Source.TYPED)]
    assert desk.heard(left) == (led if answer == "yes" else [])
    assert [desk.heard(name) for name in others] == ([led] if answer == "no" else [])
    assert (f"Nothing was begun. Go on with that session by: leadsman resume {left}" in out) == (answer == "stop")


def test_in_a_pipe_it_is_only_told(desk: Desk, run: Run) -> None:
    left = desk.leaves()
    _, _, err = desk.start(run, "--typed")
    assert f"Go on with it by: leadsman resume {left}" in " ".join(err.split())
    assert len(desk.records.ids()) == 2


def test_the_chat_shows_where_the_session_stands(desk: Desk, run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """Before the first question it shows the offer, then the board of the session, each with what may be typed."""
    shown: list[tuple[str, tuple[str, ...]]] = []

    class Chat(ChatKeyboard):
        def __init__(self, _vocabulary: object, standing: Callable[[], str]) -> None:
            self.lines: list[str | None] = ["yes", "next", None]
            self.standing = standing
            self.interactive = True

        def show(self, board: object, hint: str) -> None:
            shown.append((getattr(board, "ask", ""), tuple(getattr(board, "answers", ()))))
            assert self.standing() == "off"
            assert hint

        def poll(self, seconds: float) -> str | None:
            return self.lines.pop(0)

        def close(self) -> None:
            pass

    left = desk.leaves()
    desk.terminal(is_one=True)
    monkeypatch.setattr(live_command, "has_chat", lambda: True)
    monkeypatch.setattr("assistant.inputs.chat.ChatKeyboard", Chat)
    code, _, _ = desk.start(run, "--typed")
    assert code == 0
    assert "Resume it?" in shown[0][0]
    assert shown[0][1] == ("yes", "no")
    assert len(shown) >= 3
    assert all("Resume it?" not in ask for ask, _ in shown[1:])
    assert desk.heard(left) == [("next", Source.TYPED)]


def test_practice_at_a_terminal_is_typed_and_has_no_model(desk: Desk, run: Run) -> None:
    desk.terminal(is_one=True)
    desk.types(SAME, SAME)
    ran = run("practice", "trailer-abs-light-on", "--seed", "7", "--typed", "--records", str(desk.records.folder))
    assert ran.code == 0
    assert "You left the session before its end." in ran.out
    [name] = desk.records.ids()
    assert find(desk.records, name).header.invented
    assert {source for _, source in desk.heard(name)} == {Source.TYPED}


@pytest.mark.parametrize("more", [("--pace", "100"), ("--typed", "--watch"), ("--listen", "--typed")])
def test_practice_refuses_what_does_not_go_together(run: Run, more: tuple[str, ...]) -> None:
    ran = run("practice", "trailer-abs-light-on", *more)
    assert ran.code == 2
    assert "--pace goes with --watch" in ran.err or "only one of --typed, --listen and --watch" in ran.err


@pytest.mark.parametrize(("listen", "used"), [(False, None), (None, MODEL), (True, MODEL)])
def test_the_record_names_the_model_only_where_something_may_be_heard(
    desk: Desk, listen: bool | None, used: ModelIdentity | None
) -> None:
    assert model_used(Wishes(listen, headset=False, speak=None)) == used
    assert desk.microphone.closed == bool(listen), "it is tried, and given back"


def test_a_missing_model_stops_only_who_asked_to_be_heard(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    def none() -> Path:
        raise OperatorError("There is no speech model.", remedy="Run: leadsman setup")

    assert not desk.records.ids()
    monkeypatch.setattr(live_command, "model_folder", none)
    assert model_used(Wishes(None, headset=False, speak=None)) is None
    with pytest.raises(OperatorError, match="There is no speech model"):
        model_used(Wishes(True, headset=False, speak=None))


def test_a_voice_can_be_cut_short_by_what_is_typed(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    """Voice and keyboard are put together: a line that waits ends the sentence that is being said."""
    synthesizer, player = FakeSynthesizer(), FakePlayer()
    desk.types("next")
    monkeypatch.setattr(live_command, "make_voice", lambda *_: Voice(synthesizer, player, print))
    with ExitStack() as stack:
        live = open_live(stack, lambda: 0.0, Wishes(listen=False, headset=False, speak=True), tell)
        assert live.voice is not None
        assert live.voice.interrupted == live.listener.interrupts
    with ExitStack() as stack:
        assert open_live(stack, lambda: 0.0, TYPED, tell).voice is None


def test_remarks_are_broken_into_lines_in_brackets(capsys: pytest.CaptureFixture[str]) -> None:
    tell("The microphone is gone, " * 12)
    lines = capsys.readouterr().err.splitlines()
    assert len(lines) > 1
    assert (lines[0][0], lines[-1][-1]) == ("(", ")")
    assert max(map(len, lines)) <= 100


def test_speech_is_saved_aloud_or_both(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    synthesizer, player = FakeSynthesizer(), FakePlayer()
    monkeypatch.setattr(voice_command, "speech_problem", lambda: None)
    monkeypatch.setattr(voice_command, "chosen_synthesizer", lambda: synthesizer)
    monkeypatch.setattr(voice_command, "make_voice", lambda *_: Voice(synthesizer, player, print))
    for aloud, saves in ((False, False), (True, False), (False, True), (True, True)):
        played, folder = len(player.played), tmp_path / f"{aloud}-{saves}"
        with ExitStack() as stack:
            voice = voice_command.open_voice(stack, aloud=aloud, save_to=folder if saves else None)
            assert (voice is None) == (not aloud and not saves)
            Screen(voice).notice("begun")
            if voice is not None:
                voice.say("Twelve point six volts.")
        assert (len(player.played) > played) == aloud
        assert [path.name for path in folder.glob("*")] == (["001.wav"] if saves else [])


def test_where_speech_cannot_be_made_nothing_is_saved_and_one_line_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    lacking = Problem("The speech library is missing, so nothing is spoken.", "Run: sudo apt install espeak-ng")
    monkeypatch.setattr(voice_command, "speech_problem", lambda: lacking)
    with ExitStack() as stack:
        assert voice_command.open_voice(stack, aloud=False, save_to=tmp_path / "said") is None
    assert capsys.readouterr().err == f"({lacking.text} {lacking.remedy})\n"
    assert not (tmp_path / "said").exists()
    monkeypatch.setattr(voice_command, "speech_problem", lambda: None)
    monkeypatch.setattr(voice_command, "chosen_synthesizer", FakeSynthesizer)
    (tmp_path / "file").write_text("", encoding="utf-8")
    with ExitStack() as stack, pytest.raises(OperatorError, match="Cannot make the folder"):
        voice_command.open_voice(stack, aloud=False, save_to=tmp_path / "file")
