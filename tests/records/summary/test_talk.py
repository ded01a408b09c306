"""The talk that a record keeps, held against what a screen was told while the session went on."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import ExitStack
from datetime import UTC, datetime
from io import StringIO
from pathlib import Path
from random import Random

import pytest

from assistant.clock import ScriptedClock
from assistant.commands.lead.demo import run_scene
from assistant.composition import new_session
from assistant.display.terminal import Screen
from assistant.errors import OperatorError
from assistant.inputs.console import TypedAnswers
from assistant.loop import TALK_MOST, Loop
from assistant.messages import Heard
from assistant.messages.decisions import Record
from assistant.numerals.vocabulary import Vocabulary
from assistant.phrasing.phrase import Sentence
from assistant.records.journal.reader import Session
from assistant.records.journal.writer import Journal
from assistant.records.report.page import Told, html_report
from assistant.records.report.talk import turns_of
from assistant.records.report.transcript import transcript
from assistant.records.summary.collect import summarize
from assistant.records.summary.search import search
from assistant.scenes import load_scene
from tests.records.samples import session_in

START = datetime(2026, 3, 2, 7, 40, tzinfo=UTC)


class Listening(Screen):
    """A screen that remembers both sides as they passed it."""

    def __init__(self) -> None:
        super().__init__(out=StringIO())
        self.passed: list[tuple[str, str]] = []

    def say(self, at: float, sentence: Sentence) -> None:
        self.passed.append(("us", sentence.shown))
        super().say(at, sentence)

    def heard(self, at: float, fact: Heard) -> None:
        if fact.hypotheses:
            self.passed.append(("you", fact.hypotheses[0].words))
        super().heard(at, fact)


@pytest.fixture(scope="module")
def scene(tmp_path_factory: pytest.TempPathFactory) -> tuple[Listening, Session]:
    folder, screen = tmp_path_factory.mktemp("talk"), Listening()
    with ExitStack() as stack:
        work, _ = run_scene(stack, load_scene("two-faults-in-a-row"), folder, screen, None)
    return screen, session_in(folder, work.header.session_id)


def test_the_record_holds_everything_that_was_asked_and_answered(scene: tuple[Listening, Session]) -> None:
    screen, session = scene
    turns = turns_of(session)
    assert [(turn.who, turn.text) for turn in turns] == screen.passed
    assert [turn.at for turn in turns] == sorted(turn.at for turn in turns)
    passed = [text for _, text in screen.passed]
    asked = next(number for number, text in enumerate(passed) if "did I get that right?" in text)
    assert passed[asked - 1 : asked + 2] == ["it says O L", passed[asked], "yes"]
    # every part of the put-back list: the first, those between and the last
    assert {"Back together", "Then", "Last"} <= {text.partition(":")[0] for text in passed}


def test_every_reader_has_the_same_talk(scene: tuple[Listening, Session], vocabulary: Vocabulary) -> None:
    _, session = scene
    text = " ".join(transcript(session, vocabulary).split())
    page = html_report(summarize(session), vocabulary, Told(talk=turns_of(session)))
    for sentence in ("did I get that right?", "every sensor plug in its own port, locked."):
        assert sentence in text
        assert sentence in page
        assert list(search(session, sentence, vocabulary))


def talk_of(folder: Path, answers: Sequence[str], fails: Sequence[int] = ()) -> list[tuple[str, str]]:
    """What the record keeps of answers given one after another; ``fails`` counts the writes that fail."""
    clock = ScriptedClock(START)
    work = new_session("trailer-abs-light-on", folder, clock, unit="4207", random=Random(1))

    class Failing:
        count = 0

        def append(self, record: Record, said: tuple[str, ...], at: float) -> int:
            self.count += 1
            if self.count in fails:
                raise OperatorError("The disk is full.", remedy="Make room.")
            assert isinstance(work.journal, Journal)
            return work.journal.append(record, said, at)

    listener = TypedAnswers(list(answers), clock.now)
    screen = Listening()
    Loop(work.context, work.state, Failing(), listener, screen, clock, lambda _: clock.advance(10)).run()
    work.journal.close()
    return [(turn.who, turn.text) for turn in turns_of(session_in(folder, work.header.session_id))]


def test_words_that_led_nowhere_and_the_question_about_them_stand_before_the_answer(tmp_path: Path) -> None:
    talk = talk_of(tmp_path, ["next", "yes", "help", "drum"])
    at = talk.index(("you", "help"))
    answered = talk.index(("you", "drum"))
    assert at < answered
    assert any(who == "us" and text.startswith("You can say") for who, text in talk[at:answered])


def test_on_hold_nothing_is_kept(tmp_path: Path) -> None:
    talk = talk_of(tmp_path, ["next", "yes", "hold on", "that was my brother in law", "resume", "drum"])
    assert ("you", "resume") in talk
    assert not any("brother" in text for _, text in talk)


def test_a_record_that_is_written_at_the_second_try_has_its_talk_once(tmp_path: Path) -> None:
    plain = talk_of(tmp_path / "a", ["next", "yes", "drum", "fixed"])
    again = talk_of(tmp_path / "b", ["next", "yes", "drum", "drum", "fixed"], fails=[4])
    assert any("not logged" in text for _, text in again)
    assert [turn for turn in again if "not logged" not in turn[1]][: len(plain) - 4] == plain[: len(plain) - 4]
    assert again.count(("you", "fixed")) == 1


def test_what_is_kept_between_two_entries_has_a_bound(tmp_path: Path) -> None:
    talk = talk_of(tmp_path, ["next", "yes", *["help"] * TALK_MOST, "drum"])
    assert ("you", "drum") in talk
    assert len(talk) < 2 * TALK_MOST


def test_a_yes_to_work_answered_too_soon_stands_where_and_as_it_was_said(tmp_path: Path) -> None:
    """First the answer, then the question about it, then the yes; of a mistyped word as well."""
    talk = talk_of(tmp_path, ["next", "yess", "yes", "drum"])
    at = talk.index(("you", "yess"))
    asked = next((number for number, (who, _) in enumerate(talk) if number > at and who == "us"), 0)
    assert talk[asked + 1] == ("you", "yes")
    assert [text for who, text in talk if who == "you"][:4] == ["next", "yess", "yes", "drum"]
