"""Codes told in the proof: kept with wheel and kind, held against those from before the repair, and judged."""

from __future__ import annotations

import pytest

from assistant.messages.decisions import (
    FixDone,
    NoteTaken,
    Observed,
    Phase,
    PhaseEntered,
    ProofFinished,
    ProofStepDone,
    PutBackDone,
)
from tests.session import partner_tables
from tests.session.conversation import Conversation

BEFORE = ("read codes", "clear codes", "cycle the power", "roll", "light")


def at(step: str) -> Conversation:
    """The proof of a sensor replaced at the left rear, whose code said so, at a step."""
    read = [
        Observed(900 + place, check, None, check, {choice: 1.0}, choice, choice=choice)
        for place, (check, choice) in enumerate((
            ("code names a wheel", "left rear"), ("kind of the code", "open or short"),
        ))
    ]  # fmt: skip
    before = partner_tables._finding("sensor ohms", "left rear", *read)
    before += [
        FixDone("replace the sensor", "left rear", "sensor replaced", "sensor"),
        PutBackDone(("all",)),
        PhaseEntered(Phase.PROVING),
        ProofStepDone("put back", "done", passed=True),
    ]
    if step == "codes again":
        before += [ProofStepDone(name, "done", passed=True) for name in BEFORE]
    return partner_tables._ready(before, lambda talk: talk.prompt == f"proof:{step}")


def told(talk: Conversation) -> dict[str, str | None]:
    return {one.check: one.choice for one in talk.decisions if isinstance(one, Observed)}


def failed(talk: Conversation) -> bool:
    return any(isinstance(one, ProofFinished) and not one.passed for one in talk.decisions)


@pytest.mark.parametrize("step", ["read codes", "codes again"])
@pytest.mark.parametrize("words", ["left rear open again", "same code", "same one, active", "left rear came back"])
def test_the_same_code_active_again_is_a_failed_proof(step: str, words: str) -> None:
    talk = at(step)
    said = talk.text(talk.hear(words))
    assert "the code from before" in said
    assert not failed(talk), "a slip must start no second search"
    talk.hear("yes")
    assert failed(talk)
    assert told(talk)["code names a wheel"] == "left rear"


@pytest.mark.parametrize("step", ["read codes", "codes again"])
@pytest.mark.parametrize(
    ("words", "place", "kind"),
    [
        ("right front, low signal, active", "right front", "low or no signal"),
        ("there's one active, right rear, open", "right rear", "open or short"),
        ("right rear", "right rear", None),
    ],
)
def test_another_wheels_code_is_a_new_finding(step: str, words: str, place: str, kind: str | None) -> None:
    talk = at(step)
    assert "not the code from before" in talk.text(talk.hear(words))
    talk.hear("yes")
    assert failed(talk)
    assert told(talk).get("code names a wheel") == place
    assert told(talk).get("kind of the code") == kind
    assert talk.now.phase is Phase.FINDING


@pytest.mark.parametrize(
    ("words", "answer"), [("left rear, stored", "Left rear, stored"), ("same code, but it's inactive", "stored")]
)
def test_what_is_only_stored_is_kept_and_the_proof_goes_on(words: str, answer: str) -> None:
    talk = at("read codes")
    talk.hear(words)
    assert not failed(talk)
    assert next(one.answer for one in talk.decisions if isinstance(one, ProofStepDone)).endswith(answer)
    assert [one.text for one in talk.decisions if isinstance(one, NoteTaken)] == [words]
    assert talk.prompt == "proof:clear codes"


@pytest.mark.parametrize(
    ("words", "answer"), [("none", "no codes"), ("no codes", "no codes"), ("stored only", "stored only")]
)
def test_none_or_only_stored_ones_are_the_answer(words: str, answer: str) -> None:
    talk = at("read codes")
    talk.hear(words)
    assert [one.answer for one in talk.decisions if isinstance(one, ProofStepDone)] == [answer]


def test_a_code_that_is_not_active_after_all_passes_the_step() -> None:
    talk = at("codes again").dialog(["left rear open", "no"])
    assert [(one.step, one.answer) for one in talk.decisions if isinstance(one, ProofStepDone)] == [
        ("codes again", "clear")
    ]


@pytest.mark.parametrize("words", ["say again", "why", "left rear?", "the sun is out again"])
def test_what_tells_no_code_counts_nothing(words: str) -> None:
    talk = at("read codes")
    talk.hear(words)
    assert not [one for one in talk.decisions if isinstance(one, ProofStepDone | Observed)]
