"""``grammars/patterns.toml``: what is said in many words is the command it is, and nothing else is one."""

from __future__ import annotations

import pytest

from assistant.catalog import load_vocabulary
from assistant.errors import DocumentError
from assistant.library import files, read_toml
from assistant.messages import Choice, Command, Expectation, Expects, Outcome, Report, Understanding
from assistant.numerals.vocabulary import Vocabulary
from assistant.understanding.utterance import understand
from tests.rows import each_row

VOCABULARY = load_vocabulary()
WORK = Expectation(Expects.COMMAND)
SAID = {
    Command.SAY_AGAIN: "run that past me again|I couldn't make that out|what'd you ask me|say that once more",
    Command.GO_BACK: "rewind|take me to the previous step|let's back it up one",
    Command.SKIP: "let's move past it|pass over that one for now|save it for later",
    Command.HOLD: "wait up a tick|gimme two secs|gotta go find my gloves|I need a minute to think",
    Command.RESUME: "unpause|okay I'm back at it|let's pick it back up from where we stopped",
    Command.WITHDRAW: "nix the last one|get rid of that last number|wipe that one out|don't log what I just said",
    Command.CORRECTION: "I goofed that last one up|fix the last number|I told you the wrong value",
    Command.STOP: "let's call it quits|shut it down for the night|that's enough for tonight",
    Command.HELP: "gimme a hint|how am I supposed to measure this|I need a hand here",
    Command.SAY_LESS: "quit yakking|you're way too wordy|give me the short version",
    Command.SAY_MORE: "break it down for me|walk me through the steps|give me more detail",
    Command.NOTE: "leave a memo for the office|I wanna add a comment",
    Command.YES: "darn right|that's the ticket|you heard it right|yeah that's exactly what it says|esta bien",
    Command.NO: "no dice|negatory|that ain't right|you got it all wrong|no that's not what I said",
}  # fmt: skip
ROWS = [(command, text) for command, texts in SAID.items() for text in texts.split("|")]


def typed(text: str, prompt: Expectation = WORK) -> Understanding:
    return understand(text, prompt, VOCABULARY)


@each_row(ROWS)
def test_a_command_in_many_words(command: Command, text: str) -> None:
    found = typed(text)
    assert (found.command, found.confirm) == (command, False), found


@pytest.mark.parametrize(
    "text",
    [
        "don't skip that one", "that sounds right?", "should we call it quits?", "is that the ticket", "yeah right",
        "sure about that", "I never said to wipe that one out",
    ],
)  # fmt: skip
def test_what_is_asked_denied_or_mocked_counts_nothing(text: str) -> None:
    found = typed(text)
    assert found.confirm or found.command not in (Command.SKIP, Command.STOP, Command.WITHDRAW, Command.YES), found


@each_row(["if that plug's off, skip it", "let that one be", "I can't reach it from here", "leave it off"])
def test_a_skip_that_may_be_something_else_is_asked_about(text: str) -> None:
    found = typed(text)
    assert found.confirm or found.outcome is not Outcome.COMMAND, found


def test_among_words_that_tell_nothing() -> None:
    assert typed("compressor kicked on, what'd you say").command is Command.SAY_AGAIN
    found = typed("scrub that number, I was on the wrong plug")
    assert (found.command, found.confirm) == (Command.WITHDRAW, True)
    assert typed("don't scrub that number, it was the right plug").command is not Command.WITHDRAW
    assert typed("forget it, the driver is coming").command is not Command.WITHDRAW


def test_nothing_of_them_counts_where_something_else_is_asked() -> None:
    ohms = Expectation(Expects.READING, unit="ohm")
    assert typed("that's the ticket", ohms).outcome is Outcome.NOT_UNDERSTOOD
    look = Expectation(Expects.CHOICE, choices=(Choice("clean"), Choice("corroded")))
    assert typed("you heard it right", look).choice is None


def test_what_is_still_being_done_is_given_time() -> None:
    found = typed("I'm still fighting with it", Expectation(Expects.COMMAND, told="Unplug the sensor."))
    assert found.report is Report.WORKING


def test_a_slot_that_is_not_there_is_named() -> None:
    tables = {path.stem: read_toml(path) for path in files("grammars")}
    tables["patterns"] = {**tables["patterns"], "skip": {"forms": ["<nowhere> skip"]}}
    with pytest.raises(DocumentError, match="<nowhere>"):
        Vocabulary.from_tables(tables)
