"""The typed chat: a line to type on, history, completion, and the board under it, while the talk scrolls above.

prompt_toolkit draws it. It runs in a thread of its own, so that the session can speak and listen meanwhile; what is
printed goes above the line (``patch_stdout``).
"""

from __future__ import annotations

import contextlib
import os
import queue
import threading
from collections.abc import Callable, Iterable
from typing import Any

from prompt_toolkit import PromptSession
from prompt_toolkit.completion import CompleteEvent, Completer, Completion
from prompt_toolkit.document import Document
from prompt_toolkit.formatted_text import FormattedText
from prompt_toolkit.history import InMemoryHistory
from prompt_toolkit.input import Input
from prompt_toolkit.output import ColorDepth, Output
from prompt_toolkit.renderer import CPR_Support
from prompt_toolkit.styles import Style

from assistant.display.board import EMPTY, Board, words_to_complete
from assistant.numerals.vocabulary import Vocabulary

_STYLE = Style([
    ("bottom-toolbar", "noreverse"), ("bottom-toolbar.text", "noreverse"), ("ask", "bold"),
    ("good", "ansigreen"), ("bad", "bold ansired"), ("close", "ansiyellow"),
])  # fmt: skip
_LOOKS = 0.2
"""Seconds between looks at the microphone: what it does and its level are drawn anew where they changed."""


class ChatKeyboard:
    """Typed lines from a terminal.

    Args:
        vocabulary: what people say, for completion.
        microphone: how the microphone stands, for the board.
        source: where keys come from, None for the terminal.
        screen: where it is drawn, None for the terminal.
    """

    interactive = True

    def __init__(
        self,
        vocabulary: Vocabulary,
        microphone: Callable[[], str],
        source: Input | None = None,
        screen: Output | None = None,
    ) -> None:
        self._vocabulary, self._microphone = vocabulary, microphone
        self._lines: queue.Queue[str | None] = queue.Queue()
        self._board = EMPTY
        self._hint = ""
        self._closed = False
        self._session: PromptSession[str] = PromptSession(
            message=self._message,
            # kept in memory only: typed answers belong in the record and nowhere else on disk
            history=InMemoryHistory(),
            completer=_Words(self),
            complete_while_typing=False,
            bottom_toolbar=self._toolbar,
            style=_STYLE,
            erase_when_done=True,  # the talk above shows the line with its time
            reserve_space_for_menu=4,
            color_depth=ColorDepth.DEPTH_1_BIT if "NO_COLOR" in os.environ else None,
            input=source,
            output=screen,
        )
        # a terminal that does not say where its cursor is gets no warning from the library, but the board above
        # the line: below it the library draws nothing then
        self._session.app.renderer.cpr_not_supported_callback = self._session.app.invalidate
        self._thread = threading.Thread(target=self._run, name="leadsman-chat", daemon=True)
        self._thread.start()
        self._over = threading.Event()
        self._watcher = threading.Thread(target=self._watch, name="leadsman-level", daemon=True)
        self._watcher.start()

    def show(self, now: Board, hint: str) -> None:
        """Show how the session stands."""
        self._board, self._hint = now, hint
        self._session.app.invalidate()

    def words(self) -> list[str]:
        """What can be completed now."""
        return words_to_complete(self._board, self._vocabulary)

    def poll(self, seconds: float) -> str | None:
        """The next line, None at their end; raises queue.Empty."""
        return self._lines.get(timeout=seconds) if seconds > 0 else self._lines.get_nowait()

    def close(self) -> None:
        """Give the terminal back."""
        self._closed = True
        self._over.set()
        self._watcher.join()
        for _ in range(100):  # between two prompts there is no application to exit yet, so try again
            loop = self._session.app.loop
            if loop is not None:
                with contextlib.suppress(RuntimeError):
                    loop.call_soon_threadsafe(self._leave)
            self._thread.join(timeout=0.05)
            if not self._thread.is_alive():
                return

    def _leave(self) -> None:
        if self._session.app.is_running:
            self._session.app.exit(exception=EOFError)

    def _run(self) -> None:
        while not self._closed:
            try:
                line = self._session.prompt(handle_sigint=False).strip()
            except (EOFError, KeyboardInterrupt, OSError):
                self._lines.put(None)
                return
            if line:
                self._lines.put(line)

    def _watch(self) -> None:
        """Draw the board anew when the microphone's line changed."""
        shown = self._microphone()
        while not self._over.wait(_LOOKS):
            stands = self._microphone()
            if stands != shown:
                shown = stands
                self._session.app.invalidate()

    def _message(self) -> FormattedText:
        prompt = ("", f"[{self._hint}] > " if self._hint else "> ")
        renderer = self._session.app.renderer
        if renderer.cpr_support is not CPR_Support.NOT_SUPPORTED or renderer.height_is_known:
            return FormattedText([prompt])
        return FormattedText([*self._toolbar(), ("", "\n"), prompt])

    def _toolbar(self) -> FormattedText:
        width = self._session.app.output.get_size().columns - 1
        shown: list[tuple[str, str]] = []
        for row in self._board.rows(width, self._microphone()):
            shown.append((f"class:{row.mark}" if row.mark else "", row.text))
            shown.append(("", "\n"))
        return FormattedText(shown[:-1])


class _Words(Completer):
    """Completes whole answers and commands from their beginning."""

    def __init__(self, chat: ChatKeyboard) -> None:
        self._chat = chat

    def get_completions(self, document: Document, complete_event: CompleteEvent) -> Iterable[Any]:  # noqa: ARG002
        """What begins like the line."""
        typed = document.text_before_cursor.lower().lstrip()
        for words in self._chat.words():
            if words.lower().startswith(typed):
                yield Completion(words, start_position=-len(typed))
