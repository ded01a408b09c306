"""Free words between the choices of one question: the sentences here stand in no file of answers."""

from __future__ import annotations

from collections import defaultdict

import pytest

from assistant.catalog import ANSWERS, load_vocabulary
from assistant.intents.answers import Answers, answers_in
from assistant.library import files
from assistant.messages import Choice, Expectation, Expects, Hypothesis, Outcome, Prompt, PromptKind, Understanding
from assistant.procedure.load import list_procedures, load_procedure
from assistant.procedure.model import Check, Question
from assistant.understanding.interpret import interpret
from assistant.understanding.likely_choice import ASKS, TAKES
from tests.understanding.spoken_tables import expectation

VOCABULARY = load_vocabulary()


def said(words: str, prompt: str) -> Understanding:
    return interpret([Hypothesis(words)], expectation(prompt), VOCABULARY)


@pytest.mark.parametrize(
    ("prompt", "words", "choice"),
    [
        ("@trailer-abs-light-on/bearing play", "she wiggles like a bad tooth when I grab the top", "loose"),
        ("@trailer-abs-light-on/bearing play", "couldn't budge it, not a hair of movement", "firm"),
        ("@trailer-abs-light-on/look at the plug", "the pins are all furry and green in there", "corroded"),
        ("@trailer-abs-light-on/look at the plug", "looks brand new inside, dry and shiny", "clean"),
        ("@trailer-abs-light-on/sensor against ring", "there's a good gap between the two", "backed off"),
        ("@battery-and-charging/belt", "it's glazed over and flapping around", "loose"),
        ("@tire-tread-depth/look", "you can see cords poking out of the sidewall", "damaged"),
    ],
)
def test_what_no_rule_lists_is_taken_or_asked_about_by_its_name(prompt: str, words: str, choice: str) -> None:
    found = said(words, prompt)
    assert (found.outcome, found.choice) == (Outcome.CHOICE, choice)


@pytest.mark.parametrize(
    "words",
    [
        "is the plug supposed to be that color?",
        "hand me the three eighths would you",
        "what am I looking for",
        "let me get my glasses",
        "if it's green do I swap it",
    ],
)
def test_what_is_no_answer_is_never_taken_at_once(words: str) -> None:
    found = said(words, "@trailer-abs-light-on/look at the plug")
    assert found.outcome is not Outcome.CHOICE or found.confirm


@pytest.mark.parametrize(
    "words", ["twelve", "tractor", "every tractor", "purple", "mumble grumble", "nothing of the kind"]
)
def test_words_that_nobody_says_there_are_like_nothing(words: str) -> None:
    found = said(words, "@trailer-abs-light-on/brakes")
    assert (found.outcome, found.choice) == (Outcome.NOT_UNDERSTOOD, None)


def test_a_question_of_a_shop_s_own_is_served_by_choices_of_the_same_name() -> None:
    seal = Prompt(PromptKind.CHECK, "gladhand seal")
    own = Expectation(Expects.CHOICE, prompt=seal, choices=(Choice("clean"), Choice("corroded")))
    found = interpret([Hypothesis("there's green crud all in it")], own, VOCABULARY)
    assert found.choice == "corroded"
    strange = Expectation(Expects.CHOICE, prompt=seal, choices=(Choice("plaid"), Choice("tartan")))
    assert interpret([Hypothesis("there's green crud all in it")], strange, VOCABULARY).choice is None


def _questions() -> dict[tuple[str, str], tuple[Choice, ...]]:
    found: dict[tuple[str, str], tuple[Choice, ...]] = {}
    for path in list_procedures():
        procedure = load_procedure(path).procedure
        rows: list[Check | Question] = [*procedure.checks, *procedure.facts]
        for row in rows:
            if len(row.choices) > 1:
                choices = tuple(Choice(one.name, tuple(one.also)) for one in row.choices)
                for choice in choices:
                    found.setdefault((row.name, choice.name), choices)
    return found


def _shares_of(left_out: str) -> list[tuple[float, bool]]:
    """Share of the likeliest choice of every sentence of one file, with the others known, and whether it is right."""
    texts = {path.name: path.read_text(encoding="utf-8") for path in files("grammars", ANSWERS)}
    known: Answers = answers_in({name: text for name, text in texts.items() if name != left_out})
    asked = _questions()
    found = []
    for (question, choice), sentences in answers_in({left_out: texts[left_out]}).by_question.items():
        for words in sentences:
            shares = known.shares(question, asked[question, choice], words)
            best = next(iter(shares))
            found.append((shares[best] / sum(shares.values()), best == choice))
    return found


@pytest.mark.sweep
@pytest.mark.parametrize("left_out", [path.name for path in files("grammars", ANSWERS)])
def test_with_one_way_of_speaking_left_out_the_likeliest_choice_is_right(left_out: str) -> None:
    found = _shares_of(left_out)
    right = sum(one for _, one in found) / len(found)
    taken = [one for share, one in found if share >= TAKES]
    asked = [one for share, one in found if share >= ASKS]
    figures = defaultdict(float, right=right, taken=sum(taken) / len(taken), asked=sum(asked) / len(asked))
    print(left_out, {name: round(share, 3) for name, share in figures.items()}, len(taken) / len(found))
    assert right >= 0.84
    assert figures["asked"] >= 0.87
    assert figures["taken"] >= 0.975
