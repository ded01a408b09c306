"""The procedure for a trailer's ABS light that stays on: sound, complete, and led as a good technician would lead."""

from __future__ import annotations

import tomllib
from itertools import product

import pytest

from assistant import library
from assistant.diagnosis.fault_model import Suspect, fault_model
from assistant.inspection import find_faults
from assistant.procedure.load import load_procedure
from tests.dialogs.simulated import Run, run

LOADED = load_procedure("trailer-abs-light-on")
PROCEDURE = LOADED.procedure
CHECKS = {check.name: check for check in PROCEDURE.checks}
FAULTS = {fault.name: fault for fault in PROCEDURE.faults}

# What can be wrong with a wheel-speed sensor circuit (common practice, no source), and the fault that stands for it.
ROWS = {
    "no power": ["no power"],
    "high-resistance power": ["high-resistance power"],
    "bad ground": ["bad ground"],
    "module": ["module", "module port"],
    "modulator valve or its wiring": ["modulator valve", "modulator wire"],
    "sensor wire open": ["sensor wire open"],
    "sensor wire pair shorted": ["sensor wire shorted", "wires touching"],
    "sensor wire chafed to ground": ["wire chafed to ground", "sensor grounded"],
    "sensor wire chafed to 12 V": ["wire chafed to power"],
    "corroded plug": ["corroded plug"],
    "sensor open": ["sensor open"],
    "sensor shorted or out of spec": ["sensor shorted"],
    "sensor backed off": ["sensor backed off"],
    "worn sensor clip or bushing": ["worn sensor clip"],
    "tone ring damaged": ["tone ring damaged"],
    "loose wheel bearing": ["loose wheel bearing"],
    "light or its circuit": ["light circuit"],
    "wires crossed between wheels": ["wires crossed"],
    "tractor side": ["tractor side", "warm breaker", "cord"],
    "dragging brake, mixed tire sizes": ["dragging brake", "mixed tire sizes"],
    "intermittent": ["intermittent"],
}
ROLLING = {
    "sensor backed off", "worn sensor clip", "tone ring damaged", "loose wheel bearing", "dragging brake",
    "mixed tire sizes", "wires crossed",
}  # fmt: skip
BASE = {
    "light": "trailer light", "lately": "nothing", "powered by": "tractor", "tractors": "one tried",
    "trailers": "single", "sensors wired": "two", "sensor axle": "rear axle", "modulators": "one valve",
    "brakes": "drum", "shields": "fixed", "lowest AC range": "automatic",
}  # fmt: skip


def facts_of(fault: str, **changed: str) -> dict[str, str]:
    """Facts as a unit with this fault would have them."""
    facts = {**BASE, "comes on": "after rolling" if fault in ROLLING else "at once"}
    facts["codes"] = "stored only" if fault in ROLLING else "active"
    if fault == "light circuit":
        facts["codes"] = "no codes"
    if fault == "warm breaker":
        facts |= {"comes on": "comes and goes", "pattern": "warm", "codes": "no codes"}
    if fault == "intermittent":
        facts |= {"comes on": "comes and goes", "pattern": "bumps", "codes": "stored only"}
    return facts | changed


def follow(fault: str, place: str | None = None, **changed: str) -> Run:
    if place is None and FAULTS[fault].each == "wheel":
        place = "left rear"
    if place is None and FAULTS[fault].each == "modulator":
        place = "first modulator"
    return run(PROCEDURE, facts_of(fault, **changed), Suspect(fault, place))


def test_it_has_no_findings() -> None:
    units = set(tomllib.loads(library.find("grammars", "units.toml").read_text(encoding="utf-8")))
    assert find_faults(PROCEDURE, LOADED.text, units) == []


@pytest.mark.parametrize("row", ROWS)
def test_every_way_to_fail_has_its_fault(row: str) -> None:
    assert set(ROWS[row]) <= set(FAULTS)


def test_no_fault_stands_outside_the_table() -> None:
    assert set(FAULTS) == {name for names in ROWS.values() for name in names}


def test_sources_are_named_in_plain_words() -> None:
    for check in PROCEDURE.checks:
        if check.limits is not None:
            assert any(
                word in check.limits.source for word in ("FHWA-MC-98-008", "common practice", "trade training")
            )
    assert "FACTS" not in LOADED.text
    assert "ABS.md" not in LOADED.text


# FHWA-MC-98-008: page 29 (700 to 3000 ohms), pages 32 and 41 (12.5 V at the tractor, 9.5 V at the trailer's module).
@pytest.mark.parametrize(
    ("check", "low", "high"),
    [
        ("module end ohms", "700", "3000"),
        ("sensor ohms", "700", "3000"),
        ("tractor blue loaded", "12.5", "None"),
        ("tractor red loaded", "12.5", "None"),
        ("module blue loaded", "9.5", "None"),
        ("module red loaded", "9.5", "None"),
    ],
)
def test_published_limits(check: str, low: str, high: str) -> None:
    limits = CHECKS[check].limits
    assert limits is not None
    assert (str(limits.low), str(limits.high)) == (low, high)


# NEC chapter 9 table 8, stranded copper at 75 C: 8 AWG 0.778, 10 AWG 1.24 ohms in 1000 feet.
@pytest.mark.parametrize(
    ("check", "ohms_a_thousand_feet", "joints"), [("ground drop", 0.778, 0.1), ("power drop", 1.24, 0.2)]
)
def test_drop_limits_leave_room_for_the_wire_itself(check: str, ohms_a_thousand_feet: float, joints: float) -> None:
    limits = CHECKS[check].limits
    assert limits is not None
    assert limits.high is not None
    wire = 10 * 50 * ohms_a_thousand_feet / 1000
    assert float(limits.high) == pytest.approx(wire + joints, abs=0.03)


def test_ohms_are_read_on_a_dead_circuit_after_volts() -> None:
    def before(name: str) -> set[str]:
        return set(CHECKS[name].after).union(*(before(other) for other in CHECKS[name].after))

    for check in PROCEDURE.checks:
        if check.unit == "ohm":
            assert check.conditions["key"] == "off", check.name
            if check.each == "wheel":
                assert before(check.name) & {"stray volts", "wheel end volts"}, check.name


def test_power_is_judged_with_a_load() -> None:
    for check in PROCEDURE.checks:
        if (
            (check.unit == "V" and "seven-way" in check.title)
            or "drop" in check.title
            or "at the module," in check.title
        ):
            assert "load" in check.conditions, check.name


def test_the_proof_reads_clears_cycles_rolls_and_reads_again() -> None:
    names = [step.name for step in PROCEDURE.proof.steps]
    assert names == ["put back", "read codes", "clear codes", "cycle the power", "roll", "light", "codes again"]
    quiet = [step.name for step in PROCEDURE.proof.steps if step.quiet]
    assert quiet == ["roll"]


def test_answers_of_the_example_table_of_codes_are_answers_of_the_check() -> None:
    table = library.read_toml(library.find("dialogs", "tables/codes.toml"))
    check = CHECKS["code names a wheel"]
    answers = {place.name for place in PROCEDURE.places if place.group == check.each}
    answers |= {option.name for option in check.choices}
    assert {row["answer"] for row in table["codes"]} <= answers


@pytest.mark.parametrize("fault", FAULTS)
def test_each_fault_is_found_and_nothing_else_is_replaced(fault: str) -> None:
    done = follow(fault)
    assert done.found, done
    assert done.wrong_parts == []


@pytest.mark.parametrize("fault", ["sensor backed off", "tone ring damaged", "sensor open"])
def test_the_drum_is_pulled_after_the_electrical_checks(fault: str) -> None:
    done = follow(fault)
    asked = dict(done.openings)["wheel and drum"]
    before = {name for name, _ in done.checks[:asked]}
    assert "code names a wheel" in before
    # from the module's end, or from the wheel's end as far as the sensor
    assert {"stray volts", "module end ohms"} <= before or {"port volts", "wheel end volts", "sensor ohms"} <= before


def test_a_sensor_on_a_disc_brake_is_pushed_home_at_once() -> None:
    done = follow("sensor backed off", brakes="disc")
    assert done.found
    assert done.fixes == [("push the sensor home", "left rear")]
    assert done.minutes < 25
    assert "module plugs" not in dict(done.openings)


@pytest.mark.parametrize("fault", ["module", "module port"])
def test_no_module_before_power_ground_ports_and_the_swap(fault: str) -> None:
    done = follow(fault)
    asked = {name for name, _ in done.checks}
    assert {"module blue loaded", "ground drop", "port volts", "swap two plugs"} <= asked


def test_nothing_at_a_wheel_is_opened_for_a_weak_supply() -> None:
    for fault in ("tractor side", "cord", "bad ground", "high-resistance power", "no power"):
        opened = dict(follow(fault).openings)
        assert not {"wheel plug", "wheel up", "wheel and drum"} & set(opened), fault


@pytest.mark.sweep
@pytest.mark.parametrize(
    ("brakes", "shields", "sensors"), list(product(["disc", "drum"], ["come off", "fixed"], ["two", "four"]))
)
def test_every_fault_at_every_place(brakes: str, shields: str, sensors: str) -> None:
    changed = {"brakes": brakes, "shields": shields, "sensors wired": sensors, "modulators": "two valves"}
    lost = []
    for suspect in fault_model(PROCEDURE, facts_of("", **changed)).suspects:
        facts = facts_of(suspect.fault, **changed)
        if sensors == "four":
            facts.pop("sensor axle")
        if suspect in fault_model(PROCEDURE, facts).suspect_index:
            done = run(PROCEDURE, facts, suspect)
            if not done.found or done.wrong_parts:
                lost.append((suspect, done.wrong_parts))
    assert lost == []


def test_a_meter_whose_lowest_range_is_200_volts_is_not_asked_for_tenths() -> None:
    done = follow("sensor backed off", **{"lowest AC range": "two hundred volts"})
    assert done.found
    assert not {name for name, _ in done.checks} & {"output by hand", "output by hand, drum on", "own port"}
