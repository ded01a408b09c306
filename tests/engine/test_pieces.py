"""Lists in pieces: choices, what is left, sources. The rest is heard by 'go on', by voice or typed."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.engine.asking import expectation
from assistant.engine.decisions import Phase
from assistant.engine.setting import Setting
from assistant.library import load_lexicon
from assistant.meaning.phrases import phrase_list
from assistant.mouth.phrasing import phrase
from assistant.procedure.load import load_procedure
from assistant.procedure.model import Option
from assistant.words.breath import LONGEST, seconds_of
from tests.engine.conversation import Conversation, keys, setting

SIZES = ("six", "nine", "twelve", "sixteen", "twenty", "twenty four", "thirty", "thirty six")


def many_choices(names: tuple[str, ...] = SIZES) -> Conversation:
    """At a question with more answers than are named at once; the question itself names none of them."""
    plain = setting()
    first = plain.procedure.facts[0].model_copy(
        update={"ask": "Which size?", "choices": tuple(Option(name=name) for name in names)}
    )
    own = plain.procedure.model_copy(update={"facts": (first, *plain.procedure.facts[1:])})
    return Conversation(replace(plain, procedure=own)).begin().talk(["ready", "yes"])


@pytest.mark.parametrize("word", ["go on", "more", "the rest", "continue", "Go on."])
def test_more_than_four_choices_are_named_on_go_on(word: str) -> None:
    talk = many_choices()
    text = talk.text(talk.hear("sort of purple"))
    assert text == "Please say one of: six, nine, twelve, sixteen. Say go on for the rest."
    text = talk.text(talk.hear(word))
    assert text.startswith("You can answer: twenty; twenty four; thirty; thirty six")
    assert talk.prompt == "fact:brakes"
    assert keys(talk.hear(word))[0] in ("not_held", "missed", "sure"), "there is no more of it"
    talk.hear("thirty six")
    assert talk.prompt != "fact:brakes"


def test_four_choices_are_all_of_them() -> None:
    talk = many_choices(SIZES[:3])
    assert "go on" not in talk.text(talk.hear("sort of purple"))
    assert keys(talk.hear("go on")) == ["not_held", "ask"]


def test_help_reads_every_answer_in_pieces() -> None:
    names = tuple(f"{name} inch chamber with a long stroke" for name in SIZES)
    talk = many_choices(names)
    said = talk.hear("help")
    assert "answers" in keys(said)
    heard = [talk.text([one]) for one in said if one.key == "answers"]
    while "rest" in keys(said):
        said = talk.hear("go on")
        heard.append(talk.text(said[:1]))
    assert len(heard) > 1
    assert all(any(name.lower() in piece.lower() for piece in heard) for name in names)
    assert all(seconds_of(piece) <= LONGEST for piece in heard)


def test_help_does_not_repeat_what_the_question_names() -> None:
    talk = Conversation().begin().talk(["ready", "yes"])
    assert "answers" not in keys(talk.hear("help"))


def test_go_on_is_listened_for_at_a_choice() -> None:
    """The hint names words that the recognizer is given there."""
    talk = many_choices()
    assert "go on" in phrase_list(expectation(talk.setting, talk.now), load_lexicon())
    assert "more" not in phrase_list(expectation(talk.setting, talk.now), load_lexicon())


def test_more_is_an_answer_where_it_is_one() -> None:
    talk = many_choices(("none", "one", "two", "three", "more"))
    talk.talk(["sort of purple", "more"])
    assert talk.now.facts["brakes"] == "more"


def test_whats_left_of_a_survey_is_a_count_the_next_few_and_the_rest_on_go_on() -> None:
    setting_ = Setting(load_procedure("tire-tread-depth").procedure, load_lexicon(), unit_number="4019")
    talk = Conversation(setting_).begin()
    answers = {"fact:unit kind": "trailer", "fact:axles": "two axles", "fact:tires": "duals"}
    for _ in range(30):
        if talk.now.phase is Phase.SURVEYING and talk.prompt.startswith("check:"):
            break
        talk.hear(answers.get(talk.prompt, "ready" if talk.prompt == "ready" else "yes"))
    said = talk.hear("what's left")
    count = said[0].slots["count"]
    assert isinstance(count, int)
    assert count >= 16
    assert keys(said)[:2] == ["survey_next", "rest"]
    heard, turns = [*said[:1]], 0
    while "rest" in keys(said):
        said, turns = talk.hear("go on"), turns + 1
        heard.append(said[0])
        for say in said:
            assert seconds_of(phrase(say, load_lexicon()).shown) <= LONGEST
    named = [item for say in heard for item in say.slots["items"]]  # type: ignore[union-attr]
    assert len(named) == len(set(named)) == count
    assert turns >= 3
    first = talk.prompt.rpartition(":")[2]
    assert str(named[0]).endswith(first), "it begins with what comes next"


def test_an_answer_ends_the_list() -> None:
    talk = many_choices()
    talk.talk(["sort of purple", "six"])
    assert not talk.now.talk.rest
