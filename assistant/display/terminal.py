"""The talk on a terminal: who said what, when; plain text that also reads well in a pipe."""

from __future__ import annotations

import shutil
import sys
import textwrap
from typing import Protocol, TextIO

from assistant.display.paint import Paint
from assistant.display.visible import visible
from assistant.messages import Expectation, Heard, Source
from assistant.phrasing.phrase import Sentence
from assistant.phrasing.wording import clock

TOOL = "Leadsman"
PERSON = "You"
_GUTTER = 19  # clock, speaker and the spaces between them


class Speaks(Protocol):
    """Something that speaks aloud."""

    def say(self, text: str) -> None:
        """Speak and return when it is said or given up."""


class Screen:
    """Shows both sides of the talk and passes ours to the voice.

    Args:
        voice: what speaks, None for silence.
        out: where the talk is shown.
        interactive: True when a person types at this terminal: then their own line already stands there.
    """

    def __init__(self, voice: Speaks | None = None, out: TextIO | None = None, *, interactive: bool = False) -> None:
        self._voice = voice
        self._out = out or sys.stdout
        self._interactive = interactive
        self._paint = Paint(self._out)

    def say(self, at: float, sentence: Sentence) -> None:
        """Show our sentence, then speak it."""
        if sentence.shown:
            self.line(at, TOOL, sentence.shown, sentence.mark)
        if self._voice is not None and sentence.spoken:
            self._voice.say(sentence.spoken)

    def heard(self, at: float, fact: Heard) -> None:
        """Show what came in: the best guess of the recognizer, or the typed line."""
        if fact.source is Source.TYPED and self._interactive:
            return
        words = fact.hypotheses[0].words if fact.hypotheses else "(nothing)"
        noise = "" if fact.snr_db is None or fact.snr_db > 15 else f"   (noise: {fact.snr_db:.0f} dB)"
        self.line(at, PERSON, f"\N{LEFT DOUBLE QUOTATION MARK}{words}\N{RIGHT DOUBLE QUOTATION MARK}{noise}")

    def listening(self, expectation: Expectation) -> None:
        """Show where to type, with what is expected."""
        if self._interactive:
            hint = f"[{expectation.hint}] " if expectation.hint else ""
            self._write(f"{'':>{_GUTTER - 2}}{hint}> ")

    def notice(self, text: str) -> None:
        """A remark about the machine, not part of the talk."""
        self._write(f"({text})\n")

    def line(self, at: float, speaker: str, text: str, mark: str = "") -> None:
        """One turn, wrapped under its own first word, in the color and behind the shape of its mark."""
        width = max(50, min(100, shutil.get_terminal_size((100, 24)).columns - 1))
        head = f"{clock(at):>7}  {speaker:<8}  "
        shape = self._paint.head(mark)
        body = textwrap.wrap(visible(shape + text), width - _GUTTER, break_long_words=False) or [""]
        indent = " " * len(head)
        first, *rest = (self._paint.color(mark, part) for part in body)
        self._put("\n".join([head + first, *(indent + part for part in rest)]) + "\n")

    def _write(self, text: str) -> None:
        self._put(visible(text))

    def _put(self, text: str) -> None:
        """Text of which nothing steers the terminal but our own colors."""
        try:
            self._out.write(text)
        except UnicodeEncodeError:
            encoding = self._out.encoding or "ascii"
            self._out.write(text.encode(encoding, errors="replace").decode(encoding))
        self._out.flush()
