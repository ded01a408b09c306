"""What was just said and is disowned, and a choice told in another form of its word: nothing counts silently."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.catalog import load_vocabulary
from assistant.messages import (
    Ask,
    Choice,
    Expectation,
    Expects,
    Hypothesis,
    Outcome,
    Prompt,
    PromptKind,
    Understanding,
)
from assistant.understanding.interpret import interpret

VOLTS = Expectation(Expects.READING, unit="V", low=Decimal("12.33"))
LAMP = Expectation(
    Expects.CHOICE, Prompt(PromptKind.CHECK, "flex while it is lit"),
    choices=(Choice("steady", ("nothing changes",)), Choice("change", ("flicker",))),
)  # fmt: skip


def say(words: str, expectation: Expectation) -> Understanding:
    return interpret([Hypothesis(words)], expectation, load_vocabulary())


@pytest.mark.parametrize("said", [
    "12.1, no wait that's the second one", "12.1 no wait that's the second one", "12.1, wait, that's the other one",
    "12.1, hold on that's the second battery", "12.1, no that's the other one", "12.1 oops wrong one",
    "12.1, hold on, wrong one", "12.1, scratch that, that's battery two", "12.1, no wait that's battery 2",
    "12.1, wait no I'm on the second one", "12.1, sorry that's the first one", "12.1, hang on the lead slipped",
])  # fmt: skip
def test_a_disowned_reading_is_asked_about(said: str) -> None:
    found = say(said, VOLTS)
    assert found.outcome is not Outcome.READING or (found.confirm and found.value == Decimal("12.1")), found
    assert found.ask is not None, found


def test_what_is_put_in_its_place_counts_and_a_battery_reads() -> None:
    assert say("12.1, no wait that's 12.4", VOLTS).value == Decimal("12.4")
    assert say("battery 12.4", VOLTS).value == Decimal("12.4")
    assert say("battery one two point four", VOLTS).value == Decimal("12.4")


@pytest.mark.parametrize("said", [
    "changed when I wiggled the plug", "it changes when I bend it", "it changed when I bent the cord",
    "flickered when I moved it", "wiggled the plug and it changed",
])  # fmt: skip
def test_a_choice_in_another_form_of_its_word_is_asked_about(said: str) -> None:
    found = say(said, LAMP)
    assert (found.choice, found.confirm) == ("change", True), found
    assert found.ask is not None
    assert (found.ask.ask, found.ask.names) == (Ask.WHICH_NAME, ("change",))


@pytest.mark.parametrize("said", [
    "it didn't change when I wiggled it", "nothing changed when I wiggled it", "it never changed when I bent it",
    "what changed when you wiggled it", "would have changed by now", "did it change when you bent it",
    "changed the bulb on that side", "hasn't changed at all on me",
])  # fmt: skip
def test_what_is_denied_asked_or_done_to_a_thing_is_no_other_form(said: str) -> None:
    found = say(said, LAMP)
    assert found.choice != "change", found


@pytest.mark.parametrize("said", [
    "should have jumped by now", "supposed to dip when you bend it", "did it jump when you bent it",
    "we changed the other bulb, I changed the lens",
])  # fmt: skip
def test_nor_do_other_words_of_it_tell_what_is_asked_or_supposed(said: str) -> None:
    assert say(said, LAMP).choice != "change", said


@pytest.mark.parametrize(
    "said", ["it jumped every time", "supposed to stay put but it dips", "it changed a lot on me"]
)
def test_what_is_so_beside_what_should_be_is_asked_about(said: str) -> None:
    found = say(said, LAMP)
    assert (found.choice, found.confirm) == ("change", True) or found.outcome is Outcome.CHOOSE, found


def test_either_of_two_readings_leaves_both_open() -> None:
    found = say("twelve point four or twelve point six", VOLTS)
    assert (found.outcome, found.value) == (Outcome.CHOOSE, None), found
    assert say("I got twelve point four, or no, twelve point six", VOLTS).value == Decimal("12.6")


def test_a_number_with_a_unit_of_measure_is_no_unit_number() -> None:
    wanted = Expectation(Expects.IDENTIFIER)
    assert say("it says eleven eighty ohms on the meter", wanted).identifier is None
