"""Typed answers: from a terminal, from piped standard input, from a file or from a list."""

from __future__ import annotations

import os
import queue
import sys
import threading
import unicodedata
from collections.abc import Iterator, Sequence
from io import BytesIO
from pathlib import Path
from typing import Protocol

from assistant.errors import OperatorError
from assistant.inputs.ports import Clock
from assistant.inputs.script import Script
from assistant.messages import Expectation, Fact, Heard, Hypothesis, InputEnded, Source, WentQuiet

LONGEST_LINE = 2000
"""Characters of one typed answer that are kept: nobody types more, a wrong file does."""
LARGEST_FILE = 5_000_000
"""Bytes of a file of answers; anything larger is some other file."""
_UTF16 = (b"\xff\xfe", b"\xfe\xff")
_INTERRUPTIBLE = 0.2
"""Seconds between looks at the keyboard: a plain wait cannot be broken by Ctrl-C on every system."""


class Lines(Protocol):
    """A stream of bytes that is read line by line."""

    def readline(self) -> bytes:
        """One line with its end; empty at the end of the stream."""

    def read(self) -> bytes:
        """Everything that is left."""


def decode(line: bytes) -> str:
    """Text of one line, whatever wrote it: UTF-8 with or without its mark, else the Windows code page."""
    line = line.removeprefix(b"\xef\xbb\xbf")
    try:
        text = line.decode("utf-8")
    except UnicodeDecodeError:
        text = line.decode("cp1252", errors="replace")
    kept = (" " if char in "\t\r\n\v\f" else char for char in text)
    visible = (char for char in kept if char == " " or unicodedata.category(char) not in {"Cc", "Cf", "Cs", "Co"})
    return "".join(visible).strip()[:LONGEST_LINE]


def lines_of(stream: Lines) -> Iterator[str]:
    """Answers of a stream as they arrive; comments (``#`` first) and blank lines are left out."""
    first = True
    for raw in iter(stream.readline, b""):
        if first and raw.startswith(_UTF16):
            text = (raw + stream.read()).decode("utf-16", errors="replace")
            yield from lines_of(BytesIO(text.encode("utf-8")))
            return
        first = False
        line = decode(raw)
        if line and not line.startswith("#"):
            yield line


class LineKeyboard:
    """Lines of a stream, read by a thread of its own because a blocked read cannot be asked to give up.

    Args:
        stream: where they come from.
        interactive: True when a person types there; a stream that ends is then the end of the session.
    """

    def __init__(self, stream: Lines, *, interactive: bool) -> None:
        self.interactive = interactive
        self._stream = stream
        self._lines: queue.Queue[str | None] = queue.Queue()
        threading.Thread(target=self._read, name="leadsman-keyboard", daemon=True).start()

    def poll(self, seconds: float) -> str | None:
        """The next line, None at their end; raises queue.Empty."""
        return self._lines.get(timeout=seconds) if seconds > 0 else self._lines.get_nowait()

    def close(self) -> None:
        """Nothing to let go of: the thread ends with the program."""

    def _read(self) -> None:
        try:
            for line in lines_of(self._stream):
                self._lines.put(line)
        except (OSError, ValueError):
            pass  # a terminal that was closed is the end of the input
        self._lines.put(None)


class ConsoleListener:
    """Answers typed by a person or piped in by a program, read as they come.

    Args:
        now: seconds since the session began.
        stream: where answers come from; None for standard input.
    """

    def __init__(self, now: Clock, stream: Lines | None = None) -> None:
        self._now = now
        self._keyboard = LineKeyboard(stream if stream is not None else own_standard_input(), interactive=False)
        self._ended = False

    def listen(self, expectation: Expectation, seconds: float | None) -> Fact:  # noqa: ARG002 - any line is an answer
        """Wait for one line. Ctrl-C and the end of the input are ``InputEnded``."""
        if self._ended:
            return InputEnded(self._now())
        try:
            line = self._wait(seconds)
        except queue.Empty:
            return WentQuiet(self._now())
        except KeyboardInterrupt:
            line = None
        if line is None:
            self._ended = True
            return InputEnded(self._now())
        return Heard(self._now(), (Hypothesis(line),), Source.TYPED)

    def close(self) -> None:
        """Take no more answers."""
        self._ended = True

    def _wait(self, seconds: float | None) -> str | None:
        left = seconds
        while left is None or left > 0:
            step = _INTERRUPTIBLE if left is None else min(_INTERRUPTIBLE, left)
            try:
                return self._keyboard.poll(step)
            except queue.Empty:
                left = None if left is None else left - step
        return self._keyboard.poll(0.0)


class TypedAnswers:
    """Answers that were typed beforehand, one for each prompt, given without waiting.

    Args:
        answers: what is said, in order.
        now: seconds since the session began.
        prompts: identity of the prompt each one answers; empty to check nothing.
    """

    def __init__(self, answers: Sequence[str], now: Clock, prompts: Sequence[str] = ()) -> None:
        self._answers = tuple(answers)
        self._now = now
        self._script = Script([f"'{answer}'" for answer in answers], prompts)

    def listen(self, expectation: Expectation, seconds: float | None) -> Fact:  # noqa: ARG002 - nothing to wait for
        """Give the next answer, or ``InputEnded`` after the last."""
        if self._script.ended:
            return InputEnded(self._now())
        index = self._script.take(str(expectation.prompt))
        return Heard(self._now(), (Hypothesis(self._answers[index]),), Source.TYPED)

    def close(self) -> None:
        """Nothing to let go of."""


def read_answers(path: Path) -> list[str]:
    """Answers of a file, one a line; comments and blank lines are left out.

    Raises:
        OperatorError: the file is missing, unreadable, too large, or holds no answer.
    """
    remedy = "Give a text file with one answer a line."
    try:
        if path.is_dir():
            raise OperatorError(f"{path} is a folder, not a file of answers.", remedy=remedy)
        if path.stat().st_size > LARGEST_FILE:
            raise OperatorError(f"{path} is too large to be a file of answers.", remedy=remedy)
        content = path.read_bytes()
    except FileNotFoundError:
        raise OperatorError(f"There is no file of answers at {path}.", remedy=remedy) from None
    except OSError as error:
        raise OperatorError(f"Cannot read {path}: {error.strerror or error}.", remedy=remedy) from None
    if b"\0" in content and not content.startswith(_UTF16):
        raise OperatorError(f"{path} is not a text file.", remedy=remedy)
    answers = list(lines_of(BytesIO(content)))
    if not answers:
        raise OperatorError(f"{path} holds no answer.", remedy=remedy)
    return answers


def own_standard_input() -> Lines:
    """Standard input, unbuffered: Python's buffer would deadlock when the program ends while a thread reads it."""
    try:
        return _LineReader(os.dup(sys.stdin.fileno()))
    except (OSError, ValueError, AttributeError):
        buffer = getattr(sys.stdin, "buffer", None)
        return buffer if buffer is not None else BytesIO()


class _LineReader:
    """Lines of a file descriptor without a lock that outlives the program."""

    def __init__(self, descriptor: int) -> None:
        self._descriptor = descriptor
        self._pending = b""

    def readline(self) -> bytes:
        while b"\n" not in self._pending:
            block = os.read(self._descriptor, 65536)
            if not block:
                line, self._pending = self._pending, b""
                return line
            self._pending += block
        line, _, self._pending = self._pending.partition(b"\n")
        return line + b"\n"

    def read(self) -> bytes:
        return b"".join(iter(self.readline, b""))
