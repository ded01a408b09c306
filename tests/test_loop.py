"""The loop: a record is on disk before its reply is spoken, and nothing that was logged is lost."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import UTC, datetime
from pathlib import Path
from random import Random

import pytest

from assistant.clock import ScriptedClock
from assistant.composition import Work, new_session, parse_temperature, resume_session
from assistant.errors import OperatorError
from assistant.inputs.console import TypedAnswers
from assistant.loop import Loop, Writer
from assistant.messages import Expectation, Heard, Resumed
from assistant.messages.decisions import Record
from assistant.phrasing.phrase import Sentence
from tests.records.samples import session_in

START = datetime(2026, 3, 2, 7, 40, tzinfo=UTC)
OPENING = ["next", "yes", "drum", "fixed", "at once"]


class Trace:
    """Keeps in one list what was shown, written and heard, in order."""

    def __init__(self) -> None:
        self.events: list[tuple[str, str]] = []

    def say(self, at: float, sentence: Sentence) -> None:
        self.events.append(("say", sentence.shown))

    def heard(self, at: float, fact: Heard) -> None:
        self.events.append(("heard", fact.hypotheses[0].words))

    def listening(self, expectation: Expectation) -> None:
        self.events.append(("listen", str(expectation.prompt)))


class FailingWriter:
    """A journal on a disk that is full for some of the writes."""

    def __init__(self, inner: Writer, fails: Iterator[bool], trace: Trace) -> None:
        self._inner, self._fails, self._trace = inner, fails, trace
        self.written = 0

    def append(self, record: Record, said: tuple[str, ...], at: float) -> int:
        if next(self._fails, False):
            self._trace.events.append(("failed", ""))
            raise OperatorError("The disk is full.", remedy="Make room.")
        number = self._inner.append(record, said, at)
        self.written += 1
        self._trace.events.append(("written", str(number)))
        return number


def begin(folder: Path, clock: ScriptedClock) -> Work:
    """A new session on an invented unit."""
    return new_session("trailer-abs-light-on", folder, clock, meter="shop", unit="4207", random=Random(1))


def play(work: Work, clock: ScriptedClock, answers: Sequence[str], writer: Writer, trace: Trace) -> str:
    listener = TypedAnswers(answers, clock.now)
    return Loop(work.context, work.state, writer, listener, trace, clock, lambda _: clock.advance(10)).run()


def test_what_is_said_after_an_answer_waits_for_the_disk(tmp_path: Path) -> None:
    """Between an answer and the next sentence there is a written entry."""
    clock, trace = ScriptedClock(START), Trace()
    work = begin(tmp_path, clock)
    writer = FailingWriter(work.journal, iter(()), trace)
    assert play(work, clock, OPENING, writer, trace) == "left"
    work.journal.close()
    kinds = [kind for kind, _ in trace.events]
    for index, kind in enumerate(kinds):
        if kind == "heard":
            assert kinds[index + 1] == "written"
    assert writer.written >= len(OPENING)


@pytest.mark.parametrize("failing", range(5))
def test_a_full_disk_is_said_and_nothing_is_claimed(tmp_path: Path, failing: int) -> None:
    """Whichever write fails: it is said, 'logged' is not, the same entry is tried again, and then all is there."""
    clock, trace = ScriptedClock(START), Trace()
    work = begin(tmp_path, clock)
    writer = FailingWriter(work.journal, iter([False] * failing + [True]), trace)
    # after a failure whatever is said next only tries again, so one answer more is needed
    answers = [*OPENING[:failing], "next", *OPENING[failing:]]
    play(work, clock, answers, writer, trace)
    work.journal.close()
    at = next(index for index, (kind, _) in enumerate(trace.events) if kind == "failed")
    after = next(text for kind, text in trace.events[at + 1 :] if kind == "say")
    assert "disk is full" in after
    assert "ogged" not in after.replace("not logged", "")
    session = session_in(tmp_path, work.header.session_id)
    assert not session.damage
    facts = [d.value for _, entry in session.entries() for d in entry.decisions if d.kind == "fact_answered"]
    assert facts[:2] == ["drum", "fixed"]


def test_resume_asks_the_pending_prompt_again(tmp_path: Path) -> None:
    """A session that was left goes on at the prompt where it was, in the same file."""
    clock, trace = ScriptedClock(START), Trace()
    work = begin(tmp_path, clock)
    play(work, clock, OPENING, work.journal, trace)
    work.journal.close()
    pending = [text for kind, text in trace.events if kind == "listen"][-1]
    again = Trace()

    def later(seconds: float) -> ScriptedClock:
        made = ScriptedClock(START)
        made.advance(seconds)
        return made

    resumed, clock2 = resume_session(tmp_path, work.header.session_id, later)
    listener = TypedAnswers(["active"], clock2.now)
    Loop(resumed.context, resumed.state, resumed.journal, listener, again, clock2).run(Resumed(at=clock2.now()))
    resumed.journal.close()
    assert next(text for kind, text in again.events if kind == "listen") == pending == "fact:codes"
    session = session_in(tmp_path, work.header.session_id)
    facts = [d.fact for _, entry in session.entries() for d in entry.decisions if d.kind == "fact_answered"]
    assert facts == ["brakes", "shields", "comes on", "codes"]
    assert [line.seq for line in session.lines] == sorted({line.seq for line in session.lines})


@pytest.mark.parametrize(
    ("text", "fahrenheit"), [("75", "75"), ("75F", "75"), ("24C", "75.2"), (" -40 c ", "-40"), ("0°C", "32")]
)
def test_temperature(text: str, fahrenheit: str) -> None:
    """A bare number is Fahrenheit; -40 is the same in both (definition of the scales)."""
    assert parse_temperature(text) == pytest.approx(type(parse_temperature(text))(fahrenheit))


@pytest.mark.parametrize("text", ["", "warm", "400F", "75K", "-100C"])
def test_temperature_that_no_shop_has(text: str) -> None:
    """Named, with the form."""
    with pytest.raises(OperatorError, match="75F or 24C"):
        parse_temperature(text)
