"""Procedures of the trailer's power and lights, led on units of their own: names, and what a sound unit shows."""

from __future__ import annotations

from random import Random

import pytest

from assistant.diagnosis.fault_model import fault_model
from assistant.diagnosis.limits import limits_of
from assistant.messages import Expectation, Expects
from assistant.messages.prompts import Prompt, PromptKind, check_prompt
from assistant.procedure.load import load_procedure
from assistant.procedure.model import Check
from assistant.simulator.truck.arrivals import ARRIVALS
from assistant.simulator.truck.case import Case, draw_case
from assistant.simulator.truck.defects import Defect
from assistant.simulator.truck_unit import TruckUnit, case_of

NAMES = (
    "trailer-abs-light-never-lights", "trailer-light-dead-or-faint", "seven-way-power-and-grounds",
    "seven-way-survey", "wheel-speed-sensor-survey",
)  # fmt: skip
"""The trailer's power and lights, and the sensors with the drums off; other units have tests of their own."""
LED = {name: load_procedure(name).procedure for name in NAMES}
SOUND = 2
"""Sound units drawn for each procedure."""


def good(check: Check, facts: dict[str, str], place: str | None, words: str) -> bool:
    """Whether an answer is good by the procedure's own limits, or one that a sound unit gives."""
    if check.kind != "reading":
        return words in check.sound
    limits = limits_of(check, facts, place)
    if words == "over range":
        return check.limits is not None and check.limits.over_range == "good"
    if words.startswith("jumping"):
        return False
    value = float(words)
    low, high = limits.low, limits.high
    return (low is None or value >= low) and (high is None or value <= high)


@pytest.mark.parametrize("name", LED)
def test_a_sound_unit_is_judged_good_at_every_check(name: str) -> None:
    """Forward and backward: no check may depend on the state in which another one left the unit."""
    procedure = LED[name]
    differs = []
    for seed in range(SOUND):
        case = case_of(procedure, (), seed)
        unit = TruckUnit(procedure, case)
        model = fault_model(procedure, unit.facts)
        for task in (*model.tasks, *reversed(model.tasks)):
            check = model.checks[task.check]
            words = unit.check(check_prompt(task.check, task.place))
            if words != "skip" and not good(check, unit.facts, task.place, words):
                differs.append(f"{seed}: {task.check} at {task.place}: {words}")
    assert differs == []


@pytest.mark.parametrize("name", [name for name, one in LED.items() if one.kind == "survey"])
def test_a_survey_shows_every_defect(name: str) -> None:
    """Whatever is wrong, some row of the table is out, at its place where it has one."""
    procedure = LED[name]
    for number, case in enumerate(cases(procedure.led_on, 5)):
        (defect,) = case.truth
        if defect.when:
            continue
        unit = TruckUnit(procedure, case)
        model = fault_model(procedure, unit.facts)
        rows = {}
        for task in model.tasks:
            check = model.checks[task.check]
            words = unit.check(check_prompt(task.check, task.place))
            rows[task] = words == "skip" or good(check, unit.facts, task.place, words)
        out = [task for task, fine in rows.items() if not fine]
        assert out, (number, defect)
        assert defect.place is None or any(task.place == defect.place for task in out), (defect, out)


@pytest.mark.parametrize("name", LED)
def test_every_name_of_the_procedure_is_one_of_the_unit(name: str) -> None:
    """Parts, openings, findings and answers; nodes and plugs are met by doing every check above."""
    procedure = LED[name]
    case = case_of(procedure, (), 3)
    unit = TruckUnit(procedure, case)
    parts = {defect.part for seed in range(12) for defect in every_defect(procedure.led_on, seed)}
    places = {place.name for place in procedure.places}
    for fix in procedure.fixes:
        assert fix.hands is not None, fix.name
        assert fix.hands.renew, fix.name
        for part in fix.hands.renew:
            filled = {meant(part, one, place) for place in places or {""} for one in cases(procedure.led_on)}
            assert filled & parts, (fix.name, part)
    for access in procedure.access:
        place = next((one.name for one in procedure.places if one.group == access.each), None)
        unit.answer(Expectation(Expects.COMMAND, Prompt(PromptKind.ACCESS, access.name, place)))
    for step in procedure.proof.steps:
        if procedure.faults:
            answer = unit.answer(Expectation(Expects.COMMAND, Prompt(PromptKind.PROOF, step.name)))
            assert not step.choices or answer in step.passes, step.name
    for question in procedure.facts:
        assert question.sees is not None, question.name
        told = question.sees.answers.get(case.tells(question.sees.what), case.tells(question.sees.what))
        assert not question.choices or told in {one.name for one in question.choices}, (question.name, told)


def every_defect(arrival: str, seed: int) -> list[Defect]:
    return [defect for case in cases(arrival, seed) for defect in case.truth]


_CASES: dict[tuple[str, int], list[Case]] = {}


def cases(arrival: str, seed: int = 0) -> list[Case]:
    kind_of = ARRIVALS[arrival]
    if (arrival, seed) not in _CASES:
        rng = Random(seed)
        _CASES[arrival, seed] = [
            draw_case(kind_of, ((kind.name, rng.choice(kind_of.every_place(kind))),), seed) for kind in kind_of.kinds
        ]
    return _CASES[arrival, seed]


def meant(name: str, case: Case, place: str) -> str:
    for word, meaning in {"place": place, **case.means}.items():
        name = name.replace(f"{{{word}}}", meaning)
    return name
