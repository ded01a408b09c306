"""A procedure led on a truck that knows nothing of it: what a sound unit shows, slips, and whole sessions."""

from __future__ import annotations

from random import Random

import pytest

from assistant import catalog
from assistant.diagnosis.fault_model import Suspect, fault_model
from assistant.errors import DefectError
from assistant.messages import Expectation, Expects
from assistant.messages.prompts import Prompt, PromptKind, check_prompt
from assistant.procedure.load import list_procedures, load_procedure
from assistant.simulator.prove import prove
from assistant.simulator.slips import counted
from assistant.simulator.trial import Trial, context_of, run_trial
from assistant.simulator.truck.build import Build
from assistant.simulator.truck.case import Case, draw_case
from assistant.simulator.truck.controller import Controller
from assistant.simulator.truck.defects import KINDS, Defect
from assistant.simulator.truck.light_on import LIGHT_ON
from assistant.simulator.truck.looks import LOOKS
from assistant.simulator.truck.meter import Dial, Instrument, Shown
from assistant.simulator.truck.trailer import Trailer
from assistant.simulator.truck_unit import TruckUnit, case_of, led_on_truck, truck_faults
from tests.simulator.test_truck import PROCEDURE, limits_hold

SURVEYS = {path.stem for path in list_procedures() if not load_procedure(path).procedure.faults}
PLACES = {"left rear", "right rear", "left front", "right front", "first modulator", "second modulator"}
BUILDS = {
    "two sensors, one valve": Build(),
    "four sensors, two valves, disc": Build(axles=2, sensor_axles=("front", "rear"), valves=2, brakes="disc"),
    "cold": Build(air=-20.0, hubs=-20.0),
    "hot hubs": Build(air=35.0, hubs=80.0),
    "read with a headlamp": Build(load_ohms=2.78),
}
STORY = {
    "light that is on": "both", "comes on": "at once", "pattern": "no pattern", "worked on": "nothing",
    "powered by": "tractor", "tractors that show it": "one tried", "trailers behind the tractor": "single",
    "sensors": "two", "sensor axle": "rear", "modulators": "one", "brakes": "drum", "dust shields": "come off",
    "meter's lowest AC range": "automatic",
    "load at hand": "ten amp tester", "ohms of the leads": "0.2", "hub temperature": "68",
    "unit number": "4019", "codes": "active", "active codes": "one", "stored codes": "zero",
}  # fmt: skip


def sound(build: Build) -> TruckUnit:
    """A trailer with nothing wrong and no code."""
    story = {**STORY, "brakes": build.brakes, "sensors": {2: "two", 4: "four"}[len(build.wheels)],
             "modulators": {1: "one", 2: "two"}[build.valves]}  # fmt: skip
    return TruckUnit(PROCEDURE, Case(Controller(Trailer(build)), (), story, Instrument(lead_ohms=0.1), LOOKS))


@pytest.mark.parametrize("name", BUILDS)
def test_a_sound_truck_is_judged_good_at_every_check(name: str) -> None:
    """In file order, each check in the state that the one before it left: nothing may depend on what came before."""
    unit = sound(BUILDS[name])
    differs = []
    model = fault_model(PROCEDURE, unit.facts)
    for task in (*model.tasks, *reversed(model.tasks)):
        unit.case.machine.lifted = set(unit.case.machine.build.wheels)
        # codes that the checks before it made themselves, with plugs out and the key on, are another matter
        brain = unit.case.brain
        assert isinstance(brain, Controller)
        brain.stored, brain.held = {}, {}
        words = unit.check(check_prompt(task.check, task.place))
        # coils are judged at 20 C: what the session corrects, this does not
        good = limits_hold(model.checks[task.check], words)
        if not good:
            differs.append(f"{task.check} at {task.place}: {words}")
    assert differs == []


def test_every_name_of_the_procedure_is_one_of_the_trailer() -> None:
    """Nodes and plugs by doing every check; parts, openings, proof and findings by their names."""
    unit = sound(BUILDS["four sensors, two valves, disc"])
    parts = {defect.part for seed in range(40) for defect in _every_defect(seed)}
    for fix in PROCEDURE.fixes:
        assert fix.hands is not None, fix.name
        for part in fix.hands.renew:
            assert any(part.replace("{place}", place) in parts for place in PLACES), (fix.name, part)
    for access in PROCEDURE.access:
        unit.answer(_asked(PromptKind.ACCESS, access.name, _place(access.each)))
    for step in PROCEDURE.proof.steps:
        answer = unit.answer(_asked(PromptKind.PROOF, step.name))
        assert not step.choices or answer in {option.name for option in step.choices}
    for question in PROCEDURE.facts:
        assert question.sees is not None, question.name
        assert unit.case.tells(question.sees.what), question.name
    for check in PROCEDURE.checks:
        assert check.sees is None or unit.case.tells(check.sees.what, _place(check.each)), check.name


def _every_defect(seed: int) -> list[Defect]:
    build = Build(axles=2, sensor_axles=("front", "rear"), valves=2)
    return [kind.make(place or "", build, Random(seed)) for kind in KINDS for place in LIGHT_ON.every_place(kind)]


def _place(each: str | None) -> str | None:
    return {"modulator": "first modulator", "wheel": "left rear"}.get(each or "")


def _asked(kind: PromptKind, name: str, place: str | None = None) -> Expectation:
    return Expectation(Expects.COMMAND, Prompt(kind, name, place))


def test_only_procedures_with_all_their_data_are_led_on_a_truck() -> None:
    led = {path.stem for path in list_procedures() if led_on_truck(load_procedure(path).procedure)}
    assert led >= {"trailer-abs-light-on", "trailer-light-dead-or-faint", "seven-way-power-and-grounds"}
    assert led >= {"battery-and-charging", "doubles-and-triples", "tractor-abs-light-on"}


def led(fault: str, place: str | None, seed: int) -> Trial:
    case = draw_case(LIGHT_ON, ((fault, place),), seed)
    return run_trial(context_of(PROCEDURE, catalog.load_vocabulary()), TruckUnit(PROCEDURE, case))


@pytest.mark.parametrize(
    ("fault", "place"),
    [("bad ground", None), ("open sensor", "left rear"), ("sensor backed off", "right rear"), ("dead module", None)],
)
def test_a_true_cause_is_found_mended_and_recognized(fault: str, place: str | None) -> None:
    trial = led(fault, place, 3)
    assert trial.found, trial.path
    assert trial.good_parts == []
    assert trial.false_causes == []
    assert not trial.unrecognized


def test_slips_spoil_what_is_read() -> None:
    case = draw_case(LIGHT_ON, (("open sensor", "left rear"),), 5)
    unit = TruckUnit(PROCEDURE, case, slip=1.0, seed=2)
    for _ in range(40):
        unit.check(check_prompt("sensor ohms", "left rear"))
    told = {slip.kind for slip in unit.slips}
    assert told == {"amps jack", "wrong dial", "lead off", "wrong pin", "other place", "forgets to prepare"}


def test_a_slip_is_held_against_what_the_right_hand_reads() -> None:
    """An open sensor reads over range: with a lead off so does a sound one, which is no harm here and harm there."""
    harm = {}
    for name, wrong in (("open", (("open sensor", "left rear"),)), ("sound", ())):
        unit = TruckUnit(PROCEDURE, draw_case(LIGHT_ON, wrong, 5), slip=1.0, seed=2)
        for _ in range(40):
            unit.check(check_prompt("sensor ohms", "left rear"))
        harm[name] = {slip.harmless for slip in unit.slips if slip.kind == "lead off"}
    assert harm == {"open": {True}, "sound": {False}}


def test_how_a_slip_comes_out() -> None:
    unit = TruckUnit(PROCEDURE, draw_case(LIGHT_ON, (), 5), slip=1.0, seed=2)
    ohms, other = check_prompt("sensor ohms", "left rear"), check_prompt("sensor ohms", "right rear")
    while not any(not slip.harmless for slip in unit.slips):
        unit.check(ohms)
    unit.slip = 0.0
    unit.check(other)
    assert counted(unit.slips).again == 0, "another place is another thing"
    unit.check(ohms)
    counts = counted(unit.slips)
    assert counts.again == counts.made - counts.harmless > 0
    assert counts.unnoticed == 0


def test_a_plug_left_open_is_measured_as_it_was_left() -> None:
    unit = sound(BUILDS["two sensors, one valve"])
    unit.case.machine.plug(["left rear wheel plug"], in_=False)
    unit.case.machine.plug(["sensor plugs at the module"], in_=False)
    shown = unit.case.meter.read(unit.case.machine, Dial.OHMS, "left rear lead 1", "left rear lead 2")
    assert shown.shown is Shown.OVER_RANGE
    assert unit.check(check_prompt("module end ohms", "left rear")) == "1200"


def test_the_hidden_truth_is_named_in_the_procedure_s_own_words() -> None:
    unit = TruckUnit(PROCEDURE, draw_case(LIGHT_ON, (("corroded wheel-end plug", "left rear"),), 2))
    assert unit.suspects == (Suspect("corroded wheel-end plug", "left rear"),)
    assert unit.faults_named() == (Suspect("corroded plug", "left rear"),)


def test_a_prompt_that_no_session_asks_is_refused() -> None:
    with pytest.raises(DefectError):
        sound(Build()).answer(_asked(PromptKind.NOTE, ""))


def test_a_report_tells_the_truth_of_the_truck() -> None:
    report = prove(load_procedure("trailer-abs-light-never-lights").procedure, units=6, pairs=1, sound=2, seed=1)
    assert report.on_truck
    assert report.runs == 7
    assert report.sound_runs == 2
    assert len(report.trials) == 9


@pytest.mark.parametrize("name", [path.stem for path in list_procedures() if path.stem not in SURVEYS])
def test_a_dead_meter_is_noticed_before_it_passes_or_condemns_anything(name: str) -> None:
    """A lead that is off reads nothing on every good battery: no bad wire passes, and no good part goes for it."""
    procedure = load_procedure(name).procedure
    for number, (wrong, _) in enumerate(truck_faults(procedure)[:: max(1, len(truck_faults(procedure)) // 3)]):
        case = case_of(procedure, (wrong,), number + 5, 0.005)
        case.meter.lead_off = True
        unit = TruckUnit(procedure, case, seed=number)
        trial = run_trial(context_of(procedure, catalog.load_vocabulary(), 0.005), unit, seed=number)
        assert "read" not in unit.used or unit.noticed, (wrong, trial.path)
        assert not trial.good_parts, (wrong, trial.path)
