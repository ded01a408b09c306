"""What a screen is told: each part of an answer by itself, a question for each, keys in the question's words."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.display.view import answers, asked, keys
from assistant.messages import Choice, Expectation, Expects, Prompt, PromptKind, Say
from assistant.numerals.vocabulary import Vocabulary
from assistant.phrasing.phrase import phrase
from assistant.session.dialog_state import Mode
from tests.web.screen.prompts import prompts_of

MAIN = "trailer-abs-light-on"


@pytest.mark.parametrize(
    ("text", "choices", "shown"),
    [
        (
            "Parked, key still on. Is the ABS light out, or is it on?",
            {"out": (), "lit": ("on", "still on")},
            "Out On",
        ),
        ("Good, or crooked?", {"even": ("good",), "runs out": ("crooked",)}, "Good Crooked"),
        ("Clean, or green, wet or loose?", {"clean": (), "corroded": ("green", "wet", "loose")}, "Clean Corroded"),
        ("Does it stay on, or go out?", {"stays on": ("on",), "goes out": ("out",)}, "Stays on Goes out"),
        ("On, or not?", {"lit": ("on",), "bright": ("on",)}, "Lit Bright"),
    ],
    ids=["another word", "both", "a name for several", "a form of the word", "told apart"],
)
def test_a_key_says_what_the_question_says(
    text: str, choices: dict[str, tuple[str, ...]], shown: str, vocabulary: Vocabulary
) -> None:
    offered = tuple(Choice(name, also) for name, also in choices.items())
    expectation = Expectation(Expects.CHOICE, Prompt(PromptKind.CHECK, "light"), choices=offered)
    made = answers(Mode.CHECK, expectation, vocabulary, text)
    assert [one["say"] for one in made] == list(choices)
    assert " ".join(one["label"] for one in made) == shown


@pytest.mark.parametrize(
    ("expects", "unit", "offered"),
    [
        (Expects.READING, "in", ["/", " "]),
        (Expects.READING, "ohm", ["-", "k"]),
        (Expects.READING, "V", ["-"]),
        (Expects.CHOICE, None, []),
        (Expects.IDENTIFIER, None, []),
    ],
)
def test_beside_the_digits_stand_the_signs_that_its_unit_is_written_with(
    expects: Expects, unit: str | None, offered: list[str]
) -> None:
    """Inches are read in fractions, ohms in thousands; a pin may read below zero."""
    assert keys(Expectation(expects, Prompt(PromptKind.CHECK, "any"), unit=unit)) == offered


def test_values_that_are_asked_about_are_buttons_with_their_unit(vocabulary: Vocabulary) -> None:
    values = (Decimal("1.18"), Decimal("1180"))
    asked_of = Expectation(Expects.READING, Prompt(PromptKind.CHECK, "ohms"), unit="ohm", values=values)
    made = answers(Mode.CHOOSE, asked_of, vocabulary)
    assert [one["say"] for one in made] == ["1.18", "1180"]
    assert all("ohm" in one["label"] for one in made)


def test_where_a_command_is_waited_for_its_key_is_next(vocabulary: Vocabulary) -> None:
    waits = Expectation(Expects.COMMAND, Prompt(PromptKind.ACCESS, "wheel up"))
    assert [one["say"] for one in answers(Mode.CHECK, waits, vocabulary)] == ["next"]


def test_cautions_and_what_goes_back_come_each_by_itself_with_a_question() -> None:
    prompts = prompts_of(MAIN, 1)
    cautions = [one for one in prompts if one["mode"] == "caution" and one["ask"]["parts"]]
    assert len(cautions) >= 2
    for one in cautions:
        assert not [part for part in one["ask"]["parts"] if part.startswith("Caution")]
        assert one["ask"]["text"]
    back = [one for one in prompts if one["mode"] == "put_back" and one["ask"]["parts"]]
    assert back
    for one in back:
        assert all(";" not in part for part in one["ask"]["parts"]), "each thing by itself"
        assert not one["ask"]["text"].startswith(("Back together", "Then"))
        assert {"yes", "no"} == {key["say"] for key in one["answers"]}


def test_each_part_of_the_list_has_a_question_on_the_screen(
    vocabulary: Vocabulary, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each part stands apart from its question, also after the first."""
    done = Say("put_back_done", {"number": 2, "count": 3})
    says = (Say("put_back_more", {"items": ("hubcap on", "wheel torqued")}), done)
    monkeypatch.setattr("assistant.display.view.question", lambda *_args, **_more: says)
    monkeypatch.setattr("assistant.display.view.found", lambda _: None)

    class Bare:
        def __init__(self) -> None:
            self.vocabulary = vocabulary

    told = asked(Bare(), None)  # type: ignore[arg-type]
    assert told["parts"] == ["Hubcap on", "Wheel torqued"]
    assert told["text"] == phrase(done, vocabulary).shown == "Part 2 of 3 done?"
