"""A session that was left: which one is offered, how it is asked, and what counts for an answer."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path

import pytest

from assistant.__main__ import main
from assistant.catalog import load_vocabulary
from assistant.clock import ScriptedClock, SystemClock
from assistant.commands.lead.left_open import LeftOpen, ask, left_open, told
from assistant.composition import new_session
from assistant.messages import Expectation, Fact, Heard, Hypothesis, InputEnded, MicrophoneLost, Source, WentQuiet
from assistant.phrasing.phrase import Sentence
from assistant.records.store.folder import FolderStore
from assistant.session.offer import Answer
from tests.procedure.small import SMALL

VOCABULARY = load_vocabulary()
NOW = datetime(2026, 1, 31, 16, 0, tzinfo=UTC)
LEFT = LeftOpen("20260131-142305-k3f", "0427", "today at 2:23 p.m.", "at the repair")


class Scripted:
    """Answers from a list; keeps what was said."""

    def __init__(self, *facts: Fact) -> None:
        self.facts = list(facts)
        self.said: list[str] = []
        self.waits: list[float | None] = []

    def listen(self, expectation: Expectation, seconds: float | None) -> Fact:
        self.waits.append(seconds)
        return self.facts.pop(0)

    def close(self) -> None:
        pass

    def say(self, at: float, sentence: Sentence) -> None:
        self.said.append(sentence.shown)

    def heard(self, at: float, fact: Heard) -> None:
        pass

    def listening(self, expectation: Expectation) -> None:
        pass


def typed(words: str) -> Heard:
    return Heard(0.0, (Hypothesis(words),), Source.TYPED)


def spoken(*words: str) -> Heard:
    found = tuple(Hypothesis(one, -2.0 * at) for at, one in enumerate(words))
    return Heard(0.0, found, Source.MICROPHONE, 15.0)


def asked(*facts: Fact) -> tuple[Answer, Scripted]:
    script = Scripted(*facts)
    return ask(LEFT, script, script, ScriptedClock(NOW), VOCABULARY), script


@pytest.mark.parametrize(
    ("facts", "wanted"),
    [
        ([typed("yes")], "resume"), ([typed("no")], "begin"), ([typed("resume")], "resume"),
        ([typed("stop")], "left"), ([InputEnded(0.0)], "left"), ([typed("1180"), typed("yes")], "resume"),
        ([WentQuiet(0.0), typed("no")], "begin"), ([spoken("yes")], "resume"),
        ([spoken("twelve hundred ohms"), spoken("yes")], "resume"),
        ([MicrophoneLost(0.0, "It went away."), typed("yes")], "resume"),
        ([typed("say again"), typed("yes")], "resume"),
        # behind the unknown word: asked about before it counts, as in a session
        ([spoken("[unclear]", "yes"), spoken("yes")], "resume"),
        ([spoken("[unclear]", "no"), spoken("yes")], "begin"),
        ([spoken("[unclear]", "yes"), spoken("no"), spoken("no")], "begin"),
        ([spoken("[unclear]", "yes"), typed("stop")], "left"),
        ([spoken("[unclear]", "yes"), WentQuiet(0.0), typed("1180"), typed("yes")], "resume"),
    ],
)  # fmt: skip
def test_what_counts_for_an_answer(facts: Sequence[Fact], wanted: str) -> None:
    answer, script = asked(*facts)
    assert answer == wanted
    assert not script.facts, "it waited for every one of them"


def test_it_is_asked_once_more_after_silence_and_then_it_waits() -> None:
    _, script = asked(WentQuiet(0.0), typed("yes"))
    left = "Unit 0427 has a session that was left at the repair, today at 2:23 p.m."
    assert script.said == [left, "Resume it?", "Say yes or no."] * 2
    assert script.waits == [20.0, None]


def test_the_number_is_spoken_digit_by_digit() -> None:
    assert told(LEFT, VOCABULARY, question=True).spoken.startswith("Unit zero four two seven has a session")
    nameless = told(LeftOpen("x", "", "on May 3 at 9:05 AM", ""), VOCABULARY, question=True).shown
    assert nameless == "A session on a unit without a number was left on May 3 at 9:05 AM. Resume it?"
    assert told(LEFT, VOCABULARY, question=False).shown.endswith("today at 2:23 p.m.")


def test_which_one_is_offered(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "shop" / "dialogs").mkdir(parents=True)
    (tmp_path / "shop" / "dialogs" / "lamp.toml").write_text(SMALL, encoding="utf-8")
    monkeypatch.setenv("LEADSMAN_SHOP", str(tmp_path / "shop"))
    store = FolderStore(tmp_path / "records")
    now = SystemClock().wall()
    assert left_open(store, "lamp", "4471", now) is None
    work = new_session("lamp", store, SystemClock(), unit="4471")
    assert left_open(store, "lamp", "4471", now) is None, "it is being led, and not left"
    work.journal.close()
    found = left_open(store, "lamp", "4471", now)
    assert found is not None
    assert (found.id, found.unit, found.where) == (work.header.session_id, "4471", "at the cautions")
    assert found.when.startswith("today at")
    assert left_open(store, "lamp", "9", now) is None
    assert left_open(store, "other", "4471", now) is None
    later = now.replace(year=now.year + 1)
    again = left_open(store, "lamp", "", later)
    assert again is not None
    assert str(now.year) in again.when


def test_resume_passes_by_what_is_being_led(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "shop" / "dialogs").mkdir(parents=True)
    (tmp_path / "shop" / "dialogs" / "lamp.toml").write_text(SMALL, encoding="utf-8")
    monkeypatch.setenv("LEADSMAN_SHOP", str(tmp_path / "shop"))
    store = FolderStore(tmp_path / "records")
    (tmp_path / "answers.txt").write_text("yes\n", encoding="utf-8")
    led = new_session("lamp", store, SystemClock(), unit="4471")
    asked = ["resume", "--records", str(store.folder), "--answers", str(tmp_path / "answers.txt")]
    with pytest.raises(SystemExit) as end:
        main(asked)
    assert end.value.code != 0
    assert "was left unfinished" in capsys.readouterr().err
    led.journal.close()
    with pytest.raises(SystemExit):
        main(asked)
    assert led.header.session_id in capsys.readouterr().out
