"""The procedures that look for a fault: each one led to its cure, sensibly, with nothing condemned wrongly."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from assistant.diagnosis.fault_model import Suspect, fault_model
from assistant.procedure.load import load_procedure
from assistant.procedure.model import Fault, Procedure
from assistant.session.context import Context
from assistant.simulator.prove import prove
from assistant.simulator.testability import alike
from assistant.simulator.unit import SimulatedUnit
from tests.dialogs.simulated import Run, run
from tests.session.conversation import Conversation, vocabulary

TRACTOR, DOUBLES, SEVEN = "tractor-abs-light-on", "doubles-and-triples", "seven-way-power-and-grounds"
LIGHTS, BATTERY = "trailer-light-dead-or-faint", "battery-and-charging"
NAMES = (TRACTOR, DOUBLES, SEVEN, LIGHTS, BATTERY)
PROCEDURES: dict[str, Procedure] = {name: load_procedure(name).procedure for name in NAMES}

ROLLING = {
    "sensor backed off", "worn sensor clip", "tone ring damaged", "loose wheel bearing", "dragging brake",
    "mixed tire sizes", "wires crossed",
}  # fmt: skip
BASE: dict[str, dict[str, str]] = {
    TRACTOR: {
        "light": "tractor light", "lately": "nothing", "sensors wired": "four", "drive axle": "rear axle",
        "modulators": "four valves", "brakes": "drum", "shields": "come off", "lowest AC range": "automatic",
    },
    DOUBLES: {"train": "triples", "light on": "last only", "tractors": "one tried", "pattern": "all the time"},
    SEVEN: {"circuit": "center pin", "how many": "only this one", "pattern": "always", "tractors": "one tried",
            "repaired before": "not repaired"},
    LIGHTS: {"how many": "one light", "what it does": "dead", "when braking": "stay the same",
             "tractors": "one tried", "lamp": "bulb", "repaired before": "not repaired"},
    BATTERY: {"complaint": "slow cranking", "batteries": "four batteries", "air": "warm", "rested": "overnight",
              "lately": "nothing"},
}  # fmt: skip
CHANGED: dict[tuple[str, str], dict[str, str]] = {
    (TRACTOR, "light circuit"): {"codes": "no codes"},
    (TRACTOR, "trailer's light"): {"light": "trailer light", "codes": "no codes"},
    (TRACTOR, "weak battery"): {"comes on": "comes and goes", "pattern": "no pattern"},
    (TRACTOR, "intermittent"): {"comes on": "comes and goes", "pattern": "warm", "codes": "stored only"},
    (LIGHTS, "wrong bulb"): {"what it does": "wrong one lights"},
    (LIGHTS, "lamp ground"): {"what it does": "faint"},
    (LIGHTS, "side wire"): {"how many": "one side"},
    (LIGHTS, "shorted circuits"): {"how many": "one side", "what it does": "wrong one lights"},
    (LIGHTS, "main ground"): {"how many": "all of them", "what it does": "faint", "when braking": "dim or out"},
    (LIGHTS, "hitch ground"): {"how many": "all of them", "what it does": "flicker"},
    (LIGHTS, "bad socket"): {"how many": "all of them"},
    (LIGHTS, "bad cord"): {"how many": "all of them", "what it does": "flicker"},
    (LIGHTS, "tractor side"): {"how many": "all of them"},
    (BATTERY, "drain"): {"complaint": "goes flat"},
    (BATTERY, "alternator"): {"complaint": "low volts"},
    (BATTERY, "slipping belt"): {"complaint": "low volts"},
    (BATTERY, "charging cable"): {"complaint": "low volts"},
    (BATTERY, "regulator"): {"complaint": "too high"},
}
FAULTS = [(name, fault.name) for name in NAMES for fault in PROCEDURES[name].faults]


def facts_of(name: str, fault: str, **changed: str) -> dict[str, str]:
    """Facts as a unit with this fault would have them."""
    facts = dict(BASE[name])
    if name == TRACTOR:
        facts["comes on"] = "after rolling" if fault in ROLLING else "at once"
        facts["codes"] = "stored only" if fault in ROLLING else "active"
    if name == SEVEN and fault.startswith("ground"):
        facts["how many"] = "several"
    return facts | CHANGED.get((name, fault), {}) | changed


def place_of(procedure: Procedure, fault: Fault, facts: Mapping[str, str]) -> str | None:
    """The last place that this fault can have on the unit."""
    places = [
        suspect.place for suspect in fault_model(procedure, dict(facts)).suspects if suspect.fault == fault.name
    ]
    return places[-1]


def follow(name: str, fault: str, **changed: str) -> Run:
    procedure = PROCEDURES[name]
    facts = facts_of(name, fault, **changed)
    row = next(row for row in procedure.faults if row.name == fault)
    return run(procedure, facts, Suspect(fault, place_of(procedure, row, facts)))


@pytest.mark.parametrize(("name", "fault"), FAULTS)
def test_each_fault_is_found_and_nothing_else_is_replaced(name: str, fault: str) -> None:
    done = follow(name, fault)
    assert done.found, done
    assert done.wrong_parts == []


@pytest.mark.parametrize("name", NAMES)
def test_what_no_check_tells_apart_is_declared(name: str) -> None:
    procedure = PROCEDURES[name]
    undeclared = [group for group in alike(fault_model(procedure, BASE[name])) if not group.declared]
    assert undeclared == []


def asked(done: Run) -> list[str]:
    return [name for name, _ in done.checks]


def opened(done: Run) -> set[str]:
    return {name for name, _ in done.openings}


def test_the_train_is_halved() -> None:
    """Seven stops in a chain need three or four readings, not seven (half-split of a serial chain); what is next
    to the fault is read twice before anything is mended."""
    for fault in ("weak supply", "first cord", "first dolly", "second dolly", "third trailer ground"):
        volts = [name for name in asked(follow(DOUBLES, fault)) if name.endswith(" loaded")]
        assert len({*volts}) <= 4, (fault, volts)
        assert all(volts.count(one) <= 2 for one in volts), (fault, volts)


def test_doubles_have_no_third_trailer() -> None:
    faults = {suspect.fault for suspect in fault_model(PROCEDURES[DOUBLES], {"train": "doubles"}).suspects}
    assert not {"third trailer power", "third trailer ground", "second dolly"} & faults
    assert follow(DOUBLES, "second trailer ground", train="doubles").found


def test_the_lamp_is_judged_connected_and_lit() -> None:
    check = next(check for check in PROCEDURES[LIGHTS].checks if check.name == "lamp's volts")
    assert check.conditions["plugged"] == "yes"
    assert check.conditions["load"] == "the lamp itself"


def test_nothing_is_opened_at_the_lamp_when_all_of_them_are_out() -> None:
    for fault in ("main ground", "bad cord", "tractor side"):
        assert "at the lamp" not in opened(follow(LIGHTS, fault)), fault


def test_one_lamp_out_starts_at_that_lamp() -> None:
    for fault in ("dead lamp", "corroded lamp plug", "wrong bulb"):
        done = follow(LIGHTS, fault)
        assert opened(done) == {"at the lamp"}, fault
        assert done.minutes < 25


def test_a_ground_through_the_coupling_is_asked_for_with_the_coupling_moved() -> None:
    check = next(check for check in PROCEDURES[LIGHTS].checks if check.name == "hitch moved")
    assert check.finds["hitch ground"] == {"change": 0.85, "steady": 0.15}


def test_rest_voltage_comes_before_anything_cranks_charges_or_loads() -> None:
    for check in PROCEDURES[BATTERY].checks:
        if {"key", "engine", "load"} & set(check.conditions) and check.unit == "V" and "rest" not in check.name:
            loaded_after = {"rest volts", "charging volts"} & set(check.after)
            assert loaded_after, check.name


def test_no_alternator_before_its_belt_and_its_own_volts_and_no_starter_before_its_cables() -> None:
    """Volts on the alternator's own post and case owe nothing to a cable; common practice, no source."""
    own = next(check for check in PROCEDURES[BATTERY].checks if check.name == "alternator volts")
    assert own.leads is not None
    assert (own.leads.red, own.leads.black) == ("alternator's output post", "alternator's case")
    assert {"belt", "alternator volts"} <= set(asked(follow(BATTERY, "alternator")))
    assert {"power drop cranking", "ground drop cranking"} <= set(asked(follow(BATTERY, "starter")))


@pytest.mark.parametrize("side", ["power", "ground"])
def test_the_hand_on_a_bad_cable_end_tells_its_side(side: str) -> None:
    """Who sees or moves the bad end knows which cable it is on: the other one is not mended first."""
    loose, bad = f"loose {side} end", f"bad {side} cable"
    # lamps draw too little to show a cable that is poor all the time
    for name, outcome, faults in (
        ("posts and cables", f"{side} side", {loose, bad}), ("cables moved", f"{side} end", {loose}),
    ):  # fmt: skip
        check = next(check for check in PROCEDURES[BATTERY].checks if check.name == name)
        assert {fault for fault, entry in check.finds.items() if outcome in entry} == faults


def test_no_battery_is_condemned_under_load_before_it_was_charged_and_loaded_twice() -> None:
    """A good battery that is flat fails the load test as a bad one does; a dead cell shows without a load."""
    checks = {check.name: check for check in PROCEDURES[BATTERY].checks}
    by = {name for name, check in checks.items() if check.each and check.condemns}
    assert by == {"battery alone", "battery under load"}
    assert checks["battery under load"].needs == ("charged overnight",)
    worn, dead = asked(follow(BATTERY, "worn out battery")), asked(follow(BATTERY, "shorted cell"))
    assert worn.count("battery under load") >= 2
    # no charge helps a dead cell, and no load has to show it
    assert dead.count("battery alone") >= 2
    assert "charged overnight" not in opened(follow(BATTERY, "shorted cell"))


def test_the_batteries_stay_together_for_a_cable_or_a_belt() -> None:
    for fault in ("bad power cable", "bad ground cable", "slipping belt"):
        assert "batteries apart" not in opened(follow(BATTERY, fault)), fault


def test_no_tractor_module_before_battery_power_ground_ports_and_its_wires() -> None:
    for fault in ("module", "module port"):
        names = set(asked(follow(TRACTOR, fault)))
        assert {"battery loaded", "module power loaded", "ground drop", "port volts", "module end ohms"} <= names


def test_a_tractors_sensor_is_reached_after_the_electrical_checks() -> None:
    done = follow(TRACTOR, "sensor open")
    reached = dict(done.openings)["sensor reach"]
    before = [name for name, _ in done.checks[:reached]]
    assert {"code names a wheel", "look at the plug", "port volts", "wheel end volts"} <= {*before}
    assert before.count("sensor ohms") == 2, "read twice at its own plug, which needs no wheel off"
    assert "wheel up" not in opened(done)


def test_no_engine_runs_for_the_tractors_light() -> None:
    running = [check.name for check in PROCEDURES[TRACTOR].checks if check.conditions.get("engine", "off") != "off"]
    assert running == []


SESSIONS = [
    (TRACTOR, "sensor shorted"), (DOUBLES, "second trailer ground"), (SEVEN, "ground joint behind"),
    (LIGHTS, "lamp ground"), (BATTERY, "worn out battery"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "fault"), SESSIONS)
def test_a_whole_session_ends_cured_and_proven(name: str, fault: str) -> None:
    """Typed from greeting to report on a simulated unit, as a technician would."""
    procedure = PROCEDURES[name]
    facts = facts_of(name, fault)
    row = next(row for row in procedure.faults if row.name == fault)
    unit = SimulatedUnit(procedure, facts, [Suspect(fault, place_of(procedure, row, facts))], seed=4)
    talk = Conversation(Context(procedure, vocabulary())).begin()
    for _ in range(250):
        if talk.finished:
            break
        assert talk.expectation is not None
        talk.hear(unit.answer(talk.expectation))
    assert talk.finished == "cured and proven"


def test_nothing_cranks_or_charges_with_the_batteries_apart() -> None:
    """An engine that runs with its batteries apart kills its alternator: the prompt says which it is."""
    for check in PROCEDURES[BATTERY].checks:
        if "batteries apart" in check.needs:
            assert check.conditions["batteries"] == "apart"
            assert check.conditions["engine"] == "off"
            assert "cranking volts" in check.after
        elif "engine running" in check.needs or "cranking" in check.cautions:
            assert check.conditions["batteries"] == "connected", check.name
            assert "batteries apart" in check.spoiled_by, check.name


@pytest.mark.sweep
@pytest.mark.parametrize("name", NAMES)
def test_every_fault_at_every_place_on_units_drawn_at_random(name: str) -> None:
    report = prove(PROCEDURES[name], runs=1 if name == TRACTOR else 4, unsure=0.0, seed=11)
    assert report.found >= 0.95, report.faults
    assert report.condemned_wrongly == 0
    assert report.detected == 1.0
    assert report.undeclared == ()
