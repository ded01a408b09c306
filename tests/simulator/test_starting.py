"""A truck's starting and charging against tables, ngspice and the trade; the procedure led on it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from random import Random

import pytest

from assistant import catalog
from assistant.diagnosis.fault_model import Suspect, fault_model
from assistant.diagnosis.limits import limits_of
from assistant.messages.prompts import check_prompt
from assistant.procedure.load import load_procedure
from assistant.simulator.circuit import Element
from assistant.simulator.trial import Trial, context_of, run_trial
from assistant.simulator.truck.case import Case
from assistant.simulator.truck.machine import Plain
from assistant.simulator.truck.meter import Dial, Instrument
from assistant.simulator.truck.starting.arrival import STARTING
from assistant.simulator.truck.starting.battery import AGM, inner_ohms, rest_volts
from assistant.simulator.truck.starting.build import StartingBuild
from assistant.simulator.truck.starting.looks import STARTING_LOOKS
from assistant.simulator.truck.starting.system import GROUND_CABLE, LAMPS, STARTER, StartingSystem
from assistant.simulator.truck_unit import TruckUnit, case_of, truck_faults
from tests.simulator.test_circuit import agree, ngspice
from tests.simulator.test_truck import limits_within

PROCEDURE = load_procedure("battery-and-charging").procedure
CRANKING = {STARTER: "held at start"}
BUILDS = {
    "four": StartingBuild(),
    "two": StartingBuild(count=2, cranking_amps=1000, engine_amps=550),
    "glass mat, freezing": StartingBuild(kind=AGM, celsius=0.0),
    "zero": StartingBuild(celsius=-17.8, cranking_amps=700),
    "glass mat, below zero": StartingBuild(kind=AGM, celsius=-20.0, cranking_amps=700),
    "hot, with a tracker": StartingBuild(celsius=24.0, sleeping_amps=0.06),
}
TEMPERATURES = {"four": "warm", "two": "warm", "hot, with a tracker": "warm", "glass mat, freezing": "freezing"}


# General industry table, flooded lead-acid: 12.65 to 11.89 at 80 F; 0.024 volt less for every 10 F below.
@pytest.mark.parametrize(
    ("charge", "fahrenheit", "volts"),
    [(1, 80, 12.65), (0.75, 80, 12.45), (0.5, 80, 12.24), (0.25, 80, 12.06), (0, 80, 11.89), (0.75, 0, 12.258)],
)
def test_a_battery_rests_as_the_table_says(charge: float, fahrenheit: float, volts: float) -> None:
    assert rest_volts(charge, (fahrenheit - 32) / 1.8) == pytest.approx(volts, abs=0.001)


def test_a_battery_holds_its_cold_cranking_volts() -> None:
    """SAE J537, from memory: 7.2 volts at 0 F with its cold cranking amps."""
    assert rest_volts(1, -17.8) - 800 * inner_ohms(800, 1, -17.8) == pytest.approx(7.2, abs=0.01)


def test_a_flat_battery_fails_the_load_test_as_a_bad_one_does() -> None:
    volts = [rest_volts(charge, 21) - 400 * inner_ohms(800, charge, 21) for charge in (0.95, 0.2)]
    assert volts[0] > 9.6 > volts[1]


@pytest.mark.parametrize("celsius", [21.0, 0.0, -17.8])
def test_starter_cables_lose_no_more_than_half_a_volt(celsius: float) -> None:
    """Trade training, no standard: starter cables 0.5 volt in all."""
    volts = StartingSystem(StartingBuild(celsius=celsius), held=CRANKING).solved()
    lost = volts.between("positive post", "starter stud") + volts.between("starter case", "negative post")
    assert 0.1 < lost < 0.5


def test_an_alternator_that_slips_or_is_weak_charges_nothing() -> None:
    for kind in ("weak alternator", "slipping belt", "charging cable"):
        found = STARTING.draw((STARTING.kind_named(kind),), (None,), Random(3))
        unit = found.machine
        assert isinstance(unit, StartingSystem)
        running = replace(unit, engine=True, switches={LAMPS: "headlamps and blower"}).solved()
        assert running.between("positive post", "negative post") < 13.0


def test_a_sleeping_truck_draws_milliamps_and_an_awake_one_amps() -> None:
    unit = StartingSystem(StartingBuild(), unplugged={GROUND_CABLE})
    meter = Instrument(in_amps_jack=True)
    awake = meter.read(unit, Dial.AMPS, "negative clamp", "negative post").value
    unit.set({"modules": "asleep"})
    asleep = meter.read(unit, Dial.AMPS, "negative clamp", "negative post").value
    assert asleep == pytest.approx(0.04, abs=0.005)
    assert awake > 1
    unit.set({STARTER: "held at start"}, hold=True)
    assert meter.read(unit, Dial.AMPS, "negative clamp", "negative post").value == 0
    assert meter.fuse_blown


@pytest.mark.parametrize("kind", STARTING.kinds, ids=[kind.name for kind in STARTING.kinds])
def test_every_defect_brings_a_truck_in(kind: object) -> None:
    one = next(known for known in STARTING.kinds if known is kind)
    for place in STARTING.every_place(one):
        assert STARTING.draw((one,), (place,), Random(5)).story["complaint"]


def states() -> Iterator[list[Element]]:
    """Every defect, standing, cranking, charging with the lamps on, and with the ground cable off."""
    for number, kind in enumerate(STARTING.kinds):
        for place in STARTING.every_place(kind):
            made = StartingBuild(celsius=(21.0, 0.0, -17.8)[number % 3])
            unit = StartingSystem(made, [kind.make(place or "", made, Random(number))], moved=True)
            yield unit.circuit()
            yield replace(unit, held=CRANKING).circuit()
            yield replace(unit, engine=True, switches={LAMPS: "headlamps and blower"}).circuit()
            yield replace(unit, unplugged={GROUND_CABLE}).circuit()


def test_states_agree_with_ngspice(tmp_path: Path) -> None:
    networks = list(states())[::3]
    for elements, reference in zip(networks, ngspice(networks, tmp_path), strict=True):
        agree(elements, reference, most=1e-5)


def sound(name: str) -> TruckUnit:
    made = BUILDS[name]
    story = {
        "complaint": "slow cranking", "how often": "comes and goes", "batteries": {2: "two", 4: "four"}[made.count],
        "kind of batteries": made.kind, "batteries' temperature": TEMPERATURES.get(name, "zero"),
        "stood": "overnight", "worked on": "nothing", "unit number": "5207",
    }  # fmt: skip
    case = Case(Plain(StartingSystem(made)), (), story, Instrument(lead_ohms=0.1), STARTING_LOOKS)
    return TruckUnit(PROCEDURE, case)


@pytest.mark.parametrize("name", BUILDS)
def test_a_sound_truck_is_judged_good_at_every_check(name: str) -> None:
    """Forwards and backwards: nothing may depend on what came before."""
    unit = sound(name)
    model = fault_model(PROCEDURE, unit.facts)
    differs = []
    for task in (*model.tasks, *reversed(model.tasks)):
        words = unit.check(check_prompt(task.check, task.place))
        check = model.checks[task.check]
        if not limits_within(check, limits_of(check, unit.facts, task.place), words):
            differs.append(f"{task.check} at {task.place}: {words}")
    assert differs == []


def test_every_part_that_a_fix_renews_is_one_of_the_truck() -> None:
    made = StartingBuild()
    parts = {
        kind.make(place or "", made, Random(seed)).part
        for kind in STARTING.kinds
        for place in STARTING.every_place(kind)
        for seed in range(3)
    }
    renewed = {
        part.replace("{place}", place) for fix in PROCEDURE.fixes if fix.hands for part in fix.hands.renew
        for place in made.batteries
    }  # fmt: skip
    assert renewed == parts


def led(wrong: tuple[Suspect, ...], seed: int) -> Trial:
    unit = TruckUnit(PROCEDURE, case_of(PROCEDURE, wrong, seed))
    return run_trial(context_of(PROCEDURE, catalog.load_vocabulary()), unit)


@pytest.mark.parametrize("number", range(0, 24, 4))
def test_a_true_cause_is_found_mended_and_recognized(number: int) -> None:
    trial = led((truck_faults(PROCEDURE)[number][0],), number)
    assert trial.found, trial.path
    assert (trial.good_parts, trial.false_causes, trial.unrecognized) == ([], [], False)


def test_a_truck_with_nothing_wrong_gets_no_part_and_ends_not_present() -> None:
    trial = led((), 4)
    assert (trial.ending, trial.good_parts, trial.false_causes) == ("not present today", [], [])
