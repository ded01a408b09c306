"""Every procedure that is shipped: sound, sourced, cautious, and in words that the recognizer has."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from decimal import Decimal
from itertools import pairwise

import pytest

from assistant import library
from assistant.asr.recognizer import Recognizer
from assistant.diagnosis.limits import limits_of
from assistant.inspection import find_faults
from assistant.procedure.load import load_procedure
from assistant.procedure.model import Check, LimitSet, Option, Place, Procedure, ProofStep, Question

NAMES = sorted(
    path.stem for path in library.files("dialogs") if path.suffix == ".toml" and path.parent.name == "dialogs"
)
LOADED = {name: load_procedure(name) for name in NAMES}
KNOWN_SOURCES = (
    "common practice, no source", "from memory", "trade training, no standard", "trade training", "copper wire table",
    "copper table", "FHWA-MC-98-008", "TMC RP 137", "TMC RP 141", "49 CFR 393.47", "49 CFR 393.75",
    "general industry table", "rest-voltage table",
)  # fmt: skip
SURVEYS = ["pushrod-stroke", "seven-way-survey", "tire-tread-depth", "wheel-speed-sensor-survey"]


def procedure(name: str) -> Procedure:
    return LOADED[name].procedure


def limit_sets(check: Check) -> Iterator[LimitSet]:
    if check.limits is not None:
        yield check.limits
    yield from (entry.limits for entry in check.limits_when)


def test_the_whole_pack_is_there() -> None:
    finding = {
        "battery-and-charging", "doubles-and-triples", "seven-way-power-and-grounds", "tractor-abs-light-on",
        "trailer-abs-light-never-lights", "trailer-abs-light-on", "trailer-light-dead-or-faint",
    }  # fmt: skip
    assert finding | set(SURVEYS) <= set(NAMES)
    assert [name for name in NAMES if procedure(name).kind == "survey"] == SURVEYS


@pytest.mark.parametrize("name", NAMES)
def test_it_has_no_findings(name: str) -> None:
    units = set(tomllib.loads(library.find("grammars", "units.toml").read_text(encoding="utf-8")))
    assert find_faults(procedure(name), LOADED[name].text, units) == []


@pytest.mark.parametrize("name", NAMES)
def test_its_name_is_its_files_name_and_it_says_what_it_serves(name: str) -> None:
    assert procedure(name).name == name
    assert procedure(name).serves
    assert procedure(name).in_hand
    assert procedure(name).put_back
    assert "CASES" not in LOADED[name].text
    assert "FACTS" not in LOADED[name].text


@pytest.mark.parametrize("name", NAMES)
def test_every_limit_names_a_source_in_plain_words(name: str) -> None:
    for check in procedure(name).checks:
        for limits in limit_sets(check):
            told = f"{limits.source} {limits.unverified}"
            assert any(source in told for source in KNOWN_SOURCES), (check.name, told)
            assert "from memory" not in limits.source, "that stands in 'unverified', where it is counted"


@pytest.mark.parametrize("name", NAMES)
def test_it_begins_with_chocks_and_the_shops_own_rules(name: str) -> None:
    first = [caution for caution in procedure(name).cautions if caution.first]
    assert "chock" in first[0].say.lower()
    assert any("rules and the law where you work" in caution.say for caution in first)


@pytest.mark.parametrize("name", NAMES)
def test_a_caution_asks_for_no_answer(name: str) -> None:
    """The engine adds what is to be said to a caution; a sentence that adds another answer confuses."""
    for caution in procedure(name).cautions:
        assert "say next" not in caution.say.lower(), caution.name
        assert "say yes" not in caution.say.lower(), caution.name


@pytest.mark.parametrize("name", NAMES)
def test_every_way_of_typical_is_good(name: str) -> None:
    for check in procedure(name).checks:
        if check.typical is None:
            continue
        lowest, highest = check.typical
        for limits in limit_sets(check):
            if limits.low is not None:
                assert lowest >= limits.low, check.name
            if limits.high is not None:
                assert highest <= limits.high, check.name


@pytest.mark.parametrize("name", NAMES)
def test_voltage_on_power_and_ground_is_read_with_a_load(name: str) -> None:
    """One strand carries a meter, not a lamp: volts of a supply or a drop are read with current flowing."""
    for check in procedure(name).checks:
        words = f"{check.name} {check.title}".lower()
        if check.unit == "V" and ("drop" in words or "loaded" in words):
            assert {"load", "lamps"} & set(check.conditions), check.name


@pytest.mark.parametrize("name", NAMES)
def test_ohms_are_read_with_the_key_off(name: str) -> None:
    for check in procedure(name).checks:
        if check.unit == "ohm":
            assert check.conditions.get("key") == "off", check.name


@pytest.mark.parametrize("name", [name for name in NAMES if name not in SURVEYS])
def test_the_proof_needs_an_answer_that_passes(name: str) -> None:
    proof = procedure(name).proof
    assert any(step.kind == "choice" and step.passes for step in proof.steps)
    assert proof.limits


@pytest.mark.parametrize("name", NAMES)
def test_the_recognizer_has_every_word_of_every_answer(name: str, recognizer: Recognizer) -> None:
    seen = procedure(name)
    asked: list[Question | Check | ProofStep] = [*seen.facts, *seen.checks, *seen.proof.steps]
    answers: list[Option | Place] = [*(option for row in asked for option in row.choices), *seen.places]
    sayings = [saying for row in answers for saying in (row.name, *row.also)]
    words = sorted({word for saying in sayings for word in saying.lower().split()})
    assert recognizer.missing_words(words) == []


def low(name: str, check: str) -> Decimal | None:
    return limits(name, check).low


def high(name: str, check: str) -> Decimal | None:
    return limits(name, check).high


def check_of(name: str, check: str) -> Check:
    return next(row for row in procedure(name).checks if row.name == check)


def limits(name: str, check: str) -> LimitSet:
    found = check_of(name, check).limits
    assert found is not None
    return found


# TMC RP 137 and RP 141 as cited in FHWA-MC-98-008, pages 32 and 41: 12.5 V at 10 A at the tractor's pins 4 and 7,
# 9.5 V at the trailer's module.
@pytest.mark.parametrize(
    ("name", "check", "volts"),
    [
        ("doubles-and-triples", "tractor loaded", "12.5"),
        ("doubles-and-triples", "last module loaded", "9.5"),
        ("seven-way-power-and-grounds", "tractor loaded", "12.5"),
        ("seven-way-power-and-grounds", "far end loaded", "9.5"),
        ("trailer-abs-light-never-lights", "module blue loaded", "9.5"),
    ],
)
def test_published_supply_limits(name: str, check: str, volts: str) -> None:
    assert low(name, check) == Decimal(volts)


# FHWA-MC-98-008, page 29: most sensor circuits, 700 to 3000 ohms.
@pytest.mark.parametrize(
    ("name", "check"),
    [
        ("tractor-abs-light-on", "module end ohms"),
        ("tractor-abs-light-on", "sensor ohms"),
        ("wheel-speed-sensor-survey", "ohms"),
    ],
)
def test_published_sensor_limits(name: str, check: str) -> None:
    assert (low(name, check), high(name, check)) == (Decimal(700), Decimal(3000))


# Trade training, no standard: 0.1 V on a ground, 0.2 V on a wire, 0.3 V on a switch, 0.5 V on the starter's cables.
def test_drops_of_joints_and_cables() -> None:
    name = "seven-way-power-and-grounds"
    assert high(name, "ground joint drop, front") == high(name, "ground joint drop, rear") == Decimal("0.1")
    assert high(name, "power joint drop, front") == high(name, "power joint drop, rear") == Decimal("0.2")
    name = "battery-and-charging"
    power, ground = high(name, "power drop cranking"), high(name, "ground drop cranking")
    assert power is not None
    assert ground is not None
    assert power + ground == Decimal("0.5")
    assert high(name, "charging drop") == Decimal("0.2")
    assert high(name, "charging ground drop") == Decimal("0.1")
    wire = Decimal(7) * 50 * Decimal("0.778") / 1000  # all lamps on 50 feet of 8 gauge, NEC chapter 9 table 8
    assert high("trailer-light-dead-or-faint", "lamp's ground") == round(wire, 1) + Decimal("0.1")


# NEC chapter 9 table 8, stranded copper at 75 C, in ohms per 1000 feet: 8 AWG 0.778, 10 AWG 1.24, 12 AWG 1.98.
# Behind the nose the circuit's own lamps, about 2 amps, share the wires with the 10 amp load.
@pytest.mark.parametrize(
    ("name", "check", "amps", "feet", "gauge", "joints"),
    [
        ("seven-way-power-and-grounds", "ground drop behind", 12, 50, 0.778, 0.1),
        ("seven-way-power-and-grounds", "power drop behind", 12, 50, 1.24, 0.2),
        ("doubles-and-triples", "first trailer ground drop", 10, 28, 0.778, 0.1),
        ("tractor-abs-light-on", "ground drop", 10, 20, 1.24, 0.1),
        ("seven-way-survey", "tractor ground", 10, 25, 0.778, 0.1),
        ("seven-way-survey", "cord ground", 10, 15, 0.778, 0.1),
    ],
)
def test_drop_limits_leave_room_for_the_wire_itself(
    name: str, check: str, amps: float, feet: float, gauge: float, joints: float
) -> None:
    limit = high(name, check)
    assert limit is not None
    assert float(limit) == pytest.approx(amps * feet * gauge / 1000 + joints, abs=0.06)


def test_the_three_volts_are_shared_out_along_the_train() -> None:
    """12.5 V at the tractor, 9.5 V at the module; each share holds the copper of its stretch at 20 C.

    Annealed copper at 20 C (IEC 60028 with ASTM B258 diameters), in ohms per 1000 feet: 10 AWG 0.9989, 8 AWG 0.6282.
    """
    stops = ["tractor", "first nose", "first tail", "second nose", "second tail", "third nose", "last module"]
    volts = [low("doubles-and-triples", f"{stop} loaded") for stop in stops]
    shares = [one - other for one, other in pairwise(volts) if one is not None and other is not None]
    assert sum(shares) == Decimal("3.0")
    feet = [15, 28, 15, 28, 15, 28]
    for share, length in zip(shares, feet, strict=True):
        assert float(share) > 10 * length * (0.9989 + 0.6282) / 1000


# General industry table, flooded lead-acid, 80 F: 75 % charge 12.45 V; 0.024 V less for every 10 F below.
@pytest.mark.parametrize(("air", "fahrenheit"), [("warm", 80), ("freezing", 32), ("zero", 0)])
def test_rest_voltage_at_three_temperatures(air: str, fahrenheit: int) -> None:
    facts = {"air": air, "battery kind": "flooded"}
    limit = limits_of(check_of("battery-and-charging", "rest volts"), facts).low
    assert limit is not None
    assert float(limit) == pytest.approx(12.45 - 0.024 * (80 - fahrenheit) / 10, abs=0.006)


# Usual load test table of least volts after 15 seconds at half the cold cranking amps, from memory.
@pytest.mark.parametrize(("air", "volts"), [("warm", "9.6"), ("freezing", "9.1"), ("zero", "8.5")])
def test_load_test_at_three_temperatures(air: str, volts: str) -> None:
    assert limits_of(check_of("battery-and-charging", "cranking volts"), {"air": air}).low == Decimal(volts)


def test_a_battery_is_loaded_charged_and_warm_and_judged_by_the_row_at_70_degrees() -> None:
    check = check_of("battery-and-charging", "battery under load")
    assert check.needs == ("charged overnight",)
    assert check.limits is not None
    assert check.limits.low == Decimal("9.6")
