"""What is asked about the step itself: its limits, where the tips go, and a yes to all of its cautions."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.catalog import load_vocabulary
from assistant.messages import (
    About,
    Command,
    Expectation,
    Expects,
    Outcome,
    Prompt,
    PromptKind,
    Reason,
    Talk,
    Understanding,
    Why,
)
from assistant.messages.decisions import CautionAcknowledged, CheckChosen, Decision, Observed, Phase, PhaseEntered
from assistant.phrasing.phrase import phrase
from assistant.session.agenda.prompts import Asked, asked_now
from assistant.session.dialog_state import Mode
from assistant.session.fold import apply_all, begin
from assistant.session.observing.conditions import ask_check
from assistant.session.saying.replies import reply
from assistant.understanding.utterance import understand
from tests.dialogs.test_pack import procedure
from tests.session.conversation import Conversation, context
from tests.session.transitions.rows import FIX

TRAILER = replace(context(), procedure=procedure("trailer-abs-light-on"))


def answered(dialog: Conversation, words: str) -> str:
    before = len(dialog.said)
    dialog.hear(words)
    return dialog.text(dialog.said[before:])


def test_at_a_step_without_a_reading_the_limit_is_named_with_its_check() -> None:
    text = answered(Conversation().begin().dialog((*FIX,)), "what's the limit")
    assert "Resistance of the sensor, left: good is 700 to 3,000 ohms." in text


@pytest.mark.parametrize(
    "words", ["how do I cage it", "what is caging", "what does caged mean?", "how do you cage the spring brake"]
)
def test_how_a_spring_brake_is_caged_is_answered_in_two_sentences_that_defer_to_the_maker(words: str) -> None:
    text = answered(Conversation().begin().dialog((*FIX,)), words)
    assert "chamber maker's service information" in text
    assert "Never open a chamber" in text
    assert text.count(".") == 2


def test_where_nothing_was_read_it_says_that_nothing_is_measured() -> None:
    assert "Nothing is measured here." in answered(
        Conversation().begin().dialog(("ready", "yes")), "what's the limit"
    )


def asked_after(first: str, second: str, place: str, before: str = "left rear", talk: Talk = Talk.FIRST) -> str:
    seen = Observed(1, first, before, TRAILER.check(first).title, {"good": 1.0}, "")
    state = apply_all(TRAILER, begin(TRAILER), (seen,))
    asked = Asked(Mode.CHECK, Prompt(PromptKind.CHECK, second, place), second, place)
    says = ask_check(TRAILER, state, asked, full=False)
    leads = [one for one in says if one.key == "leads"]
    return " ".join(phrase(replace(one, talk=talk), load_vocabulary()).shown for one in leads)


def test_when_one_probe_moves_both_are_told() -> None:
    text = asked_after("port volts", "module end ohms", "left rear")
    assert text == (
        "Dial to ohms; red lead in the ohms jack; "
        "red probe on one pin of the sensor plug; black probe on the other pin."
    )
    assert "one pin of the port" in asked_after("module end ohms", "port volts", "left rear")


def test_tips_that_the_question_names_are_told_once() -> None:
    assert "pin to pin" in TRAILER.check("module end ohms").ask
    assert asked_after("port volts", "module end ohms", "left rear", talk=Talk.USUAL) == "Ohms; ohms jack."
    other = asked_after("port volts", "ground drop", "left rear", talk=Talk.USUAL)
    assert "black on pin 1 at the nose" in other, "what it does not name is told"


def test_tips_whose_words_are_the_same_are_told_when_they_stand_elsewhere() -> None:
    text = asked_after("output by hand, drum on", "module end ohms", "right rear")
    assert "one pin of the sensor plug" in text
    assert "pin" not in asked_after("output by hand, drum on", "module end ohms", "left rear")


def test_where_do_the_leads_go_is_answered_from_the_step_that_uses_the_meter() -> None:
    chosen: tuple[Decision, ...] = (
        PhaseEntered(Phase.FINDING),
        CheckChosen("meter and load", None, 1.0, Reason(Why.ASKED_FOR)),
        CautionAcknowledged("battery gas"),
        CautionAcknowledged("hot load"),
    )
    state = apply_all(TRAILER, begin(TRAILER), chosen)
    assert asked_now(TRAILER, state).mode is Mode.CHECK
    says = reply(TRAILER, state, Understanding(Outcome.QUESTION, "where do the leads go", about=About.LEADS), 0.0)
    text = " ".join(phrase(one, load_vocabulary()).shown for one in says)
    assert "load across the posts" in text
    assert "No meter" not in text


@pytest.mark.parametrize("words", ["yep all three", "yes to all three", "yes all 3", "yeah all four of them"])
def test_a_yes_to_all_of_several_cautions(words: str) -> None:
    found = understand(words, Expectation(Expects.COMMAND, hint="yes"), load_vocabulary())
    assert (found.command, found.confirm) == (Command.YES, False)


BATTERY = replace(context(), procedure=procedure("battery-and-charging"))


def test_the_wait_over_a_night_on_the_charger_is_told_apart_from_the_work() -> None:
    place = BATTERY.procedure.places[0].name
    fails = Observed(1, "battery under load", place, "battery under load", {"low": 1.0}, "")
    chosen = CheckChosen("rest volts", None, 1, Reason(Why.WRITTEN, {"text": "-"}))
    state = apply_all(BATTERY, begin(BATTERY), (PhaseEntered(Phase.FINDING), fails, chosen))
    meant = Understanding(Outcome.QUESTION, "how long", about=About.TIME_LEFT)
    said = {one.key for one in reply(BATTERY, state, meant, 0.0)}
    assert said == {"time_left", "time_waits"}


def test_what_waits_over_a_night_says_so_and_asks_to_hold() -> None:
    nights = [one for one in BATTERY.procedure.access if one.hands and one.hands.switch.get("charger")]
    assert [one.name for one in nights] == ["charged overnight"]
    assert "hold on" in nights[0].say
    fixes = [one for one in BATTERY.procedure.fixes if one.hands and one.hands.switch.get("charger")]
    assert all([*(one.waits for one in nights), *(one.waits for one in fixes)])


@pytest.mark.parametrize("words", ["the battery volts should have been 12.6", "the battery should be twelve six"])
def test_a_value_tells_no_fact_about_the_unit(words: str) -> None:
    """A twelve-volt battery is one of the ways to power the module for a test, and nobody spoke of that."""
    dialog = Conversation(TRAILER).begin().dialog(("ready", "yes"))
    before = dict(dialog.now.facts)
    dialog.hear(words)
    assert dict(dialog.now.facts) == before
