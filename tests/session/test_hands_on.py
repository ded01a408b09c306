"""What must stand still before hands go to it: an engine that a reading left running, a unit that was just driven."""

from __future__ import annotations

import re

import pytest

from assistant import catalog
from assistant.messages import Choice, Expectation, Expects, Hypothesis, Reason, Why
from assistant.messages.decisions import (
    CautionAcknowledged,
    CheckChosen,
    Decision,
    FixChosen,
    FixDone,
    Observed,
    Phase,
    PhaseEntered,
    ProofFinished,
    ProofStepDone,
)
from assistant.procedure.load import list_procedures, load_procedure
from assistant.procedure.model import Check, Procedure
from assistant.session.fold import State, apply_all
from assistant.session.saying.questions import question
from assistant.simulator.trial import context_of
from assistant.understanding.interpret import interpret

PACK = {path.stem: load_procedure(path).procedure for path in list_procedures()}
RUN = [name for name, one in PACK.items() if any(row.hands and row.hands.engine == "running" for row in one.checks)]
BECAUSE = Reason(Why.NARROWS, {"effort": "a minute"})


def heard(name: str, *decisions: Decision) -> str:
    """What is asked after these decisions, its cautions acknowledged."""
    context = context_of(PACK[name], catalog.load_vocabulary())
    said = [CautionAcknowledged(one.name) for one in PACK[name].cautions]
    state = apply_all(context, State(), (*decisions, *said))
    return " ".join(str(one.slots.get("text", "")) for one in question(context, state))


def chosen(check: str) -> CheckChosen:
    return CheckChosen(check, None, 1.0, BECAUSE)


def seen(check: str) -> Observed:
    return Observed(1, check, None, check, {"good": 1.0}, "good", choice="good")


def test_cables_are_gripped_with_the_engine_off() -> None:
    """After the volts at fast idle comes a look with both hands on the posts."""
    finding = PhaseEntered(Phase.FINDING)
    assert "Engine off." in heard("battery-and-charging", finding, chosen("posts and cables"))
    after = heard("battery-and-charging", finding, seen("charging volts"), chosen("belt"))
    assert "Engine off." in after


def test_a_repair_begins_with_the_engine_off() -> None:
    """Nobody goes under a dolly with the engine running because the last reading wanted it to."""
    mend = FixChosen("mend the first dolly", None, "first dolly", 0.9, condemned=True, because=BECAUSE)
    finding = PhaseEntered(Phase.FINDING)
    assert "Engine off first." in heard("doubles-and-triples", finding, seen("first nose loaded"), mend)
    assert "Engine off" not in heard("doubles-and-triples", finding, seen("look at the plugs"), mend)


def test_after_a_drive_it_is_parked_and_chocked_again_once() -> None:
    """The chocks were pulled for the closing test: who looks further under it puts them back first."""
    work: tuple[Decision, ...] = (
        PhaseEntered(Phase.FINDING),
        FixDone("replace the cord", None, "cord replaced", "cord"),
        PhaseEntered(Phase.PROVING),
        ProofStepDone("roll", "next", passed=True),
        ProofStepDone("light", "lit", passed=False),
        ProofFinished(passed=False, because=Reason(Why.STEP_FAILED, {"step": "light", "answer": "lit"})),
        PhaseEntered(Phase.FINDING),
    )
    first = heard("trailer-abs-light-on", *work, chosen("look at the wire"))
    assert "chocks in" in first
    assert "engine off" in first
    second = heard("trailer-abs-light-on", *work, seen("code names a wheel"), chosen("light at power-up"))
    assert "chocks" not in second


@pytest.mark.parametrize("name", RUN)
def test_every_check_beside_a_running_engine_says_whether_it_runs(name: str) -> None:
    """What a reading left running is shut off before a hand goes to posts, plugs, wires or tires."""
    for check in PACK[name].checks:
        assert _told(PACK[name], check), check.name


def _told(procedure: Procedure, check: Check) -> bool:
    hands = check.hands
    if hands is not None and (hands.engine is not None or hands.key is not None):
        return True
    return bool(check.needs)  # every opening is made with the engine off, and says so


@pytest.mark.parametrize("name", PACK)
def test_no_step_leans_on_what_the_step_before_had_on(name: str) -> None:
    """What came before may have been switched off since: each step names its load, its socket and its switches."""
    for check in PACK[name].checks:
        assert not re.match(r"(?:Then the )?same\b", check.ask, re.IGNORECASE), check.ask
        for switch, state in (check.hands.switch if check.hands is not None else {}).items():
            words = re.findall(r"[a-z]{5,}", state.lower()) if switch == "lamps" and state != "off" else []
            assert all(word in check.ask.lower() for word in words), (check.name, switch, state)


@pytest.mark.parametrize("name", PACK)
def test_no_caution_gives_an_order_to_crank(name: str) -> None:
    """A caution is agreed to before the step; what is done is said by the step."""
    for caution in PACK[name].cautions:
        assert not re.search(r"\bthen crank\b", caution.say), caution.name
        assert not re.match(r"ground off first", caution.short), caution.name


DIM = "the right ones light up but they're all still dim"


@pytest.mark.parametrize(
    ("name", "asked", "words", "choice"),
    [
        ("trailer-light-dead-or-faint", "one by one", DIM, "one is wrong"),
        ("trailer-light-dead-or-faint", "one by one", "still dim", "one is wrong"),
        ("trailer-light-dead-or-faint", "all together", "they're all still dim", "one goes dim"),
        ("battery-and-charging", "charging", "still low", "outside"),
        ("battery-and-charging", "start", "no change", "slow"),
        ("seven-way-power-and-grounds", "read again", "still weak", "weak"),
        ("trailer-abs-light-on", "light", "it never went out", "lit"),
        ("trailer-abs-light-never-lights", "blue alone", "still nothing", "dark"),
        ("doubles-and-triples", "lights", "still the same", "one is lit"),
        ("battery-and-charging", "air", "45 degrees", "freezing"),
        ("battery-and-charging", "air", "seventy", "warm"),
    ],
)
def test_a_question_has_an_answer_for_what_is_still_wrong(name: str, asked: str, words: str, choice: str) -> None:
    """What a technician says where the trouble stands, or where the figure lies between the words."""
    given = PACK[name]
    facts = {fact.name: fact.choices for fact in given.facts}
    options = {**facts, **{step.name: step.choices for step in given.proof.steps}}[asked]
    expected = Expectation(Expects.CHOICE, choices=tuple(Choice(one.name, one.also) for one in options))
    assert interpret([Hypothesis(words)], expected, catalog.load_vocabulary()).choice == choice


@pytest.mark.parametrize("name", PACK)
def test_a_volt_reading_without_an_upper_limit_questions_what_cannot_be(name: str) -> None:
    """13.4 volts at a battery that is said to rest is one that is charged, and 18 is no 12 volt unit."""
    for check in PACK[name].checks:
        sets = [one for one in (check.limits, *(one.limits for one in check.limits_when)) if one is not None]
        if check.kind != "reading" or check.unit != "V" or all(one.high is not None for one in sets):
            continue
        assert check.beyond is not None, check.name
        assert check.typical is None or check.typical[1] <= check.beyond.above, check.name
