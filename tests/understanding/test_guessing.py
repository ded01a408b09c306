"""The second opinion: harmless talk is taken, what changes something is asked by name, answers stay."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.catalog import load_vocabulary
from assistant.messages import (
    About,
    Ask,
    Choice,
    Command,
    Expectation,
    Expects,
    Hypothesis,
    Outcome,
    Overlaid,
    Prompt,
    PromptKind,
    Report,
    Understanding,
)
from assistant.understanding.guessing import UNTOLD
from assistant.understanding.interpret import by_rules, interpret
from tests.rows import each_row
from tests.understanding.left_out import OHMS, WORK

VOCABULARY = load_vocabulary()
CAUTION = Expectation(Expects.COMMAND, Prompt(PromptKind.CAUTION, "glasses"), told="Wear safety glasses.", hint="yes")
FIX = Expectation(Expects.COMMAND, Prompt(PromptKind.FIX, "replace"), told="Replace the sensor.", hint="next")
CONFIRM = replace(OHMS, prompt=Prompt(PromptKind.CHECK, "sensor ohms", "left rear", Overlaid.CONFIRM), hint="yes, no")
LIGHT = Expectation(Expects.CHOICE, choices=(Choice("stays on"), Choice("goes out"), Choice("never lights")))
UNIT = Expectation(Expects.IDENTIFIER, Prompt(PromptKind.FACT, "unit number"))
HELD = Expectation(Expects.COMMAND, Prompt(PromptKind.HELD), hint="resume")


def heard(text: str, wanted: Expectation) -> Understanding:
    return interpret((Hypothesis(text),), wanted, VOCABULARY)


def alone(text: str, wanted: Expectation) -> Understanding:
    return by_rules((Hypothesis(text),), wanted, VOCABULARY)


@each_row([
    ("who's got the top number of all them wheels", About.HIGHEST),
    ("what range do they call acceptable", About.LIMIT),
    ("which hookup spot does my red one get", About.RED), ("is there a whole lot more to do on this", About.LEFT),
])  # fmt: skip
def test_a_question_is_answered_at_once(text: str, about: About) -> None:
    found = heard(text, OHMS)
    assert (found.outcome, found.about, found.confirm) == (Outcome.QUESTION, about, False)


@each_row([
    ("i reckon we leave that one out", Command.SKIP), ("i take back what i just said there", Command.WITHDRAW),
    ("i'd say we wrap this up for today", Command.STOP),
])  # fmt: skip
def test_what_changes_the_course_is_asked_by_its_name(text: str, command: Command) -> None:
    assert alone(text, OHMS).command is not command
    found = heard(text, OHMS)
    assert (found.command, found.confirm) == (command, True)
    assert found.ask is not None
    assert (found.ask.ask, found.ask.names) == (Ask.GUESSED, (command.value,))


@each_row(["don't skip it", "don't stop", "should i skip this", "did you stop", "never skip that"])
def test_what_is_denied_or_asked_is_no_command(text: str) -> None:
    found = heard(text, WORK)
    assert found.command not in (Command.SKIP, Command.STOP)


def test_a_yes_to_a_caution_is_asked() -> None:
    text = "i have put all of that safety stuff on like you said"
    found = heard(text, CAUTION)
    assert found.command is not Command.YES or found.confirm


@each_row(["the new one is all installed and buttoned up good", "yup that job is wrapped up boss"])
def test_work_that_spends_a_part_is_asked(text: str) -> None:
    found = heard(text, FIX)
    assert found.outcome is Outcome.COMMAND or found.outcome is Outcome.NOT_UNDERSTOOD
    if alone(text, FIX).outcome is Outcome.NOT_UNDERSTOOD:
        assert found.confirm or found.outcome is Outcome.NOT_UNDERSTOOD


@each_row(
    ["hey jim push the trailer back a hair", "what time does the taco truck come", "tell her i'll call at noon"]
)
def test_talk_to_somebody_else_is_none(text: str) -> None:
    assert heard(text, OHMS).outcome is Outcome.NOT_UNDERSTOOD


@each_row(["won't come on", "it stays lit the whole time", "lamp never comes"])
def test_words_of_a_choice_stay_with_the_choices(text: str) -> None:
    assert heard(text, LIGHT) == alone(text, LIGHT)


def test_a_value_that_is_asked_about_waits_for_a_yes() -> None:
    found = heard("would you call nine eighty an acceptable number", OHMS)
    assert found.confirm or found.outcome is not Outcome.READING


def test_a_unit_number_that_nobody_knows_is_not_guessed() -> None:
    assert heard("don't know the number", UNIT).reason != UNTOLD


def test_danger_is_answered_whatever_is_asked() -> None:
    for wanted in (OHMS, WORK, LIGHT, CAUTION, CONFIRM):
        assert heard("the whole rig is sliding off the jack onto me", wanted).report is Report.DANGER


@each_row(["reckon we skip this", "what's the limit", "i'm finished", "let's leave that one out"])
def test_on_hold_only_going_on_is_heard(text: str) -> None:
    found = heard(text, HELD)
    assert found == alone(text, HELD) or found.command is Command.RESUME


def test_a_word_that_was_not_heard_takes_from_it() -> None:
    text = "i reckon we leave that one out"
    assert heard(text, OHMS).command is Command.SKIP
    holes = " ".join(f"{word} [unclear]" for word in text.split())
    spoken = interpret((Hypothesis(holes), Hypothesis("one", -9.0)), OHMS, VOCABULARY, snr_db=20.0)
    assert spoken.command is None


def test_without_sayings_the_rules_stand_alone() -> None:
    bare = replace(VOCABULARY, second_opinion=None)
    text = "i reckon we leave that one out"
    assert interpret((Hypothesis(text),), OHMS, bare) == alone(text, OHMS)


@pytest.mark.parametrize("wanted", [OHMS, LIGHT, UNIT], ids=["ohms", "light", "unit"])
@pytest.mark.parametrize(
    "text", ["eleven eighty", "twelve hundred ohms", "goes out", "4207", "over limit", "stays on", "T one forty two"]
)
def test_an_answer_is_never_touched(wanted: Expectation, text: str) -> None:
    rules = alone(text, wanted)
    if rules.outcome in (Outcome.READING, Outcome.CHOICE, Outcome.IDENTIFIER, Outcome.OVER_RANGE):
        assert heard(text, wanted) == rules
