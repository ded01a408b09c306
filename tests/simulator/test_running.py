"""Brakes and tires as mechanisms against the regulation, and the surveys led on them."""

from __future__ import annotations

from random import Random

import pytest

from assistant import catalog
from assistant.diagnosis.fault_model import Suspect
from assistant.diagnosis.limits import limits_of
from assistant.messages.decisions import Observed
from assistant.procedure.load import load_procedure
from assistant.session.agenda.outcomes import is_fine
from assistant.simulator.trial import Trial, context_of, run_trial
from assistant.simulator.truck.case import Arrival
from assistant.simulator.truck.machine import Plain
from assistant.simulator.truck.running.brakes import (
    BRAKE_LOOKS,
    BRAKES,
    PEDAL,
    RESERVOIRS,
    SPRINGS,
    BrakeBuild,
    Brakes,
)
from assistant.simulator.truck.running.tires import TIRES
from assistant.simulator.truck_unit import TruckUnit, case_of

SURVEYS = {"pushrod-stroke": BRAKES, "tire-tread-depth": TIRES}


def ready(build: BrakeBuild) -> Brakes:
    unit = Brakes(build)
    unit.set({SPRINGS: "released", RESERVOIRS: "set between 90 and 100"})
    return unit


def test_ten_applications_leave_the_last_rods_at_far_less_than_ninety_psi() -> None:
    unit = ready(BrakeBuild(axles=5))
    unit.set({PEDAL: "held down"})
    assert 90 <= float(BRAKE_LOOKS["reservoir gauge"](Plain(unit), "")) <= 100
    first = unit.stroke("left first axle")
    for _ in range(9):
        unit.set({PEDAL: "up"})
        unit.set({PEDAL: "held down"})
    assert unit.psi < 60
    assert unit.stroke("right fifth axle") < first - 0.1


def test_a_spring_brake_that_is_set_hides_the_stroke() -> None:
    unit = Brakes(BrakeBuild())
    unit.set({PEDAL: "held down"})
    assert unit.stroke("left first axle") < 0.3


# 49 CFR 393.47(e): the truck's own table beside the file's, which know nothing of each other.
@pytest.mark.parametrize("stroke", ["standard", "long stroke"])
@pytest.mark.parametrize("size", ["twenty", "twenty four", "thirty"])
def test_two_tables_of_the_same_rule_agree(stroke: str, size: str) -> None:
    check = next(one for one in load_procedure("pushrod-stroke").procedure.checks if one.name == "stroke")
    kind = "clamp" if stroke == "standard" else stroke
    facts = {"unit kind": "trailer", "chamber": kind, f"{kind} size": size}
    limit = limits_of(check, facts, "left second axle").high
    assert limit is not None
    assert float(limit) == BrakeBuild(stroke=stroke, size=size).limit("left second axle")


def surveyed(name: str, wrong: tuple[Suspect, ...], seed: int) -> tuple[Trial, set[str | None]]:
    """A whole survey, and the places of what is not good in it."""
    procedure = load_procedure(name).procedure
    context = context_of(procedure, catalog.load_vocabulary())
    trial = run_trial(context, TruckUnit(procedure, case_of(procedure, wrong, seed)))
    seen = [one for one in trial.decisions if isinstance(one, Observed)]
    return trial, {one.place for one in seen if not is_fine(context, one)}


@pytest.mark.parametrize("name", SURVEYS)
def test_a_sound_unit_is_good_at_every_place(name: str) -> None:
    for seed in range(4):
        trial, bad = surveyed(name, (), seed)
        assert (trial.ending, bad) == ("survey complete", set())


@pytest.mark.parametrize(
    ("name", "kind"), [(name, kind.name) for name, arrival in SURVEYS.items() for kind in arrival.kinds]
)
def test_every_defect_is_named_at_its_own_place(name: str, kind: str) -> None:
    arrival: Arrival = SURVEYS[name]
    for number, place in enumerate(arrival.every_place(arrival.kind_named(kind))[::3]):
        trial, bad = surveyed(name, (Suspect(kind, place),), number)
        assert trial.ending == "survey complete"
        assert place in bad
        assert bad <= {place, None}


def test_one_brake_of_five_and_more_is_told_as_out_of_service() -> None:
    for axles, told in ((2, "one in five or more"), (3, "fewer than one in five")):
        build = BrakeBuild(axles=axles)
        kind = BRAKES.kind_named("chamber that leaks")
        unit = Brakes(build, [kind.make("left first axle", build, Random(1))])
        assert BRAKE_LOOKS["defective brakes"](Plain(unit), "") == told
