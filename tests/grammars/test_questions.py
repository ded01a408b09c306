"""``grammars/questions.toml`` and ``reports.toml``: each form leads to its kind, talk to others leads to none."""

from __future__ import annotations

import pytest

from assistant.catalog import load_vocabulary
from assistant.messages import About, Choice, Detail, Expectation, Expects, Outcome, Report
from assistant.understanding.patterns import compiled
from assistant.understanding.talk import question_of, report_of
from assistant.understanding.utterance import understand
from tests.rows import each_row

VOCABULARY = load_vocabulary()
OHMS = Expectation(Expects.READING, unit="ohm", places=(Choice("left rear"), Choice("right rear")))
KINDS = {one.value for one in About}
LISTS = {"asking", "asking_first", "around", "parts"}
QUESTIONS = [(kind, form) for kind, forms in VOCABULARY.questions.items() if kind not in LISTS for form in forms]
REPORTS = [(kind, form) for kind, forms in VOCABULARY.reports.items() if kind in set(Report) for form in forms]


def example(form: str) -> str:
    """The first phrase of each term."""
    made = compiled(form)
    return " ".join(" ".join(term[0]) for term in made.terms)


def test_every_part_is_a_kind_or_a_list() -> None:
    assert set(VOCABULARY.questions) <= KINDS | LISTS
    known = {one.value for one in Report} | {one.value for one in Detail}
    assert set(VOCABULARY.reports) <= known | {"nouns", "gone", "weak", "broken", "everywhere"}


@each_row(QUESTIONS)
def test_a_form_is_asked_as_a_question_of_the_session(kind: str, form: str) -> None:
    """Its own kind, or one that stands before it and holds the same words; never an answer."""
    text = f"{example(form)} left rear?" if kind == About.AT_PLACE else f"{example(form)}?"
    found = question_of(text, OHMS, VOCABULARY)
    assert compiled(form).found(tuple(example(form).split())) is not None
    assert found is None or found.outcome is Outcome.QUESTION
    assert understand(text, OHMS, VOCABULARY).outcome in (
        Outcome.QUESTION, Outcome.COMMAND, Outcome.NOT_UNDERSTOOD, Outcome.REPORT,
    )  # fmt: skip


@each_row(REPORTS)
def test_a_report_is_taken_up(kind: str, form: str) -> None:
    text = f"{example(form)} left rear" if kind == Report.ORDER else example(form)
    assert report_of(text, OHMS, VOCABULARY) is not None
    assert understand(text, OHMS, VOCABULARY).outcome is not Outcome.READING


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_most_forms_are_of_their_own_kind(kind: str) -> None:
    """Where an earlier kind takes a form it must be the smaller part, or the words would stand there for nothing."""
    mine = [form for name, form in QUESTIONS if name == kind]
    if not mine:
        assert kind in {"done", "why"} or kind in KINDS
        return
    place = {About.AT_PLACE.value: " left rear", About.PART.value: " the module"}.get(kind, "")
    found = [question_of(f"{example(form)}{place}?", OHMS, VOCABULARY) for form in mine]
    own = [one for one in found if one is not None and one.about == kind]
    assert len(own) >= 0.5 * len(mine)


@pytest.mark.parametrize(
    "text",
    [
        "what time is lunch", "who took my ratchet", "did you see the game last night", "where is the boss",
        "you want a coffee", "is it twelve hundred", "is eleven eighty good", "should it be nine hundred",
    ],
)  # fmt: skip
def test_talk_to_others_and_values_that_are_asked_about_are_no_question_of_the_session(text: str) -> None:
    assert question_of(text, OHMS, VOCABULARY) is None


@pytest.mark.parametrize("text", ["eleven eighty", "it's twelve hundred even", "open", "no power at all"])
def test_an_answer_is_no_report(text: str) -> None:
    assert understand(text, OHMS, VOCABULARY).outcome not in (Outcome.REPORT, Outcome.QUESTION)
