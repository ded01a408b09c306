"""What is told of all the others is no answer about all of them, and nearly the same letters are no same word."""

from __future__ import annotations

import pytest

from assistant import catalog
from assistant.messages import Choice, Expectation, Expects, Outcome, Understanding
from assistant.procedure.load import load_procedure
from assistant.understanding.utterance import understand


def meant(procedure: str, fact: str, said: str) -> Understanding:
    asked = next(one for one in load_procedure(procedure).procedure.facts if one.name == fact)
    choices = tuple(Choice(one.name, one.also) for one in asked.choices)
    return understand(said, Expectation(Expects.CHOICE, choices=choices), catalog.load_vocabulary())


@pytest.mark.parametrize(
    "said",
    [
        "left turn signal on the trailer's dead, everything else works",
        "the left turn is out, everything else works",
        "all the other lights work, only the left turn is out",
        "the rest all work",
        "all the rest are fine",
        "everything works",
    ],
)
def test_all_the_others_are_not_all_of_them(said: str) -> None:
    assert meant("trailer-light-dead-or-faint", "how many", said).choice is None


@pytest.mark.parametrize("said", ["all of them", "everything's dead", "every light is out"])
def test_all_of_them_are(said: str) -> None:
    assert meant("trailer-light-dead-or-faint", "how many", said).choice == "all of them"


def test_a_wheel_is_not_nearly_a_time() -> None:
    assert meant("trailer-abs-light-on", "comes on", "right front").outcome is Outcome.NOT_UNDERSTOOD
    assert meant("trailer-abs-light-on", "comes on", "comes and gose").choice == "comes and goes"


@pytest.mark.parametrize(("said", "size"), [("30", "thirty"), ("24", "twenty four"), ("type 30", "thirty")])
def test_a_size_in_figures(said: str, size: str) -> None:
    assert meant("pushrod-stroke", "long stroke size", said).choice == size


def test_one_more_choice_is_not_cut_off() -> None:
    asked = meant("pushrod-stroke", "long stroke size", "the cat sat").ask
    assert asked is not None
    assert asked.names[-1] == "thirty"


@pytest.mark.parametrize("said", ["1,180", "705", "30.5", "3/30"])
def test_other_figures_are_no_size(said: str) -> None:
    assert meant("pushrod-stroke", "long stroke size", said).choice is None
