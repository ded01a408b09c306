"""Words that were cut short or mistyped are read as they were meant; what counts by them waits for a yes."""

from __future__ import annotations

import pytest

from assistant.catalog import load_vocabulary
from assistant.messages import About, Choice, Command, Expectation, Expects, Hypothesis, Outcome, Understanding
from assistant.understanding.interpret import interpret
from assistant.understanding.respelling import respelled

VOCABULARY = load_vocabulary()
WORK, OHMS = Expectation(Expects.COMMAND), Expectation(Expects.READING, unit="ohm")
INCHES = Expectation(Expects.READING, unit="in")


def typed(text: str, prompt: Expectation) -> Understanding:
    return interpret((Hypothesis(text),), prompt, VOCABULARY)


@pytest.mark.parametrize(
    ("text", "meant"),
    [("skp this", "skip this"), ("evry wheel", "every wheel"), ("go bakc", "go back"), ("wich whl", "which wheel"),
     ("rpt tht pls", "repeat that please"), ("goin to rr 1st", "going to right rear first")],
)  # fmt: skip
def test_short_and_mistyped_words(text: str, meant: str) -> None:
    assert respelled(text, WORK, VOCABULARY) == meant


@pytest.mark.parametrize("text", ["skip this", "the charged battery", "XQ 1184", "eleven eighty"])
def test_known_words_stay(text: str) -> None:
    assert respelled(text, WORK, VOCABULARY) is None


def test_no_letter_of_a_unit_number_is_a_word() -> None:
    assert respelled("r 22 n", Expectation(Expects.IDENTIFIER), VOCABULARY) is None
    assert respelled("forty k", OHMS, VOCABULARY) is None


def test_what_counts_waits_for_a_yes() -> None:
    found = typed("skp this 1", WORK)
    assert (found.command, found.confirm) == (Command.SKIP, True)
    found = typed("1.75 inchs", INCHES)
    assert (str(found.value), found.confirm) == ("1.75", True)
    plugs = Expectation(Expects.CHOICE, choices=(Choice("clean"), Choice("corroded", ("green",))))
    found = typed("all coroded up in ther", plugs)
    assert (found.choice, found.confirm) == ("corroded", True)


def test_what_is_asked_is_answered_at_once() -> None:
    found = typed("wich whl", OHMS)
    assert (found.outcome, found.about, found.confirm) == (Outcome.QUESTION, About.WHEEL, False)
    assert typed("rpt tht agn", OHMS).command is Command.SAY_AGAIN


def test_a_mistyped_word_that_takes_a_value_away_still_does() -> None:
    assert typed("shuld be 1200", OHMS).outcome is Outcome.NOT_UNDERSTOOD
