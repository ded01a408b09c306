"""What of an answer is recorded: the words that counted, and its rivals to be read, never to be understood."""

from __future__ import annotations

from assistant.messages import Heard, Hypothesis, Source
from tests.session.conversation import TO_FINDING, Conversation

OHMS = (*TO_FINDING, "next", "yes", "0.05")


def said(*words: str) -> Heard:
    """One answer by sound, with what else it could have been."""
    heard = tuple(Hypothesis(one, -4.0 * number) for number, one in enumerate(words))
    return Heard(8.5, heard, Source.RECORDING, 30.0)  # at a time that no typed answer has


def test_rivals_stand_beside_the_words_that_counted() -> None:
    dialog = Conversation().begin().dialog(OHMS)
    dialog.feed(said("eleven fifty", "eleven fifty", "eleven sixty", "seven fifty", "eleven"))
    if dialog.prompt.startswith("confirm:"):
        dialog.hear("yes")
    fact = dialog.records[-1].fact
    assert isinstance(fact, Heard)
    assert [one.words for one in fact.hypotheses] == ["eleven fifty"]
    assert fact.alternatives == ("eleven sixty", "seven fifty")


def test_an_answer_that_needed_a_yes_keeps_its_rivals() -> None:
    dialog = Conversation().begin().dialog(OHMS)
    dialog.feed(said("over range", "eleven fifty", "turn the radio down"))
    assert dialog.prompt.startswith("confirm:")
    dialog.hear("yes")
    fact = dialog.records[-1].fact
    assert isinstance(fact, Heard)
    assert fact.hypotheses[0].words == "over range"
    assert fact.alternatives == ("eleven fifty",), "talk beside it is not kept"


def test_what_is_typed_has_none() -> None:
    dialog = Conversation().begin().dialog((*OHMS, "1150"))
    fact = dialog.records[-1].fact
    assert isinstance(fact, Heard)
    assert fact.alternatives == ()
