"""Verdicts and cautions on a terminal: words, a shape and a color; without color the shape, in a pipe neither."""

from __future__ import annotations

import io
import re

import pytest

from assistant.commands.lead.practice import PacedScreen
from assistant.display.terminal import Screen
from assistant.messages import Say
from assistant.numerals.vocabulary import Vocabulary
from assistant.phrasing.phrase import phrase

ANSI = re.compile(r"\x1b\[[0-9;]*m")
SAYS = {
    "good": Say("verdict", {"word": "Good"}),
    "bad": Say("verdict", {"word": "Too high"}),
    "close": Say("verdict", {"word": "Too close to call"}),
    "caution": Say("caution_told", {"text": "Chock the wheels."}),
    "": Say("noted"),
}
SHAPES = {"good": "● ", "bad": "■ ", "close": "▲ ", "caution": "! ", "": ""}


class Terminal(io.StringIO):
    """Takes what is written as a terminal does."""

    encoding = "utf-8"

    def isatty(self) -> bool:
        return True


def shown(say: Say, out: io.StringIO, vocabulary: Vocabulary) -> str:
    Screen(out=out).say(0.0, phrase(say, vocabulary))
    return out.getvalue()


@pytest.mark.parametrize("mark", list(SAYS))
def test_a_terminal_shows_shape_and_color(mark: str, vocabulary: Vocabulary, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")
    text = shown(SAYS[mark], Terminal(), vocabulary)
    assert bool(ANSI.search(text)) is bool(mark)
    plain = ANSI.sub("", text)
    assert plain.split("Leadsman  ")[1].startswith(SHAPES[mark] + phrase(SAYS[mark], vocabulary).shown[:5])


@pytest.mark.parametrize("mark", ["good", "bad", "close", "caution"])
def test_no_color_takes_the_color_and_leaves_the_shape(
    mark: str, vocabulary: Vocabulary, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    monkeypatch.setenv("TERM", "xterm")
    text = shown(SAYS[mark], Terminal(), vocabulary)
    assert "\x1b" not in text
    assert SHAPES[mark] in text


def test_every_color_has_a_shape_of_its_own() -> None:
    signs = [sign for mark, sign in SHAPES.items() if mark]
    assert len(set(signs)) == len(signs)


def test_a_pipe_gets_the_words_alone(vocabulary: Vocabulary) -> None:
    text = shown(SAYS["bad"], io.StringIO(), vocabulary)
    assert text.endswith("Leadsman  Too high.\n")


def test_a_terminal_without_the_shapes_gets_letters(vocabulary: Vocabulary, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TERM", "xterm")
    out = Terminal()
    out.encoding = "ascii"
    assert "x Too high." in ANSI.sub("", shown(SAYS["bad"], out, vocabulary))


def test_what_would_steer_the_terminal_is_shown_as_a_mark(vocabulary: Vocabulary) -> None:
    """Our own colors pass, and nothing that came from a record or an answer."""
    out = Terminal()
    Screen(out=out).line(0.0, "You", "\x1b[2J gone")
    assert "\x1b[2J" not in out.getvalue()
    assert "\u241b[2J gone" in out.getvalue()


def test_a_watched_session_is_shown_as_fast_as_it_is_read(vocabulary: Vocabulary) -> None:
    """240 words a minute are four a second; nothing in a test waits."""
    waited: list[float] = []
    out = io.StringIO()
    screen = PacedScreen(240, out, waited.append)
    screen.line(0.0, "Leadsman", "one two three four")
    screen.notice("five six")
    assert waited == [1.0, 0.5]
    assert "(five six)" in out.getvalue()
