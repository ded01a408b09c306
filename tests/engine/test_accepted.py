"""What of an answer is recorded: the words that counted, and its rivals to be read, never to be understood."""

from __future__ import annotations

from assistant.messages import Heard, Hypothesis, Source
from tests.engine.conversation import TO_FINDING, Conversation

OHMS = (*TO_FINDING, "next", "yes", "0.05", "yes")


def said(*words: str) -> Heard:
    """One answer by sound, with what else it could have been."""
    heard = tuple(Hypothesis(one, -4.0 * number) for number, one in enumerate(words))
    return Heard(9.0, heard, Source.RECORDING, 30.0)


def test_rivals_stand_beside_the_words_that_counted() -> None:
    talk = Conversation().begin().talk(OHMS)
    talk.feed(said("eleven fifty", "eleven fifty", "eleven sixty", "seven fifty", "eleven"))
    if talk.prompt.startswith("confirm:"):
        talk.hear("yes")
    fact = talk.records[-1].fact
    assert isinstance(fact, Heard)
    assert [one.words for one in fact.hypotheses] == ["eleven fifty"]
    assert fact.alternatives == ("eleven sixty", "seven fifty")


def test_an_answer_that_needed_a_yes_keeps_its_rivals() -> None:
    talk = Conversation().begin().talk(OHMS)
    talk.feed(said("over range", "eleven fifty", "turn the radio down"))
    assert talk.prompt.startswith("confirm:")
    talk.hear("yes")
    fact = talk.records[-1].fact
    assert isinstance(fact, Heard)
    assert fact.hypotheses[0].words == "over range"
    assert fact.alternatives == ("eleven fifty",), "talk beside it is not kept"


def test_what_is_typed_has_none() -> None:
    talk = Conversation().begin().talk((*OHMS, "1150"))
    fact = talk.records[-1].fact
    assert isinstance(fact, Heard)
    assert fact.alternatives == ()
