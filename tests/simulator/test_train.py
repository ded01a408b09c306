"""Doubles and triples against published ends, ngspice and the trade; the procedure led on them."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from random import Random

import pytest

from assistant import catalog
from assistant.diagnosis.fault_model import Suspect, fault_model
from assistant.diagnosis.limits import limits_of
from assistant.messages.prompts import check_prompt
from assistant.procedure.load import load_procedure
from assistant.simulator.circuit import Element, solve
from assistant.simulator.trial import Trial, context_of, run_trial
from assistant.simulator.truck import build as sizes
from assistant.simulator.truck.case import Case
from assistant.simulator.truck.meter import Instrument
from assistant.simulator.truck.train.arrival import TRAIN
from assistant.simulator.truck.train.looks import TRAIN_LOOKS
from assistant.simulator.truck.train.system import LAMPS, Modules, Train, TrainBuild
from assistant.simulator.truck_unit import TruckUnit, case_of, truck_faults
from tests.simulator.test_circuit import agree, ngspice
from tests.simulator.test_truck import limits_within

PROCEDURE = load_procedure("doubles-and-triples").procedure
BUILDS = {
    "doubles": TrainBuild(),
    "triples": TrainBuild(count=3),
    "triples, hot": TrainBuild(count=3, air=40.0),
    "doubles, cold, two headlamps": TrainBuild(air=-20.0, load_ohms=sizes.HEADLAMP / 2),
}


def test_a_sound_train_meets_the_published_ends_under_load() -> None:
    """TMC RP 137 and RP 141 (FHWA-MC-98-008, pages 32 and 41): 12.5 V at the tractor, 9.5 V at the last module."""
    for ends, least in (
        (("tractor pin 7", "tractor pin 1"), 12.5),
        (("third module blue", "third module ground"), 9.5),
    ):
        train = Train(TrainBuild(count=3), key=True, engine=True, load=ends)
        train.unplugged = {"first cord at its front"} if least > 12 else {"third module power plug"}
        assert solve(train.network()).between(*ends) >= least


def test_a_sound_train_puts_no_light_on_even_at_night() -> None:
    mine = Modules(Train(TrainBuild(count=3), key=True, engine=True, switches={LAMPS: "on"}))
    mine.power_up()
    mine.roll(40, rough=True)
    assert mine.lit() == mine.dark() == []


def test_a_joint_starves_what_lies_behind_it_and_nothing_ahead() -> None:
    kind = TRAIN.kind_named("bad cord")
    for seed in range(6):
        build = TrainBuild(count=3)
        mine = Modules(Train(build, [kind.make("second", build, Random(seed))], key=True, engine=True))
        assert "first" not in {*mine.faults(), *mine.dark()}


@pytest.mark.parametrize("kind", TRAIN.kinds, ids=[kind.name for kind in TRAIN.kinds])
def test_every_defect_brings_a_train_in(kind: object) -> None:
    one = next(known for known in TRAIN.kinds if known is kind)
    for place in TRAIN.every_place(one):
        assert TRAIN.draw((one,), (place,), Random(5)).story["lights that are on"] != "none"


def states() -> Iterator[list[Element]]:
    """Every defect by day and night, standing and while every module pulls its solenoids."""
    for number, kind in enumerate(TRAIN.kinds):
        for place in TRAIN.every_place(kind):
            build = TrainBuild(count=3, air=(20.0, -20.0, 40.0)[number % 3])
            train = Train(build, [kind.make(place or "", build, Random(number))], key=True, engine=True, moved=True)
            train.load = ("third tail pin 7", "third tail pin 1")
            yield train.network()
            train.set({LAMPS: "on"})
            yield train.circuit(train.running(), pulling=True)


def test_states_agree_with_ngspice(tmp_path: Path) -> None:
    networks = list(states())[::2]
    for elements, reference in zip(networks, ngspice(networks, tmp_path), strict=True):
        agree(elements, reference, most=1e-5)


@pytest.mark.parametrize("name", BUILDS)
def test_a_sound_train_is_judged_good_at_every_check(name: str) -> None:
    """Forwards and backwards: nothing may depend on what came before."""
    build = BUILDS[name]
    story = {
        "train": {2: "doubles", 3: "triples"}[build.count], "lights that are on": "last only", "pattern": "bumps",
        "tractors that show it": "one tried", "unit number": "6114",
    }  # fmt: skip
    mine = Modules(Train(build), told=(build.trailers[-1],))
    case = Case(mine, (), story, Instrument(lead_ohms=0.1), TRAIN_LOOKS, {"last": build.trailers[-1]})
    unit = TruckUnit(PROCEDURE, case)
    model = fault_model(PROCEDURE, unit.facts)
    differs = []
    for task in (*model.tasks, *reversed(model.tasks)):
        words = unit.check(check_prompt(task.check, task.place))
        check = model.checks[task.check]
        good = "all go out" if task.check == "lights at key on" else None
        if words != good and not limits_within(check, limits_of(check, unit.facts, task.place), words):
            differs.append(f"{task.check}: {words}")
    assert differs == []


def test_every_part_of_the_train_is_renewed_by_some_fix() -> None:
    build = TrainBuild(count=3)
    parts = {
        kind.make(place or "", build, Random(1)).part for kind in TRAIN.kinds for place in TRAIN.every_place(kind)
    }
    assert {part for fix in PROCEDURE.fixes if fix.hands for part in fix.hands.renew} == parts


def led(wrong: tuple[Suspect, ...], seed: int) -> Trial:
    unit = TruckUnit(PROCEDURE, case_of(PROCEDURE, wrong, seed))
    return run_trial(context_of(PROCEDURE, catalog.load_vocabulary()), unit)


@pytest.mark.parametrize("number", range(0, 18, 3))
def test_a_true_cause_is_found_mended_and_recognized(number: int) -> None:
    trial = led((truck_faults(PROCEDURE)[number][0],), number)
    assert trial.found, trial.path
    assert (trial.good_parts, trial.false_causes, trial.unrecognized) == ([], [], False)


def test_a_train_with_nothing_wrong_gets_no_part_and_ends_not_present() -> None:
    trial = led((), 4)
    assert (trial.ending, trial.good_parts, trial.false_causes) == ("not present today", [], [])
