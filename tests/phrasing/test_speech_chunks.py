"""Lists in pieces: choices, what is left, sources. The rest is heard by 'go on', by voice or typed."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.catalog import load_vocabulary
from assistant.messages.decisions import Phase
from assistant.phrasing.phrase import phrase
from assistant.phrasing.speech_chunks import LONGEST, seconds_of
from assistant.procedure.load import load_procedure
from assistant.procedure.model import Option
from assistant.session.context import Context
from assistant.session.saying.questions import expectation
from assistant.understanding.recognition.grammar_phrases import phrase_list
from tests.session.conversation import Conversation, context, keys

SIZES = ("six", "nine", "twelve", "sixteen", "twenty", "twenty four", "thirty", "thirty six")


def many_choices(names: tuple[str, ...] = SIZES) -> Conversation:
    """At a question with more answers than are named at once; the question itself names none of them."""
    plain = context()
    first = plain.procedure.facts[0].model_copy(
        update={"ask": "Which size?", "choices": tuple(Option(name=name) for name in names)}
    )
    own = plain.procedure.model_copy(update={"facts": (first, *plain.procedure.facts[1:])})
    return Conversation(replace(plain, procedure=own)).begin().dialog(["ready", "yes"])


@pytest.mark.parametrize("word", ["go on", "more", "the rest", "continue", "Go on."])
def test_more_than_four_choices_are_named_on_go_on(word: str) -> None:
    dialog = many_choices()
    text = dialog.text(dialog.hear("sort of purple"))
    assert text == "Please say one of: six, nine, twelve, sixteen. Say go on for the rest."
    text = dialog.text(dialog.hear(word))
    assert text.startswith("You can answer: twenty; twenty four; thirty; thirty six")
    assert dialog.prompt == "fact:brakes"
    assert keys(dialog.hear(word))[0] in ("not_held", "missed", "missed_typed", "sure"), "there is no more of it"
    dialog.hear("thirty six")
    assert dialog.prompt != "fact:brakes"


def test_four_choices_are_all_of_them() -> None:
    dialog = many_choices(SIZES[:3])
    assert "go on" not in dialog.text(dialog.hear("sort of purple"))
    assert keys(dialog.hear("go on")) == ["not_held", "ask"]


def test_help_reads_every_answer_in_pieces() -> None:
    names = tuple(f"{name} inch chamber with a long stroke" for name in SIZES)
    dialog = many_choices(names)
    said = dialog.hear("help")
    assert "answers" in keys(said)
    heard = [dialog.text([one]) for one in said if one.key == "answers"]
    while "rest" in keys(said):
        said = dialog.hear("go on")
        heard.append(dialog.text(said[:1]))
    assert len(heard) > 1
    assert all(any(name.lower() in piece.lower() for piece in heard) for name in names)
    assert all(seconds_of(piece) <= LONGEST for piece in heard)


def test_help_does_not_repeat_what_the_question_names() -> None:
    dialog = Conversation().begin().dialog(["ready", "yes"])
    assert "answers" not in keys(dialog.hear("help"))


def test_go_on_is_listened_for_at_a_choice() -> None:
    """The hint names words that the recognizer is given there."""
    dialog = many_choices()
    assert "go on" in phrase_list(expectation(dialog.context, dialog.now), load_vocabulary())
    assert "more" not in phrase_list(expectation(dialog.context, dialog.now), load_vocabulary())


def test_more_is_an_answer_where_it_is_one() -> None:
    dialog = many_choices(("none", "one", "two", "three", "more"))
    dialog.dialog(["sort of purple", "more"])
    assert dialog.now.facts["brakes"] == "more"


def test_whats_left_of_a_survey_is_a_count_the_next_few_and_the_rest_on_go_on() -> None:
    setting_ = Context(load_procedure("tire-tread-depth").procedure, load_vocabulary(), unit_number="4019")
    dialog = Conversation(setting_).begin()
    answers = {"fact:unit kind": "trailer", "fact:axles": "two axles", "fact:tires": "duals"}
    for _ in range(30):
        if dialog.now.phase is Phase.SURVEYING and dialog.prompt.startswith("check:"):
            break
        dialog.hear(answers.get(dialog.prompt, "ready" if dialog.prompt == "ready" else "yes"))
    said = dialog.hear("what's left")
    count = said[0].slots["count"]
    assert isinstance(count, int)
    assert count >= 16
    assert keys(said)[:2] == ["survey_next", "rest"]
    heard, turns = [*said[:1]], 0
    while "rest" in keys(said):
        said, turns = dialog.hear("go on"), turns + 1
        heard.append(said[0])
        for say in said:
            assert seconds_of(phrase(say, load_vocabulary()).shown) <= LONGEST
    named = [item for say in heard for item in say.slots["items"]]  # type: ignore[union-attr]
    assert len(named) == len(set(named)) == count
    assert turns >= 3
    first = dialog.prompt.rpartition(":")[2]
    assert str(named[0]).endswith(first), "it begins with what comes next"


def test_an_answer_ends_the_list() -> None:
    dialog = many_choices()
    dialog.dialog(["sort of purple", "six"])
    assert not dialog.now.dialog.rest
