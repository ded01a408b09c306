"""Which role each clause of an utterance has at a prompt, for who wants to know why it was understood so."""

from __future__ import annotations

from assistant.messages import Expectation, Expects, Outcome, Understanding
from assistant.numerals.tokenizer import scan
from assistant.numerals.vocabulary import Vocabulary
from assistant.understanding.choosing.spotted_choices import spotted
from assistant.understanding.clauses.clause import Spoken
from assistant.understanding.clauses.parts import NAMED
from assistant.understanding.clauses.spoken import spoken
from assistant.understanding.talk import question_by_form, report_by_form
from assistant.understanding.values.readings import explained_reading


def explain(text: str, expectation: Expectation, vocabulary: Vocabulary) -> Spoken:
    """The clauses that the understanding divided a text into, each with its role and its parts."""
    if expectation.expects is Expects.READING:
        return explained_reading(text, expectation, vocabulary)[1]
    if expectation.expects is Expects.CHOICE:
        return spotted(text, expectation.choices, vocabulary)[1]
    return spoken(text, scan(text, vocabulary), vocabulary)


def form_of(meant: Understanding, expectation: Expectation, vocabulary: Vocabulary) -> str | None:
    """The form by which a question or a report was known, None for anything else."""
    known = {Outcome.QUESTION: question_by_form, Outcome.REPORT: report_by_form}.get(meant.outcome)
    found = known(meant.heard, expectation, vocabulary) if known is not None else None
    return found[1] if found is not None else None


def likely(text: str, vocabulary: Vocabulary) -> list[tuple[str, float]]:
    """The three intents that the classifier finds likeliest, each with its share; none where there is none."""
    opinion = vocabulary.second_opinion
    return list(opinion.shares(text).items())[:3] if opinion is not None else []


def words_of(said: Spoken) -> list[tuple[str, list[tuple[str, str]]]]:
    """The role of each clause with its parts: their words and what each does."""
    return [
        (
            clause.role.value,
            [("(a choice)" if part.role == NAMED else part.text, str(part.role)) for part in clause.parts],
        )
        for clause in said.clauses
    ]
