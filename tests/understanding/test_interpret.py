"""Deciding between hypotheses, and the promise that no text whatever raises an error or is accepted by halves."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.catalog import load_vocabulary
from assistant.messages import (
    Ask,
    Choice,
    Clarification,
    Command,
    Expectation,
    Expects,
    Hypothesis,
    Outcome,
    Understanding,
)
from assistant.understanding.interpret import interpret

VOCABULARY = load_vocabulary()
OHMS = Expectation(Expects.READING, unit="ohm", low=Decimal(900), high=Decimal(1400))
SIDES = Expectation(
    Expects.CHOICE, choices=(Choice("left rear"), Choice("right rear"), Choice("not sure", ("unsure",)))
)
PROMPTS = [
    OHMS,
    Expectation(Expects.READING, unit="V"),
    Expectation(Expects.READING, unit="in", values=(Decimal(1), Decimal(2))),
    Expectation(Expects.READING, unit=None),
    SIDES,
    Expectation(Expects.IDENTIFIER),
    Expectation(Expects.COMMAND),
    Expectation(Expects.NOTE),
]


def heard(*pairs: tuple[str, float], prompt: Expectation = OHMS, snr_db: float | None = 30.0) -> Understanding:
    return interpret([Hypothesis(words, score) for words, score in pairs], prompt, VOCABULARY, snr_db=snr_db)


def test_a_clear_best_hypothesis_is_taken() -> None:
    found = heard(("twelve hundred", 0.0), ("twelve hundred and", -9.0))
    assert (found.value, found.confirm) == (1200, False)


def test_a_near_rival_with_another_value_asks_for_a_yes() -> None:
    found = heard(("twelve fifteen", 0.0), ("twelve fifty", -0.5))
    assert (found.value, found.confirm, found.reason) == (1215, True, "rival")
    assert found.ask == Clarification(Ask.IS_IT_VALUE, (Decimal(1215),), "ohm")


def test_a_near_rival_with_the_same_value_does_not() -> None:
    found = heard(("twelve hundred", 0.0), ("one two zero zero", -0.5))
    assert (found.value, found.confirm) == (1200, False)


def test_the_first_sayable_hypothesis_is_less_sure_than_one_that_was_heard_first() -> None:
    found = heard(("ten and point", 0.0), ("ten eighty", -1.0))
    assert found.value == 1080
    assert found.chance > heard(("ten eighty", 0.0)).chance


def test_a_sayable_one_far_below_is_not_taken() -> None:
    assert heard(("and and point", 0.0), ("ten eighty", -100.0)).value is None


def test_noise_makes_a_mistake_likelier() -> None:
    quiet, loud = (heard(("twelve hundred", 0.0), snr_db=ratio) for ratio in (40.0, 3.0))
    assert (quiet.value, loud.value) == (1200, 1200)
    assert loud.chance > 5 * quiet.chance


def test_silence_is_not_understood() -> None:
    assert interpret([], OHMS, VOCABULARY).outcome is Outcome.NOT_UNDERSTOOD


@pytest.mark.parametrize(
    ("said", "choice", "confirm"),
    [
        ("left rear", "left rear", False),
        ("Left rear.", "left rear", False),
        ("it's the left rear", "left rear", False),
        ("unsure", "not sure", False),
        ("leftt rear", "left rear", True),
    ],
)
def test_choices(said: str, choice: str, confirm: bool) -> None:
    found = interpret([Hypothesis(said)], SIDES, VOCABULARY)
    assert (found.outcome, found.choice, found.confirm) == (Outcome.CHOICE, choice, confirm)


def test_twins_among_choices_are_asked_about() -> None:
    """Fuzzy matching never picks between close rivals."""
    prompt = Expectation(Expects.CHOICE, choices=(Choice("axle one"), Choice("axle two"), Choice("axle three")))
    found = interpret([Hypothesis("axle")], prompt, VOCABULARY)
    assert found.outcome in (Outcome.CHOOSE, Outcome.NOT_UNDERSTOOD)
    assert found.ask
    assert interpret([Hypothesis("axle two")], prompt, VOCABULARY).choice == "axle two"


def test_a_command_at_a_choice_is_a_command() -> None:
    assert interpret([Hypothesis("say again")], SIDES, VOCABULARY).command is Command.SAY_AGAIN


@pytest.mark.parametrize(
    ("said", "identifier"),
    [
        ("unit oh three seven seven", "0377"),
        ("zero four one nine", "0419"),
        ("tango zero four one nine", "T0419"),
        ("T-0419", "T-0419"),
        ("0419", "0419"),
        ("double four seven one", "4471"),
        ("unit eighty seven forty seven", "8747"),
        ("trailer one oh six b", "106B"),
    ],
)
def test_unit_numbers_stay_text(said: str, identifier: str) -> None:
    """A012: leading zeros are kept."""
    found = interpret([Hypothesis(said)], Expectation(Expects.IDENTIFIER), VOCABULARY)
    assert (found.outcome, found.identifier, found.value) == (Outcome.IDENTIFIER, identifier, None)


def test_a_note_is_free_speech_and_a_lone_command_is_a_command() -> None:
    prompt = Expectation(Expects.NOTE)
    assert interpret([Hypothesis("The plug is green.")], prompt, VOCABULARY).note == "The plug is green."
    assert interpret([Hypothesis("skip it")], prompt, VOCABULARY).command is Command.SKIP
    found = interpret([Hypothesis("note the plug is green")], OHMS, VOCABULARY)
    assert (found.command, found.note) == (Command.NOTE, "the plug is green")


def at_every_prompt(text: str, snr: float | None = None) -> None:
    for prompt in PROMPTS:
        keep_the_promises(interpret([Hypothesis(text)], prompt, VOCABULARY, snr_db=snr))


@settings(max_examples=100, deadline=None)
@given(st.text(max_size=60))
def test_no_text_raises(text: str) -> None:
    at_every_prompt(text)


@pytest.mark.sweep
@settings(max_examples=300, deadline=None)
@given(st.text(max_size=60))
def test_none_of_many_texts_raises(text: str) -> None:
    at_every_prompt(text)


TYPED = ("[unclear]", "12", "1,180", "11,8", "1k8", "1/8", "-", ",", "Ω", "3.", ".5", "%", "°")
WORDS = sorted({*VOCABULARY.numbers, *VOCABULARY.homophones, *VOCABULARY.phrases, *TYPED})


@settings(max_examples=150, deadline=None)
@given(st.lists(st.sampled_from(WORDS), max_size=8))
def test_no_words_raise(words: list[str]) -> None:
    at_every_prompt(" ".join(words), 5.0)


@pytest.mark.sweep
@settings(max_examples=600, deadline=None)
@given(st.lists(st.sampled_from(WORDS), max_size=8))
def test_none_of_many_words_raise(words: list[str]) -> None:
    at_every_prompt(" ".join(words), 5.0)


def keep_the_promises(found: Understanding) -> None:
    """A value stands only in a reading, plainly written; a question has words."""
    if found.outcome is Outcome.READING:
        assert found.value is not None
        assert "E" not in str(found.value)
        assert found.value in found.values
    else:
        assert found.value is None
    if found.outcome in (Outcome.CHOOSE, Outcome.INCOMPLETE):
        assert found.ask
    if found.outcome is Outcome.COMMAND:
        assert found.command is not None


@pytest.mark.parametrize("said", ["k", "K", "kilo", "milli", "k ohms"])
def test_a_scale_without_its_number_is_no_reading(said: str) -> None:
    """Typed or heard, 'k' has lost its number, or is 'okay' cut short: nobody read a thousand ohms off a display."""
    found = interpret([Hypothesis(said)], OHMS, VOCABULARY)
    assert found.value is None
    assert found.outcome in (Outcome.INCOMPLETE, Outcome.NOT_UNDERSTOOD)


@pytest.mark.parametrize(
    ("said", "value"), [("a thousand", 1000), ("thousand", 1000), ("one k", 1000), ("2 k", 2000)]
)
def test_a_thousand_may_stand_alone(said: str, value: int) -> None:
    assert interpret([Hypothesis(said)], OHMS, VOCABULARY).value == value
