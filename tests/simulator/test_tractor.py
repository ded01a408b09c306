"""A tractor's own ABS against ngspice and the trade; the procedure led on it."""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest

from assistant import catalog
from assistant.diagnosis.fault_model import Suspect, fault_model
from assistant.diagnosis.limits import limits_of
from assistant.messages.prompts import check_prompt
from assistant.procedure.load import load_procedure
from assistant.simulator.circuit import solve
from assistant.simulator.trial import context_of, run_trial
from assistant.simulator.truck import build as sizes
from assistant.simulator.truck.case import Case
from assistant.simulator.truck.meter import Instrument
from assistant.simulator.truck.tractor.arrival import TRACTOR
from assistant.simulator.truck.tractor.looks import TRACTOR_LOOKS
from assistant.simulator.truck.tractor.system import FRAME_PLUG, Tractor, TractorBuild, TractorModule
from assistant.simulator.truck_unit import TruckUnit, case_of
from tests.simulator.test_circuit import agree, ngspice
from tests.simulator.test_truck import limits_within

PROCEDURE = load_procedure("tractor-abs-light-on").procedure
BUILDS = {
    "four sensors, three valves": TractorBuild(valve_count=3),
    "six sensors, six valves, disc": TractorBuild(six_sensors=True, valve_count=6, brakes="disc"),
    "half the port's volts, headlamp": TractorBuild(rail=sizes.LOW_RAIL, load_ohms=sizes.HEADLAMP),
    "cold": TractorBuild(drive_axle="forward", air=-20.0, hubs=-20.0),
}


@pytest.mark.parametrize("name", BUILDS)
def test_a_sound_tractor_is_judged_good_at_every_check(name: str) -> None:
    """Forwards and backwards, each check in the state that the one before it left."""
    build = BUILDS[name]
    story = {
        "light that is on": "tractor light", "comes on": "comes and goes", "pattern": "no pattern",
        "worked on": "nothing", "sensors": "six" if build.six_sensors else "four",
        "drive axle": "both axles" if build.six_sensors else f"{build.drive_axle} axle", "brakes": build.brakes,
        "modulators": {3: "three valves", 4: "four valves", 6: "six valves"}[build.valve_count],
        "unit number": "7120",
        "dust shields": "come off", "meter's lowest AC range": "automatic", "ohms of the leads": "0.2",
        "hub temperature": "68", "codes": "no codes", "active codes": "zero", "stored codes": "zero",
    }  # fmt: skip
    mine = TractorModule(Tractor(build))
    unit = TruckUnit(PROCEDURE, Case(mine, (), story, Instrument(lead_ohms=0.1), TRACTOR_LOOKS))
    model = fault_model(PROCEDURE, unit.facts)
    differs = []
    for task in (*model.tasks, *reversed(model.tasks)):
        mine.trailer.lifted = set(build.wheels)
        # codes that the checks before it made themselves, with plugs out and the key on, are another matter
        mine.stored, mine.held = {}, {}
        words = unit.check(check_prompt(task.check, task.place))
        check = model.checks[task.check]
        if not limits_within(check, limits_of(check, unit.facts, task.place), words):
            differs.append(f"{task.check} at {task.place}: {words}")
    assert differs == []


def test_a_dead_module_lights_its_own_light() -> None:
    kind = TRACTOR.kind_named("power wire or fuse open")
    mine = TractorModule(Tractor(TractorBuild(), [kind.make("", TractorBuild(), Random(1))], key=True))
    assert not mine.connected()
    assert mine.dash() == "stays on"


def test_one_large_plug_takes_every_sensor_off() -> None:
    tractor = Tractor(TractorBuild(six_sensors=True), key=True)
    tractor.plug([FRAME_PLUG], in_=False)
    assert len(tractor.unplugged) == 6


def test_some_states_agree_with_ngspice(tmp_path: Path) -> None:
    build = TractorBuild(six_sensors=True, valve_count=6)
    networks = []
    for number, kind in enumerate(TRACTOR.kinds):
        place = TRACTOR.every_place(kind)[-1]
        tractor = Tractor(build, [kind.make(place or "", build, Random(number))], key=True, moved=True)
        tractor.load = ("module blue", "module ground") if number % 2 else None
        networks.append(tractor.network())
    for elements, reference in zip(networks, ngspice(networks, tmp_path), strict=True):
        agree(elements, reference)


def test_a_good_battery_stands_above_its_limit_with_the_lamps_on_and_an_empty_one_does_not() -> None:
    check = next(one for one in PROCEDURE.checks if one.name == "battery loaded")
    assert check.limits is not None
    assert check.limits.low is not None
    tractor = Tractor(TractorBuild(), key=True)
    tractor.set({"headlamps": "on"})
    assert solve(tractor.network()).between("battery positive", "battery negative") > float(check.limits.low) > 11.89


@pytest.mark.parametrize(
    ("fault", "place"), [("trailer's fault", None), ("bad ground", None), ("open sensor", "left steer")]
)
def test_a_true_cause_is_found_mended_and_recognized(fault: str, place: str | None) -> None:
    unit = TruckUnit(PROCEDURE, case_of(PROCEDURE, (Suspect(fault, place),), 3))
    trial = run_trial(context_of(PROCEDURE, catalog.load_vocabulary()), unit)
    assert trial.found, trial.path
    assert (trial.good_parts, trial.false_causes, trial.unrecognized) == ([], [], False)
