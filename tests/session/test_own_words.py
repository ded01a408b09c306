"""What is wrong in own words, told before the session: kept as said, and what it tells asked back in one sentence."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant import catalog
from assistant.messages.decisions import FactAnswered, FactWithdrawn, NoteTaken
from assistant.procedure.load import load_procedure
from assistant.session.context import Context
from assistant.session.ledger import AS_TOLD, OWN_COMPLAINT, own_words
from assistant.session.unprompted.breath import told_in
from tests.session.conversation import Conversation

WORDS = "ABS light on, comes on as soon as the key is on, drum brakes, had a brake job last week"


def context(words: str, procedure: str = "trailer-abs-light-on") -> Context:
    plain = Context(
        load_procedure(procedure).procedure, catalog.load_vocabulary(), unit_number="4207", own_words=words
    )
    return replace(plain, told_facts=told_in(plain, words))


def at_the_question(words: str = WORDS) -> Conversation:
    return Conversation(context(words)).begin().dialog(("ready", "yes"))


@pytest.mark.parametrize(
    ("words", "procedure", "told"),
    [
        (WORDS, "trailer-abs-light-on",
         {"comes on": "at once", "brakes": "drum", "lately": "wheels or brakes"}),
        ("truck won't crank, somebody just put a new alternator on it", "battery-and-charging",
         {"complaint": "no crank", "lately": "alternator"}),
        ("left tail light is dim, led lamps", "trailer-light-dead-or-faint",
         {"what it does": "faint", "lamp": "LED lamps"}),
        ("something is wrong with it", "trailer-abs-light-on", {}),
    ],
)  # fmt: skip
def test_facts_that_are_named_are_told(words: str, procedure: str, told: dict[str, str]) -> None:
    assert dict(context(words, procedure).told_facts) == told


def test_the_words_are_kept_as_said() -> None:
    dialog = Conversation(context(WORDS)).begin()
    assert NoteTaken(WORDS) in dialog.decisions


def test_what_they_tell_is_asked_back_in_one_sentence() -> None:
    dialog = at_the_question()
    assert dialog.prompt == f"fact:{AS_TOLD}"
    assert "comes on at once, brakes drum, lately wheels or brakes" in dialog.text(dialog.said[-3:])
    dialog.hear("yes")
    facts = {one.fact: one for one in dialog.decisions if isinstance(one, FactAnswered)}
    assert facts["brakes"].value == "drum"
    assert facts["brakes"].heard == WORDS
    assert dialog.prompt not in ("fact:brakes", "fact:comes on", "fact:lately")


def test_after_a_no_each_is_asked_when_it_matters() -> None:
    dialog = at_the_question()
    dialog.hear("no")
    assert not {"brakes", "comes on"} & {one.fact for one in dialog.decisions if isinstance(one, FactAnswered)}
    assert dialog.prompt != f"fact:{AS_TOLD}"


def test_scratch_that_takes_all_of_them_back() -> None:
    dialog = at_the_question()
    dialog.hear("yes")
    dialog.hear("scratch that")
    assert FactWithdrawn("brakes") in dialog.decisions
    assert dialog.prompt == f"fact:{AS_TOLD}"


def test_words_that_tell_no_fact_ask_nothing() -> None:
    dialog = at_the_question("something is wrong with it")
    assert AS_TOLD not in dialog.prompt


def test_a_name_that_asks_is_no_part_of_what_is_asked_back() -> None:
    told = context("left tail light is dim, led lamps", "trailer-light-dead-or-faint")
    dialog = Conversation(told).begin().dialog(("ready", "yes"))
    assert dialog.prompt == f"fact:{AS_TOLD}"
    asked = dialog.text(dialog.said[-3:])
    assert "faint" in asked
    assert "what it does" not in asked


def without_words(procedure: str = "trailer-abs-light-on") -> Conversation:
    plain = Context(load_procedure(procedure).procedure, catalog.load_vocabulary(), asks_words=True)
    return Conversation(plain).begin().dialog(("ready", "yes"))


def test_a_session_begun_without_words_asks_once_what_it_is_doing() -> None:
    dialog = without_words().dialog(["4207"])
    assert dialog.prompt == f"fact:{OWN_COMPLAINT}"
    assert "What's it doing?" in dialog.text(dialog.said[-1:])
    dialog.hear(WORDS)
    facts = {one.fact: one.value for one in dialog.decisions if isinstance(one, FactAnswered)}
    assert facts[OWN_COMPLAINT] == WORDS
    assert (facts["comes on"], facts["brakes"], facts["lately"]) == ("at once", "drum", "wheels or brakes")
    assert dialog.prompt == "fact:shields", "what the words told is not asked"
    dialog.hear("scratch that")
    assert dialog.prompt == f"fact:{OWN_COMPLAINT}"
    assert "brakes" not in dialog.now.facts


def test_words_that_tell_no_fact_are_the_complaint_all_the_same() -> None:
    dialog = without_words().dialog(["4207", "something is wrong with it"])
    assert dialog.now.facts[OWN_COMPLAINT] == "something is wrong with it"
    assert dialog.prompt == "fact:brakes"
    dialog.dialog(["stop", "yes"])
    told = next(one for one in dialog.said if one.key == "complaint")
    assert told.slots["text"] == "something is wrong with it"


def test_it_is_asked_neither_where_the_words_were_told_nor_in_a_survey() -> None:
    told = Conversation(replace(context(WORDS), asks_words=False)).begin().dialog(("ready", "yes"))
    assert told.prompt != f"fact:{OWN_COMPLAINT}"
    assert OWN_COMPLAINT not in without_words("pushrod-stroke").dialog(["4207"]).prompt


def test_a_complaint_that_begins_with_not_sure_is_kept_whole() -> None:
    """The session's end and the record read it from one place."""
    assert own_words("", {OWN_COMPLAINT: "not sure what it does, the light flickers"}).startswith("not sure what")
    assert own_words("", {OWN_COMPLAINT: "not sure"}) == own_words("", {}) == ""
    assert own_words("light on", {OWN_COMPLAINT: "light off"}) == "light on"
