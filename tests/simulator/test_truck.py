"""The simulated trailer against tables, against ngspice and against what the trade and the regulations say of it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from random import Random

import pytest

from assistant.errors import DefectError
from assistant.messages import Limits
from assistant.procedure.load import load_procedure
from assistant.procedure.model import Check, LimitSet
from assistant.simulator.circuit import Element, solve
from assistant.simulator.truck import build as sizes
from assistant.simulator.truck.build import Build
from assistant.simulator.truck.case import Case, draw_case
from assistant.simulator.truck.controller import Controller
from assistant.simulator.truck.defects import KINDS, MOVED, Defect
from assistant.simulator.truck.light_on import LIGHT_ON
from assistant.simulator.truck.looks import LOOKS
from assistant.simulator.truck.meter import Dial, Instrument, Shown
from assistant.simulator.truck.trailer import POWER_PLUG, SENSOR_PLUGS, Trailer
from assistant.simulator.truck.wire import copper_at, wire_ohms
from tests.simulator.test_circuit import agree, ngspice

PROCEDURE = load_procedure("trailer-abs-light-on").procedure
CHECKS = {check.name: check for check in PROCEDURE.checks}
FULL = Build(axles=2, sensor_axles=("front", "rear"), valves=2)


def running(*defects: Defect, build: Build = FULL) -> Controller:
    controller = Controller(Trailer(build, list(defects), key=True))
    controller.power_up()
    return controller


def look(controller: Controller, what: str, place: str | None) -> str:
    return Case(controller, (), {}, Instrument(), LOOKS).tells(what, place)


def drawn(kind: str, place: str = "", seed: int = 0) -> Defect:
    return next(one for one in KINDS if one.name == kind).make(place, FULL, Random(seed))


# NEC chapter 9 table 8: uncoated stranded copper at 75 C, ohms in 1000 feet.
@pytest.mark.parametrize(("gauge", "ohms"), [(18, 7.95), (16, 4.99), (14, 3.14), (12, 1.98), (10, 1.24), (8, 0.778)])
def test_wires_are_those_of_the_electrical_code(gauge: int, ohms: float) -> None:
    assert wire_ohms(gauge, 1000, 75) == pytest.approx(ohms, rel=0.01)


# Handbook correction of a copper winding, k = 234.5: 1416.51 ohms at 20 C read 1500 at 35 C.
def test_a_coil_follows_its_temperature() -> None:
    assert copper_at(1416.51, 35) == pytest.approx(1500, abs=0.01)


def test_a_sound_tractor_meets_the_published_limits_under_load() -> None:
    """TMC RP 137 and RP 141 (FHWA-MC-98-008, pages 32 and 41): 12.5 V at the tractor, 9.5 V at the module."""
    trailer = Trailer(FULL, key=True, engine=True, load=("tractor pin 7", "tractor pin 1"))
    volts = solve(trailer.circuit()).between("tractor pin 7", "tractor pin 1")
    assert volts >= 12.5
    assert volts / sizes.LOAD == pytest.approx(10, rel=0.15)
    trailer.load = ("module blue", "module ground")
    assert solve(trailer.circuit()).between("module blue", "module ground") >= 9.5


def test_the_module_wakes_from_the_stop_lamps_when_blue_is_dead() -> None:
    """49 CFR 571.121 S5.5.2 and CVSA: without constant power a trailer's ABS comes up with the brake pedal."""
    controller = running(drawn("blue wire open"))
    assert controller.light_at_power_up() == "stays dark"
    assert not controller.connected()
    controller.trailer.pedal = True
    assert controller.trailer.powered()[0] == "red"


def test_the_light_checks_its_bulb_and_goes_out() -> None:
    assert running().light_at_power_up() == "goes out"
    assert not running().light()


def test_a_fault_of_the_road_lights_again_after_the_key_until_the_wheels_have_rolled() -> None:
    """FMVSS 121 S5.2.3.3 and the model commercial driver license manual, 5.1.16: out above 5 mph."""
    wheel = "left rear"
    controller = running(drawn("sensor backed off", wheel))
    assert controller.light_at_power_up() == "goes out"
    controller.roll(30, rough=True)
    controller.power_up()
    assert controller.light_at_power_up() == "stays on"
    controller.trailer.renew([f"{wheel} gap"])
    assert controller.light_at_power_up() == "stays on"
    controller.roll(6, rough=False)
    assert controller.light_at_power_up() == "goes out"
    assert look(controller, "codes", None) == "stored only"
    controller.clear()
    assert look(controller, "codes", None) == "no codes"


def test_a_system_that_does_not_hold_its_light_shows_the_fault_of_the_road_as_stored() -> None:
    controller = running(drawn("sensor backed off", "left rear"), build=replace(FULL, holds_light=False))
    controller.roll(30, rough=True)
    assert controller.light_at_power_up() == "goes out"
    assert look(controller, "first code", None) == "left rear"


def test_an_unplugged_sensor_sets_a_code_of_its_own_making() -> None:
    controller = running()
    controller.trailer.plug([SENSOR_PLUGS], in_=False)
    controller.power_up()
    assert {code.self_made for code in controller.stored} == {True}
    assert look(controller, "active codes", None) == "four or more"


@pytest.mark.parametrize("kind", KINDS, ids=[kind.name for kind in KINDS])
def test_every_defect_shows_on_the_road(kind: object) -> None:
    """None is a defect without a complaint: a code, a light, a dead module, or a light that never goes out."""
    one = next(known for known in KINDS if known is kind)
    for place in LIGHT_ON.every_place(one):
        for seed in range(2):
            defect = one.make(place or "", FULL, Random(seed))
            controller = running(defect)
            controller.roll(30, rough=True)
            for name in defect.when:
                setattr(controller.trailer, name, True)
            dead = not controller.connected() or controller.light_at_power_up() in {"flickers", "stays on"}
            assert controller.stored or controller.held or dead, (place, seed)


def test_a_ring_without_some_teeth_pulses_and_passes_every_ohm() -> None:
    wheel = "left rear"
    defect = Defect("ring", wheel, f"{wheel} ring", settings={f"{wheel} teeth missing": 5.0})
    trailer = Trailer(FULL, [defect], lifted={wheel}, turning=wheel, pace=0.5)
    trailer.plug([SENSOR_PLUGS], in_=False)
    ends = f"{wheel} lead 1", f"{wheel} lead 2"
    assert Instrument().read(trailer, Dial.AC, *ends).shown is Shown.JUMPING
    assert Instrument().read(trailer, Dial.OHMS, *ends).value == pytest.approx(1200, abs=2)


def test_the_output_grows_with_the_pace_and_falls_with_the_gap() -> None:
    wheel = "left rear"
    trailer = Trailer(FULL, lifted={wheel}, turning=wheel, pace=0.5)
    slow = trailer.signal(wheel)
    trailer.pace = 1.0
    assert trailer.signal(wheel) == pytest.approx(2 * slow)
    trailer.defects.append(drawn("sensor backed off", wheel))
    assert trailer.signal(wheel) < 0.5 * slow
    trailer.lifted.clear()
    assert trailer.signal(wheel) == 0.0


def test_a_meter_in_the_amps_jack_reads_nothing_and_blows_its_fuse() -> None:
    trailer = Trailer(FULL, key=True)
    meter = Instrument(in_amps_jack=True)
    assert meter.read(trailer, Dial.DC, "tractor pin 7", "tractor pin 1").value == 0.0
    assert meter.fuse_blown
    assert meter.read(trailer, Dial.OHMS, "left rear lead 1", "left rear lead 2").shown is Shown.OVER_RANGE


def test_ohms_on_a_live_circuit_are_wrong() -> None:
    trailer = Trailer(FULL, key=True)
    trailer.plug(["left rear wheel plug"], in_=False)
    live = Instrument().read(trailer, Dial.OHMS, "left rear wheel end 1", "left rear wheel end 2")
    trailer.key = False
    dead = Instrument().read(trailer, Dial.OHMS, "left rear wheel end 1", "left rear wheel end 2")
    assert (live.shown, live.value) != (dead.shown, dead.value)


def test_a_loose_lead_reads_nothing_on_volts_and_over_range_on_ohms() -> None:
    trailer = Trailer(FULL, key=True)
    meter = Instrument(lead_off=True)
    assert meter.read(trailer, Dial.DC, "tractor pin 7", "tractor pin 1").value == 0.0
    assert meter.read(trailer, Dial.OHMS, "left rear lead 1", "left rear lead 2").shown is Shown.OVER_RANGE


def test_a_wire_that_opens_when_it_flexes_jumps_under_the_hand_only() -> None:
    wheel = "left rear"
    defect = Defect("flexes", wheel, "x", {f"{wheel} wire 1": math.inf}, when=frozenset({MOVED}))
    trailer = Trailer(FULL, [defect])
    trailer.plug([SENSOR_PLUGS], in_=False)
    ends = f"{wheel} lead 1", f"{wheel} lead 2"
    assert Instrument().read(trailer, Dial.OHMS, *ends).shown is Shown.VALUE
    assert Instrument().read(trailer, Dial.OHMS, *ends, moved=True).shown is Shown.JUMPING


def test_a_name_that_the_trailer_does_not_have_is_refused() -> None:
    with pytest.raises(DefectError, match="no plug"):
        Trailer(FULL).plug(["left middle wheel plug"], in_=False)
    with pytest.raises(DefectError, match="no place"):
        Instrument().read(Trailer(FULL), Dial.DC, "pin 9", "frame")
    with pytest.raises(DefectError, match="nothing called"):
        look(running(), "paint", None)
    with pytest.raises(DefectError, match="no defect"):
        draw_case(LIGHT_ON, (("paint", None),), 1)


def states() -> Iterator[list[Element]]:
    """The circuit of every defect in every place, key on and off, plugged and unplugged, loaded and braking."""
    for number, kind in enumerate(KINDS):
        for place in LIGHT_ON.every_place(kind):
            trailer = Trailer(FULL, [kind.make(place or "", FULL, Random(number))], moved=True, wet=True, warm=True)
            for key, unplugged in ((True, ()), (False, (SENSOR_PLUGS,)), (True, (POWER_PLUG, "cord at the nose"))):
                trailer.key, trailer.unplugged = key, set()
                trailer.plug(unplugged, in_=False)
                trailer.load = ("module blue", "module ground") if unplugged else None
                trailer.pedal = bool(unplugged)
                feed, _ = trailer.powered()
                yield trailer.circuit(feed=feed, running=feed is not None, click=FULL.modulators[0])


@pytest.mark.sweep
def test_every_state_agrees_with_ngspice(tmp_path: Path) -> None:
    networks = list(states())
    for elements, reference in zip(networks, ngspice(networks, tmp_path), strict=True):
        agree(elements, reference)


def test_some_states_agree_with_ngspice(tmp_path: Path) -> None:
    networks = list(states())[::20]
    for elements, reference in zip(networks, ngspice(networks, tmp_path), strict=True):
        agree(elements, reference)


def test_a_six_sensor_trailer_is_a_circuit_too() -> None:
    build = Build(axles=3, sensor_axles=("front", "middle", "rear"), valves=3)
    assert len(build.wheels) == 6
    assert running(build=build).standing() == []
    assert running(build=build).clicks("third modulator")


def test_checks_name_what_they_measure() -> None:
    """Each check names tips and a dial that its unit can be read with, or something to be looked at."""
    for check in PROCEDURE.checks:
        assert (check.probe is None) == (check.kind != "reading"), check.name
        assert (check.sees is None) == (check.kind == "reading"), check.name
        if check.probe is not None:
            assert (check.probe.dial == "ohms") == (check.unit == "ohm"), check.name
            assert check.leads is not None, check.name
            assert check.leads.dial.startswith(check.probe.dial), check.name
            assert check.leads.hole == check.probe.jack, check.name


def limits_hold(check: Check, words: str) -> bool:
    """Whether an answer is good by the procedure's own limits, or one that a sound unit gives."""
    return limits_within(check, check.limits, words)


def limits_within(check: Check, limits: Limits | LimitSet | None, words: str) -> bool:
    """The same by the limits that hold on the unit."""
    if check.kind != "reading":
        return words in check.sound
    assert limits is not None
    if words == "over range":
        return limits.over_range == "good"
    value = float(words)
    low, high = limits.low, limits.high
    return (low is None or value >= low) and (high is None or value <= high)
