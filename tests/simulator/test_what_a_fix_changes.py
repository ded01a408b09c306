"""A fix that cures nothing must not make a reading good: where it does by its own work, the file has to say so.

The truth is the truck's own, fixed before anything is asked: a unit with a defect, and on it every fix that leaves it
as wrong as it was. A check that was not sound before such a fix and is sound after it proves nothing.
"""

from __future__ import annotations

from copy import copy, deepcopy

import pytest

from assistant.diagnosis.fault_model import FaultModel, Suspect, Task, fault_model
from assistant.messages import Expectation, Expects, Prompt, PromptKind, check_prompt
from assistant.procedure.load import list_procedures, load_procedure
from assistant.procedure.model import Procedure
from assistant.simulator.truck_unit import TruckUnit, case_of, led_on_truck, truck_faults
from tests.simulator.test_led_procedures import good

LED = {
    path.stem: procedure
    for path in list_procedures()
    if (procedure := load_procedure(path).procedure).faults and led_on_truck(procedure)
}
SEED = 97
UNTIL_IT_ROLLS = {"worn sensor clip"}
"""Defects of which a part is mended until the unit rolls: the sensor was backed off, and now it is not. The reading
is right, and the proof, which rolls, is what tells."""


def as_it_stands(unit: TruckUnit) -> TruckUnit:
    """The same unit in the same state, to be worked on apart."""
    other = copy(unit)
    other.case = deepcopy(unit.case)
    other.fixes_done, other.useful, other.slips, other.noticed = [], [], [], []
    return other


def is_sound(unit: TruckUnit, seen: FaultModel, task: Task) -> bool:
    """What a check shows once everything that it needs was opened. True as well where it is judged by another one."""
    check = seen.checks[task.check]
    one = as_it_stands(unit)
    for opening in seen.unopened(seen.task_openings[seen.task_index[task]], ()):
        one.answer(Expectation(Expects.COMMAND, Prompt(PromptKind.ACCESS, opening.access, opening.place)))
    words = one.check(check_prompt(task.check, task.place))
    return check.compare is not None or words in check.tools or good(check, unit.facts, task.place, words)


def first_of_each_kind(procedure: Procedure) -> list[Suspect]:
    """Every kind of defect at the first place that it can have."""
    kinds: dict[str, Suspect] = {}
    for defect, _ in truck_faults(procedure):
        kinds.setdefault(defect.fault, defect)
    return [defect for name, defect in kinds.items() if name not in UNTIL_IT_ROLLS]


def made_good_for_nothing(procedure: Procedure, number: int) -> set[tuple[str, str]]:
    """Fixes that leave the unit with this defect as wrong as it was, each with a check that it made good."""
    defect = first_of_each_kind(procedure)[number]
    unit = TruckUnit(procedure, case_of(procedure, (defect,), SEED + number))
    seen = fault_model(procedure, unit.facts)
    bad = [task for task in seen.tasks if not seen.checks[task.check].repeatable and not is_sound(unit, seen, task)]
    found = set()
    for cure in seen.cures if bad else ():
        after = as_it_stands(unit)
        if after.fix(cure) or after.cured:
            continue
        found |= {(cure.fix, task.check) for task in bad if is_sound(after, seen, task)}
    return found


@pytest.mark.sweep
@pytest.mark.parametrize("name", list(LED))
def test_what_a_fix_makes_good_without_curing_is_named_in_its_file(name: str) -> None:
    procedure = LED[name]
    found = set[tuple[str, str]]()
    for number in range(len(first_of_each_kind(procedure))):
        found |= made_good_for_nothing(procedure, number)
    named = {(fix.name, check) for fix in procedure.fixes for check in fix.also_changes}
    assert found - named == set()
    # what is named is true of some unit
    assert named - found == set()
