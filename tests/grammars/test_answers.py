"""The answers of ``grammars/answers``: every question with choices has some for each of them, and each is of one."""

from __future__ import annotations

from collections import defaultdict

import pytest

from assistant.catalog import ANSWERS, load_vocabulary
from assistant.errors import DocumentError
from assistant.intents.answers import answers_in
from assistant.library import files
from assistant.procedure.load import list_procedures, load_procedure
from assistant.procedure.model import Check, Question

ANSWERS_OF = load_vocabulary().answers
FEWEST = 10
"""Sentences of each choice, at least."""


def questions() -> dict[str, set[tuple[str, ...]]]:
    """Question -> its choices, wherever it is asked."""
    found: dict[str, set[tuple[str, ...]]] = defaultdict(set)
    for path in list_procedures():
        procedure = load_procedure(path).procedure
        rows: list[Check | Question] = [*procedure.checks, *procedure.facts]
        for row in rows:
            if len(row.choices) > 1:
                found[row.name].add(tuple(one.name for one in row.choices))
    return found


def test_each_choice_of_each_question_has_answers() -> None:
    assert ANSWERS_OF is not None
    few = [
        (question, choice)
        for question, asked in questions().items()
        for choices in asked
        for choice in choices
        if len(ANSWERS_OF.by_question.get((question, choice), ())) < FEWEST
    ]
    assert few == []


def test_each_answer_is_of_a_question_that_is_asked_and_of_one_choice() -> None:
    assert ANSWERS_OF is not None
    known = {(name, choice) for name, asked in questions().items() for choices in asked for choice in choices}
    assert set(ANSWERS_OF.by_question) <= known
    meant = defaultdict(set)
    for (question, choice), sentences in ANSWERS_OF.by_question.items():
        for said in sentences:
            meant[question, said].add(choice)
    assert {key: choices for key, choices in meant.items() if len(choices) > 1} == {}


def test_a_line_that_is_none_is_named() -> None:
    with pytest.raises(DocumentError) as caught:
        answers_in({"own.tsv": "# ours\nbelt\tloose\tit flops\nbelt loose it flops\n"})
    assert [(one.where, one.line) for one in caught.value.findings] == [("own.tsv", 3)]


def test_the_files_say_that_they_are_invented() -> None:
    for path in files("grammars", ANSWERS):
        assert "invented" in path.read_text(encoding="utf-8").splitlines()[0].lower()
