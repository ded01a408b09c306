"""Typed answers: whatever wrote them, they arrive as whole lines or as a clear sentence."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from io import BytesIO
from pathlib import Path

import pytest

from assistant.errors import OperatorError
from assistant.inputs.console import (
    LONGEST_LINE,
    ConsoleListener,
    LineKeyboard,
    TypedAnswers,
    decode,
    lines_of,
    read_answers,
)
from assistant.messages import Expectation, Expects, Heard, InputEnded, WentQuiet, check_prompt
from tests.fakes import FakeClock

OHMS = Expectation(Expects.READING, prompt=check_prompt("sensor ohms"), unit="ohm")


def words(fact: object) -> str:
    assert isinstance(fact, Heard)
    return fact.hypotheses[0].words


@pytest.mark.parametrize(
    ("raw", "text"),
    [
        (b"1180 ohms\n", "1180 ohms"),
        (b"1180 ohms\r\n", "1180 ohms"),
        (b"\xef\xbb\xbf1180\n", "1180"),
        ("1.1kΩ\n".encode(), "1.1kΩ"),
        (b"1\xbd inches\n", "1½ inches"),  # Windows code page
        (b"12\x006\x1b[A\n", "126[A"),
        (b"\ttwelve  six ", "twelve  six"),
        (b"\xff\xfe\x81\n", "ÿþ\ufffd"),
        (b"", ""),
    ],
)
def test_a_line_is_decoded(raw: bytes, text: str) -> None:
    assert decode(raw) == text


def test_a_line_is_cut_where_nobody_types_on() -> None:
    assert len(decode(b"9" * 100_000)) == LONGEST_LINE


@pytest.mark.parametrize(
    "content",
    [
        b"yes\n# a remark\n\n   \n12.6\nlast without an end",
        b"\xef\xbb\xbfyes\r\n\r\n# a remark\r\n12.6\r\nlast without an end",
        "yes\n12.6\nlast without an end\n".encode("utf-16"),
    ],
)
def test_comments_and_blank_lines_are_left_out(content: bytes) -> None:
    assert list(lines_of(BytesIO(content))) == ["yes", "12.6", "last without an end"]


def test_the_console_gives_lines_then_says_that_they_ended() -> None:
    clock = FakeClock(3.0)
    listener = ConsoleListener(clock, BytesIO(b"1180\nno\n"))
    first = listener.listen(OHMS, None)
    assert words(first) == "1180"
    assert first.at == 3.0
    assert words(listener.listen(OHMS, 60.0)) == "no"
    assert isinstance(listener.listen(OHMS, None), InputEnded)
    assert isinstance(listener.listen(OHMS, None), InputEnded)
    listener.close()


class _Held:
    """A stream that gives nothing until it is let go."""

    def __init__(self, then: BaseException | None = None) -> None:
        self.go = threading.Event()
        self._then = then

    def readline(self) -> bytes:
        self.go.wait(timeout=30)
        if self._then is not None:
            raise self._then
        return b""

    def read(self) -> bytes:
        return b""


def test_nothing_typed_in_time_went_quiet() -> None:
    held = _Held()
    listener = ConsoleListener(FakeClock(9.0), held)
    assert listener.listen(OHMS, 0.0) == WentQuiet(9.0)
    held.go.set()


def test_a_closed_terminal_is_the_end_of_the_input() -> None:
    held = _Held(OSError("gone"))
    held.go.set()
    assert isinstance(ConsoleListener(FakeClock(), held).listen(OHMS, None), InputEnded)


def test_ctrl_c_is_the_end(monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupt(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(LineKeyboard, "poll", interrupt)
    listener = ConsoleListener(FakeClock(), BytesIO(b"1180\n"))
    assert isinstance(listener.listen(OHMS, None), InputEnded)
    assert isinstance(listener.listen(OHMS, None), InputEnded)


def test_piped_standard_input_works_and_the_program_ends_while_more_could_come() -> None:
    """A reader thread that still waits must not hold up or crash the end of the program."""
    code = (
        "from assistant.inputs.console import ConsoleListener\n"
        "from assistant.messages import Expectation, Expects\n"
        "listener = ConsoleListener(lambda: 0.0)\n"
        "print(listener.listen(Expectation(Expects.READING), None).hypotheses[0].words)\n"
    )
    read, write = os.pipe()
    os.write(write, b"eleven eighty\n")
    try:
        done = subprocess.run([sys.executable, "-c", code], stdin=read, capture_output=True, timeout=60, check=False)
    finally:
        os.close(read)
        os.close(write)
    assert (done.returncode, done.stdout.strip(), done.stderr) == (0, b"eleven eighty", b"")


def test_typed_answers_are_checked_against_their_prompts() -> None:
    listener = TypedAnswers(["1180", "yes"], FakeClock(), ["check:sensor ohms", "proof:lamp"])
    assert words(listener.listen(OHMS, None)) == "1180"
    with pytest.raises(OperatorError, match=r"Answer 2 \('yes'\) was made for the prompt 'proof:lamp'"):
        listener.listen(OHMS, None)


def test_a_prompt_without_a_name_accepts_any_answer() -> None:
    listener = TypedAnswers(["1180"], FakeClock(), [""])
    assert words(listener.listen(OHMS, None)) == "1180"
    assert isinstance(listener.listen(OHMS, None), InputEnded)


def test_prompts_and_answers_must_match_in_number() -> None:
    with pytest.raises(OperatorError, match="names 2 prompts but has 1 answers"):
        TypedAnswers(["1180"], FakeClock(), ["a", "b"])


def test_a_file_of_answers(tmp_path: Path) -> None:
    path = tmp_path / "answers.txt"
    path.write_bytes(b"# invented\r\nyes\r\n\r\n12.6\r\n")
    assert read_answers(path) == ["yes", "12.6"]


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (None, "There is no file of answers at"),
        (b"", "holds no answer"),
        (b"# only\n\n", "holds no answer"),
        (b"RIFF\0\0\0\0WAVE", "is not a text file"),
    ],
)
def test_a_file_that_holds_no_answers_is_named(tmp_path: Path, content: bytes | None, sentence: str) -> None:
    path = tmp_path / "answers.txt"
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(OperatorError, match=sentence) as raised:
        read_answers(path)
    assert raised.value.remedy


def test_a_folder_is_no_file_of_answers(tmp_path: Path) -> None:
    with pytest.raises(OperatorError, match="is a folder"):
        read_answers(tmp_path)
