"""A reading and a question in one breath: both are taken, and neither hides the other."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.catalog import load_vocabulary
from assistant.messages import About, Expectation, Expects, Hypothesis, Outcome, Prompt, PromptKind
from assistant.understanding.interpret import interpret
from tests.rows import each_row

OHMS = Expectation(
    Expects.READING, Prompt(PromptKind.CHECK, "sensor ohms", "left rear"), unit="ohm", low=Decimal(700),
    high=Decimal(3000), over_range="bad",
)  # fmt: skip


@each_row([
    ("nine fifty, what do the healthy ones run", 950, About.USUAL),
    ("nine fifty what's the cutoff on these", 950, About.LIMIT),
    ("I see nine fifty, anybody touch this trailer lately", 950, About.HISTORY),
    ("nine fifty. time left", 950, About.TIME_LEFT),
    ("nine fifty on the nose, so why're we checking this", 950, About.WHY),
])  # fmt: skip
def test_both_are_taken(said: str, value: int, about: About) -> None:
    found = interpret([Hypothesis(said)], OHMS, load_vocabulary())
    assert (found.outcome, found.value, found.about) == (Outcome.READING, value, about), found


def test_what_the_meter_shows_is_not_lost_before_a_question() -> None:
    found = interpret([Hypothesis("OL, what is the limit")], OHMS, load_vocabulary())
    assert (found.outcome, found.about) == (Outcome.OVER_RANGE, About.LIMIT), found


@pytest.mark.parametrize(
    "said",
    ["has it read nine fifty before", "is nine fifty what the others had", "if it was nine fifty, would that be good",
     "what's the odds it says nine fifty"],
)  # fmt: skip
def test_a_number_inside_a_question_is_never_taken(said: str) -> None:
    found = interpret([Hypothesis(said)], OHMS, load_vocabulary())
    assert found.outcome is not Outcome.READING or found.confirm, found


def test_a_question_that_holds_a_number_leaves_the_reading() -> None:
    found = interpret(
        [Hypothesis("it's nine fifty, is that good or should it be twelve hundred")], OHMS, load_vocabulary()
    )
    assert (found.value, found.about) == (950, About.GOOD), found
