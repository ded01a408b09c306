"""How often a proof passes although nothing was mended: what the file says, against a trailer that knows it not.

The trailer drives and shows its light and codes by physics; the file says in ``misses`` what its proof lets through.
"""

from __future__ import annotations

from math import comb

import pytest

from assistant.diagnosis.conditions import assumed_facts, may_hold
from assistant.diagnosis.fault_model import Cure
from assistant.messages import Expectation, Expects, Prompt, PromptKind
from assistant.procedure.load import load_procedure
from assistant.simulator.truck_unit import TruckUnit, case_of, truck_faults

UNITS = 6
"""Units for each kind of defect."""
DONE_BEFORE = {"battery-and-charging": "charge the batteries"}
"""Work without a part that was done on every unit before its proof: most repairs charge a bank."""
UNLIKELY = 1e-4
"""A count of passes this unlikely by the declared rate fails the file."""


def passes(unit: TruckUnit) -> bool:
    """The whole proof, done on a unit on which nothing was mended."""
    facts = assumed_facts(unit.procedure, unit.facts)
    told = [
        (step, unit.answer(Expectation(Expects.CHOICE, Prompt(PromptKind.PROOF, step.name))))
        for step in unit.procedure.proof.steps
        if may_hold(step.when, facts)
    ]
    return all(answer in step.passes for step, answer in told if step.kind == "choice")


def as_far_off(count: int, of: int, rate: float) -> float:
    """Chance of a count as far from what the rate lets expect, on its side: the binomial distribution's tail."""
    each = [comb(of, k) * rate**k * (1 - rate) ** (of - k) for k in range(of + 1)]
    return min(sum(each[count:]), sum(each[: count + 1]))


def test_the_tail_by_hand() -> None:
    assert as_far_off(0, 3, 0.5) == pytest.approx(1 / 8)
    assert as_far_off(3, 3, 0.5) == pytest.approx(1 / 8)
    assert as_far_off(2, 2, 0.1) == pytest.approx(0.01)


@pytest.mark.sweep
@pytest.mark.parametrize(
    "name",
    [
        "battery-and-charging", "doubles-and-triples", "seven-way-power-and-grounds", "tractor-abs-light-on",
        "trailer-abs-light-never-lights", "trailer-abs-light-on", "trailer-light-dead-or-faint",
    ],
)  # fmt: skip
def test_a_proof_misses_as_often_as_its_file_says(name: str) -> None:
    procedure = load_procedure(name).procedure
    counted: dict[str, list[bool]] = {}
    tried: set[tuple[str, frozenset[str]]] = set()
    for suspect, _ in truck_faults(procedure):
        named_by_file = {one.fault for one in TruckUnit(procedure, case_of(procedure, (suspect,), 0)).faults_named()}
        if (suspect.fault, frozenset(named_by_file)) in tried:
            continue  # the same defect at another wheel
        tried.add((suspect.fault, frozenset(named_by_file)))
        for seed in range(UNITS):
            unit = TruckUnit(procedure, case_of(procedure, (suspect,), seed))
            if name in DONE_BEFORE and unit.fix(Cure(DONE_BEFORE[name], None)):
                continue
            passed = passes(unit)
            for named in unit.faults_named():
                counted.setdefault(named.fault, []).append(passed)
    fix_of = {fault.name: fault.fix for fault in procedure.faults}
    takes = {fix.name: fix.also_cures for fix in procedure.fixes}

    def mended(name: str, fix: str) -> bool:
        return fix_of[name] == fix or name in takes[fix]

    for name in procedure.proof.misses:
        assert any(mended(name, fix_of[fault]) for fault in counted), f"the trailer has nothing like '{name}'"
    for fault, told in counted.items():
        # a defect is told by the part that is renewed, and several of the file's faults may be mended by that
        alike = [procedure.proof.misses.get(name, 0.02) for name in fix_of if mended(name, fix_of[fault])]
        rates = (min(alike), sum(alike) / len(alike), max(alike))
        likely = max(as_far_off(sum(told), len(told), rate) for rate in rates)
        assert likely >= UNLIKELY, f"{fault}: {sum(told)} of {len(told)} passed, declared {rates}"
