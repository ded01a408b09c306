"""Every way to say an answer of every procedure is that answer, alone and in free talk, and never another one."""

from __future__ import annotations

import re
from functools import lru_cache

import pytest

from assistant.catalog import load_vocabulary
from assistant.messages import Choice, Expectation, Expects, Outcome
from assistant.procedure.load import load_procedure
from assistant.procedure.model import Check, Procedure, ProofStep, Question
from assistant.understanding.utterance import understand
from tests.dialogs.test_pack import NAMES

VOCABULARY = load_vocabulary()
TALK = ("looks like {}", "yeah it's {}", "I'd say {}", "okay, {}")
"""Taken in turn: all of them for each saying take a minute."""


@lru_cache
def asked(name: str) -> tuple[Question | Check | ProofStep, ...]:
    """Rows of a procedure that take one answer among several."""
    seen: Procedure = load_procedure(name).procedure
    rows: list[Question | Check | ProofStep] = [*seen.facts, *seen.checks, *seen.proof.steps]
    return tuple(row for row in rows if row.choices and getattr(row, "kind", "") == "choice")


@pytest.mark.parametrize("name", NAMES)
def test_every_saying_is_its_answer(name: str) -> None:
    for row in asked(name):
        choices = tuple(Choice(option.name, option.also) for option in row.choices)
        wanted = Expectation(Expects.CHOICE, choices=choices)
        for option in row.choices:
            for saying in (option.name, *option.also):
                found = understand(saying, wanted, VOCABULARY)
                assert found.outcome is Outcome.CHOICE, (row.name, saying, found)
                assert found.choice == option.name, (row.name, saying, found)


@pytest.mark.parametrize("name", NAMES)
def test_in_free_talk_a_saying_is_never_another_answer(name: str) -> None:
    """It counts, or it is asked about by its name; most count at once."""
    counted, said = 0, 0
    for row in asked(name):
        choices = tuple(Choice(option.name, option.also) for option in row.choices)
        wanted = Expectation(Expects.CHOICE, choices=choices)
        for option in row.choices:
            for saying in (option.name, *option.also):
                text = TALK[said % len(TALK)].format(saying)
                found = understand(text, wanted, VOCABULARY)
                assert found.choice in (None, option.name), (row.name, text, found)
                said += 1
                counted += found.choice == option.name and not found.confirm
    assert counted >= 0.9 * said


@pytest.mark.parametrize("name", NAMES)
def test_nobody_who_says_that_it_is_good_has_called_it_a_fault(name: str) -> None:
    """With a known good part in turn and the old one again, 'both good' clears the old one."""
    for row in asked(name):
        if not isinstance(row, Check):
            continue
        wanted = Expectation(
            Expects.CHOICE, choices=tuple(Choice(option.name, option.also) for option in row.choices)
        )
        for saying in ("good", "both good", "all good", "both work", "both fine", "looks good", "it's good", "fine"):
            found = understand(saying, wanted, VOCABULARY)
            assert found.choice is None or found.choice in row.sound, (row.name, saying, found.choice)


@pytest.mark.parametrize("name", NAMES)
def test_no_fault_has_a_name_that_only_says_that_it_is_good(name: str) -> None:
    """'Lights well: fault' reads as a slip of the program."""
    praise = re.compile(
        r"(?:it )?(?:all |both |lights? |works? |comes? |reads? )*(?:good|well|right|fine|sound|clean)(?: now)?"
    )
    for row in asked(name):
        if isinstance(row, Check):
            faults = [option.name for option in row.choices if option.name not in row.sound]
            assert not [one for one in faults if praise.fullmatch(one)], row.name
