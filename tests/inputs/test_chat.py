"""The typed chat: lines, history, completion, and a board that fits an 80 by 24 terminal."""

from __future__ import annotations

import queue
from collections.abc import Iterator

import pytest
from prompt_toolkit.completion import CompleteEvent
from prompt_toolkit.document import Document
from prompt_toolkit.formatted_text.utils import fragment_list_to_text
from prompt_toolkit.input import PipeInput
from prompt_toolkit.input import create_pipe_input as pipe
from prompt_toolkit.output import ColorDepth, DummyOutput
from prompt_toolkit.renderer import CPR_Support

from assistant.commands import terminal
from assistant.display.board import Board, Last, words_to_complete
from assistant.inputs.chat import ChatKeyboard
from assistant.numerals.vocabulary import Vocabulary

BOARD = Board(
    "Which light stays on: the trailer's own, the dash light for the trailer, or both? Look at both of them first.",
    "900 to 2,000 ohms",
    Last("resistance at the sensor, left rear", "1,180 ohms", "good", "good"),
    ("sensor backed off, left front 31%", "cord 12%"),
    ("trailer light", "dash light"),
)


@pytest.fixture
def keys() -> Iterator[PipeInput]:
    with pipe() as made:
        yield made


def line(chat: ChatKeyboard) -> str | None:
    return chat.poll(60.0)


def test_lines_history_and_the_end(keys: PipeInput, vocabulary: Vocabulary) -> None:
    chat = ChatKeyboard(vocabulary, lambda: "off", keys, DummyOutput())
    keys.send_text("  1180 \r")
    assert line(chat) == "1180"
    again: str | None = None
    for _ in range(60):  # history is loaded beside the prompt, so the arrow may come too early: an empty line is none
        keys.send_text("\x1b[A\r")
        try:
            again = chat.poll(1.0)
        except queue.Empty:
            continue
        break
    assert again == "1180"
    keys.send_text("\x03")
    assert line(chat) is None
    chat.close()


def test_tab_completes_the_choices_and_commands_of_the_moment(keys: PipeInput, vocabulary: Vocabulary) -> None:
    chat = ChatKeyboard(vocabulary, lambda: "off", keys, DummyOutput())
    chat.show(BOARD, "trailer light, dash light")
    completer = chat._session.completer
    assert completer is not None
    found = [one.text for one in completer.get_completions(Document("trai"), CompleteEvent())]
    assert found == ["trailer light"]
    assert {"trailer light", "where are we", "voice off"} <= set(chat.words())
    chat.close()


def test_closing_gives_the_terminal_back(keys: PipeInput, vocabulary: Vocabulary) -> None:
    chat = ChatKeyboard(vocabulary, lambda: "off", keys, DummyOutput())
    keys.send_text("next\r")
    assert line(chat) == "next"
    chat.close()
    chat.close()
    assert not chat._thread.is_alive()


@pytest.mark.parametrize("width", [40, 79, 200])
def test_the_board_fits(width: int) -> None:
    """The prompt, the last reading, its limit with the suspects, and the microphone, in four lines."""
    rows = BOARD.rows(width, "headset")
    assert len(rows) == 4
    assert all(len(one.text) <= width for one in rows)
    assert rows[1].text.startswith("● 1,180 ohms, good: resistance at the")
    assert rows[1].mark == "good"
    assert rows[2].text.startswith("Limit 900 to 2,000 ohms")
    assert "headset" in rows[-1].text


@pytest.mark.parametrize("width", range(12, 100, 7))
def test_value_and_verdict_are_never_cut(width: int) -> None:
    """The longest that a meter shows, under the longest title."""
    title = "volts at the wheel end of the sensor wire, right rear outer wheel of the second trailer"
    last = Last(title, "unsteady, 1,100 to 1,250 ohms", "too close to call", "close")
    rows = Board("Ask?", "", last, ("one",), ()).rows(width, "off")
    told = " ".join(row.text for row in rows if row.mark == "close")
    assert told.startswith("▲ unsteady, 1,100 to 1,250 ohms, too close to call")
    assert all(len(row.text) <= width for row in rows)


def test_an_empty_board_shows_the_microphone_only(vocabulary: Vocabulary) -> None:
    empty = Board("", "", None, (), ())
    assert [row.text for row in empty.rows(80, "LOST")] == ["Microphone: LOST"]
    assert "voice on" in words_to_complete(empty, vocabulary)


def test_without_color_it_is_drawn_all_the_same(
    keys: PipeInput, vocabulary: Vocabulary, monkeypatch: pytest.MonkeyPatch
) -> None:
    """NO_COLOR takes the color, not the board."""
    monkeypatch.setenv("NO_COLOR", "1")
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setattr(terminal, "is_terminal", lambda: True)
    assert terminal.has_chat()
    chat = ChatKeyboard(vocabulary, lambda: "off", keys, DummyOutput())
    assert chat._session.app.color_depth is ColorDepth.DEPTH_1_BIT
    chat.close()
    monkeypatch.setenv("TERM", "dumb")
    assert not terminal.has_chat()


class NoCursor(DummyOutput):
    """A terminal that does not tell how many rows lie below its cursor."""

    def get_rows_below_cursor_position(self) -> int:
        raise NotImplementedError  # as the library's own outputs do that cannot tell


def test_a_terminal_that_does_not_tell_its_cursor_has_the_board_above_the_line(
    keys: PipeInput, vocabulary: Vocabulary, capsys: pytest.CaptureFixture[str]
) -> None:
    """A slow remote shell may be taken for one: nothing is lost, and the library prints no warning of its own."""
    chat = ChatKeyboard(vocabulary, lambda: "headset", keys, NoCursor())
    chat.show(BOARD, "trailer light, dash light")
    renderer = chat._session.app.renderer
    renderer.cpr_support = CPR_Support.UNKNOWN
    assert "Microphone" not in fragment_list_to_text(chat._message())
    renderer.cpr_support = CPR_Support.NOT_SUPPORTED
    assert renderer.cpr_not_supported_callback is not None
    renderer.cpr_not_supported_callback()
    shown = fragment_list_to_text(chat._message()).splitlines()
    assert shown[0].startswith("Which light stays on")
    assert shown[1].startswith("● 1,180 ohms, good")
    assert shown[2].startswith("Limit 900 to 2,000 ohms")
    assert shown[-2:] == ["Microphone: headset", "[trailer light, dash light] > "]
    chat.close()
    assert "WARNING" not in "".join(capsys.readouterr())
