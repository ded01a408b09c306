"""``grammars/looks.toml``: what is seen in other words than a choice's own is asked about, and never taken."""

from __future__ import annotations

import re

import pytest

from assistant.catalog import load_vocabulary
from assistant.messages import Choice, Expectation, Expects, Hypothesis, Outcome, Understanding
from assistant.procedure.load import list_procedures, load_procedure
from assistant.understanding.choosing.looks import OPPOSITES
from assistant.understanding.interpret import interpret
from tests.rows import each_row

VOCABULARY = load_vocabulary()
PACK = [load_procedure(path).procedure for path in list_procedures()]
NAMES = {
    choice.name
    for procedure in PACK
    for row in (*procedure.facts, *procedure.checks, *procedure.proof)
    for choice in getattr(row, "choices", ())
}
FORMS = [(name, form) for name, forms in VOCABULARY.looks.items() if name != OPPOSITES for form in forms]
PLUG = Expectation(Expects.CHOICE, choices=(Choice("clean"), Choice("corroded")))
WIRE = Expectation(Expects.CHOICE, choices=(Choice("sound"), Choice("damaged")))


def typed(text: str, prompt: Expectation) -> Understanding:
    return interpret((Hypothesis(text),), prompt, VOCABULARY)


def test_every_part_is_a_choice_of_a_procedure() -> None:
    assert set(VOCABULARY.looks) - {OPPOSITES} <= NAMES


@each_row(FORMS)
def test_a_form_alone_never_counts_in_silence(name: str, form: str) -> None:
    prompt = Expectation(Expects.CHOICE, choices=(Choice(name), Choice("zebra")))
    found = typed(f"well that thing is sorta {re.sub(r'[*]', '', form)} ish", prompt)
    assert found.confirm or found.outcome is not Outcome.CHOICE or form in name or name in form, found


@pytest.mark.parametrize(
    ("text", "prompt", "choice"),
    [("something's been gnawing on this", WIRE, "damaged"), ("it's a mossy swamp in there", PLUG, "corroded"),
     ("shiny like the day it was made", PLUG, "clean"), ("no nicks or scuffs that I can find", WIRE, "sound")],
)  # fmt: skip
def test_what_is_seen_is_asked_about(text: str, prompt: Expectation, choice: str) -> None:
    found = typed(text, prompt)
    assert (found.choice, found.confirm) == (choice, True)


@pytest.mark.parametrize(
    "text", ["is it gnawed on?", "is something gnawing on it", "gnawed and intact", "the shiny one is the furry one"]
)
def test_what_is_asked_or_tells_both_names_none(text: str) -> None:
    for prompt in (WIRE, PLUG):
        found = typed(text, prompt)
        assert found.choice is None or found.confirm, found
    assert typed("is it gnawed on?", WIRE).choice is None
    assert typed("gnawed and intact", WIRE).choice is None
