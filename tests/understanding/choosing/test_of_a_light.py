"""What bears a light is no answer to what powers the trailer: not where it is asked, and not told in a breath."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.catalog import load_vocabulary
from assistant.messages import Hypothesis
from assistant.messages.decisions import FactAnswered
from assistant.session.saying.questions import fact_expectation
from assistant.session.unprompted.breath import told_in
from assistant.understanding.choosing.of_a_light import of_a_light
from assistant.understanding.interpret import interpret
from tests.dialogs.test_pack import procedure
from tests.session.conversation import Conversation, context

TRAILER = replace(context(), procedure=procedure("trailer-abs-light-on"))
POWERED = fact_expectation(TRAILER, "powered by")
OF_A_LIGHT = [
    "the tractor light is out", "the tractor light", "tractor's out", "tractor lamp's off", "tractor's dark",
    "the tractor's light is on", "the light on the tractor is out", "tractor is good", "battery light is on",
]  # fmt: skip
PLAIN = [
    "tractor",
    "it's hooked to the tractor",
    "plugged into a tractor",
    "a tractor",
    "the battery box",
    "test power",
]


@pytest.mark.parametrize("words", OF_A_LIGHT)
def test_a_name_beside_a_light_is_taken_only_after_a_yes(words: str) -> None:
    found = interpret([Hypothesis(words, 0.0)], POWERED, load_vocabulary())
    assert found.choice is None or found.confirm
    assert "powered by" not in told_in(TRAILER, words)


@pytest.mark.parametrize("words", PLAIN)
def test_a_name_alone_is_taken(words: str) -> None:
    found = interpret([Hypothesis(words, 0.0)], POWERED, load_vocabulary())
    assert found.choice is not None
    assert not found.confirm


@pytest.mark.parametrize(
    "words", ["trailer light only, tractor's out", *OF_A_LIGHT, "no codes, tractor light is out"]
)
def test_at_another_question_it_answers_nothing(words: str) -> None:
    dialog = Conversation(TRAILER).begin()
    while not dialog.prompt.startswith("fact:"):
        dialog.hear("yes")
    dialog.hear(words)
    told = [one.fact for one in dialog.decisions if isinstance(one, FactAnswered)]
    assert "powered by" not in told


def test_what_powers_it_is_still_taken_in_a_breath() -> None:
    assert told_in(TRAILER, "no codes, tractor's hooked up")["powered by"] == "tractor"
    assert told_in(TRAILER, "stored only, running off the battery box")["powered by"] == "test power"


def test_a_question_about_lights_is_answered_by_lights() -> None:
    light = fact_expectation(TRAILER, "light")
    assert not of_a_light("on the trailer", "trailer light", light.choices)
    assert interpret([Hypothesis("trailer light", 0.0)], light, load_vocabulary()).choice == "trailer light"
