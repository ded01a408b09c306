"""The trailer's light circuits: lamps against figures of the trade, the whole network against ngspice."""

from __future__ import annotations

import math
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path
from random import Random

import pytest

from assistant.errors import DefectError
from assistant.simulator.circuit import GROUND, Element, Resistor, VoltageSource, ports, solve
from assistant.simulator.truck import build as sizes
from assistant.simulator.truck.case import draw_case
from assistant.simulator.truck.defects import Defect
from assistant.simulator.truck.lighting.lamps import Lamp, settle
from assistant.simulator.truck.lighting.light_wrong import CIRCUIT_WEAK, LIGHT_WRONG
from assistant.simulator.truck.lighting.lights import CIRCUITS, LightBuild, Lights
from assistant.simulator.truck.lighting.lights_looks import compare, least_at_far_end, with_on, wrong_lamps
from assistant.simulator.truck.meter import Dial, Instrument
from tests.conftest import missing
from tests.simulator.test_circuit import agree, ngspice, random_network

BULBS = LightBuild(to_frame=True)


def broken(*links: str, build: LightBuild = BULBS, ohms: float = math.inf) -> Lights:
    return Lights(build, [Defect("open", None, link, {link: ohms}) for link in links])


# SAE J573, from memory: the two filaments of a stop and tail bulb draw 2.1 and 0.59 amps at 12.8 volts.
@pytest.mark.parametrize(("watts", "amps"), [(26.9, 2.1), (8.3, 0.65)])
def test_a_bulb_draws_what_it_is_rated_for(watts: float, amps: float) -> None:
    assert 12.8 / Lamp("bulb", "a", "b", watts).ohms(12.8) == pytest.approx(amps, abs=0.06)


def test_a_filament_dims_much_faster_than_its_volts_fall() -> None:
    """Lighting handbook, from memory: a tenth less volts takes 30 percent of the light, and only 6 of the amps."""
    bulb = Lamp("bulb", "a", "b", 20.0)
    assert bulb.light(0.9 * 12.8) == pytest.approx(0.70, abs=0.01)
    amps = [volts / bulb.ohms(volts) for volts in (0.9 * 12.8, 12.8)]
    assert amps[0] / amps[1] == pytest.approx(0.94, abs=0.01)


def test_an_led_lamp_passes_nothing_backward_and_little_below_its_threshold() -> None:
    led = Lamp("led", "a", "b", 3.0, led=True)
    for volts in (-12.0, 5.0):
        wires: list[Element] = [VoltageSource("a", GROUND, volts, 0.1), Resistor("b", GROUND, 0.0)]
        assert led.light(settle(wires, [led])[1]["led"]) == 0.0
    assert led.light(12.8) == pytest.approx(1.0)


def test_lamps_in_a_row_settle_where_ngspice_has_them(tmp_path: Path) -> None:
    """A solver that knows nothing of our rounds takes the filaments as curved as they are."""
    program = shutil.which("ngspice")
    if program is None:
        missing("ngspice is not here (Debian's package ngspice)")
    lamps = [Lamp("tail", "a", "b", 8.3), Lamp("stop", "b", GROUND, 26.9), Lamp("marker", "a", GROUND, 4.0)]
    wires: list[Element] = [VoltageSource("a", GROUND, 12.6, 0.3), Resistor("b", GROUND, 400.0)]
    ours = settle(wires, lamps)[1]
    cards = ["* lamps", "V1 s 0 DC 12.6", "R1 s a 0.3", "R2 b 0 400"]
    for number, lamp in enumerate(lamps):
        plus, minus = lamp.plus, "0" if lamp.minus == GROUND else lamp.minus
        hot, across = 12.8**2 / lamp.watts, f"abs(v({plus},{minus}))"
        cards.append(f"B{number} {plus} {minus} I=v({plus},{minus})/({hot}*max(0.08,pow({across}/12.8,0.45)))")
    deck = tmp_path / "lamps.cir"
    deck.write_text("\n".join([*cards, ".control", "op", "print v(a) v(b)", ".endc", ".end"]))
    done = subprocess.run([program, "-b", str(deck)], capture_output=True, text=True, timeout=60, check=False)
    told = dict(line.split(" = ") for line in done.stdout.splitlines() if line.startswith("v("))
    assert ours["marker"] == pytest.approx(float(told["v(a)"]), abs=1e-3)
    assert ours["stop"] == pytest.approx(float(told["v(b)"]), abs=1e-3)


def test_ports_are_those_of_the_network_itself() -> None:
    """One amp into a port, beside the network solved with that amp in it."""
    for seed in range(20):
        network = random_network(Random(seed))
        nodes = sorted(solve(network).volts)
        pairs = [(nodes[0], nodes[-1]), (nodes[1], GROUND)]
        joined: list[Element] = [*network, *(Resistor(plus, minus, 1e4) for plus, minus in pairs if plus != minus)]
        feed, ohms = ports(joined, pairs)
        for row, (plus, minus) in enumerate(pairs):
            assert feed[row] == pytest.approx(solve(joined).between(plus, minus), abs=1e-9)
            assert ohms[row, row] >= 0.0


def test_all_is_right_on_a_sound_trailer_and_every_lamp_is_lit_by_its_own_circuit() -> None:
    for build in (LightBuild(), LightBuild(led=True), BULBS):
        assert wrong_lamps(Lights(build)) == {}
        for pin, circuit in list(CIRCUITS.items())[:5]:
            lit = with_on(Lights(build), circuit).lit()
            assert {name for name, light in lit.items() if light > 0.3} == {
                name for name, at, _ in build.lamps() if at == pin
            }


def test_a_lamp_without_its_ground_finds_its_way_home_through_another() -> None:
    """Common practice, no source: bulbs of a floating corner feed each other back; LED lamps do not."""
    bulbs = broken("left rear ground")
    volts = Instrument().read(with_on(bulbs, "stop lamps"), Dial.DC, "left stop ground", "frame").value
    assert volts > 5.0
    assert with_on(bulbs, "stop lamps").lit()["left side turn"] > 0.03
    leds = broken("left rear ground", build=LightBuild(led=True, to_frame=True))
    assert with_on(leds, "stop lamps").lit()["left side turn"] == 0.0
    assert wrong_lamps(bulbs)["left stop"] in {"dark", "faint"}


def test_a_bad_main_ground_dims_the_tail_lamps_on_braking() -> None:
    """Common practice, no source: lamps that go dim or out on braking have lost their ground."""
    unit = broken("nose box one", ohms=3.0)
    tail, braking = with_on(unit, "tail lamps").lit(), with_on(unit, "tail lamps", "stop lamps").lit()
    assert braking["left tail"] < 0.6 * tail["left tail"]


def test_full_volts_without_a_load_and_nothing_works() -> None:
    unit = broken("trailer wire four", ohms=200.0, build=LightBuild(pin="four", far=True))
    unit.set({"stop lamps": "on"})
    unit.plug(["last plug"], in_=False)
    unit.defects[0] = Defect("strand", None, "x", {"rear wire four": 200.0})
    meter = Instrument()
    assert meter.read(unit, Dial.DC, "far end", "far end one").value > 12.0
    unit.load = ("far end", "far end one")
    assert meter.read(unit, Dial.DC, "far end", "far end one").value < 0.2


def test_the_far_end_of_a_sound_trailer_holds_what_the_recommended_practices_ask_for() -> None:
    """TMC RP 137 and RP 141 (FHWA-MC-98-008, pages 32 and 41): 12.5 to 9.5 volts at 10 amps are 0.30 ohm."""
    assert least_at_far_end(sizes.LOAD) == pytest.approx(9.5)
    assert least_at_far_end(sizes.HEADLAMP) == pytest.approx(12.5 - 0.30 * 12.5 / 2.78)
    for load in (sizes.LOAD, sizes.HEADLAMP):
        unit = Lights(LightBuild(pin="seven", far=True, load_ohms=load, air=35.0), key=True, engine=True)
        unit.plug(["last plug"], in_=False)
        unit.load = ("far end", "far end one")
        assert Instrument().read(unit, Dial.DC, "far end", "far end one").value >= least_at_far_end(load)


def test_a_switch_or_a_load_that_is_not_there_is_refused() -> None:
    unit = Lights(BULBS)
    with pytest.raises(DefectError, match="no switch"):
        unit.set({"fog lamps": "on"})
    with pytest.raises(DefectError, match="no load"):
        Lights(BULBS, load=("nose pin four", "nose pin one"), load_kind="heater").network()
    assert unit.mistaken("cord pin four") == "cord pin five"
    assert unit.mistaken("left stop power") == "left stop power"


@pytest.mark.parametrize("arrival", [LIGHT_WRONG, CIRCUIT_WEAK], ids=["light wrong", "circuit weak"])
def test_every_defect_shows(arrival: object) -> None:
    """A light that is wrong, or a far end that has too little with its load on."""
    kinds = LIGHT_WRONG if arrival is LIGHT_WRONG else CIRCUIT_WEAK
    for kind in kinds.kinds:
        case = draw_case(kinds, ((kind.name, Random(1).choice(kinds.every_place(kind))),), 7)
        unit = case.machine
        assert isinstance(unit, Lights)
        unit.moved = unit.wet = unit.warm = True
        if kinds is LIGHT_WRONG:
            assert wrong_lamps(unit), kind.name
            continue
        unit.key = unit.engine = True
        unit.set({case.means["circuit"]: "on"})
        unit.plug(["last plug"], in_=False)
        unit.load = ("far end", "far end one")
        least = least_at_far_end(unit.build.load_ohms)
        assert solve(unit.network()).between("far end", "far end one") < least, kind.name


def states() -> Iterator[list[Element]]:
    """Every defect, its circuit on alone, all together, and with the cord off and a battery on one pin."""
    for arrival in (LIGHT_WRONG, CIRCUIT_WEAK):
        for number, kind in enumerate(arrival.kinds):
            case = draw_case(arrival, ((kind.name, Random(number).choice(arrival.every_place(kind))),), number)
            unit, pin = case.machine, case.means["pin"]
            unit.moved = unit.wet = unit.warm = unit.key = True
            unit.set({case.means["circuit"]: "on"})
            yield unit.network()
            unit.set({"tail lamps": "on", "markers": "on", "stop lamps": "on", "coupling": "rocked"})
            unit.load, unit.load_kind = (f"nose pin {pin}", "nose pin one"), "headlamp"
            yield unit.network()
            unit.plug(["cord at the nose"], in_=False)
            unit.feed = (f"nose pin {pin}", "nose pin one")
            yield unit.network()


@pytest.mark.sweep
def test_every_state_agrees_with_ngspice(tmp_path: Path) -> None:
    networks = list(states())
    for elements, reference in zip(networks, ngspice(networks, tmp_path), strict=True):
        agree(elements, reference)


def test_some_states_agree_with_ngspice(tmp_path: Path) -> None:
    networks = list(states())[::17]
    for elements, reference in zip(networks, ngspice(networks, tmp_path), strict=True):
        agree(elements, reference)


def test_a_lamp_beside_its_usual_light_is_right_dark_faint_or_lit() -> None:
    unit = with_on(broken("left tail wire", ohms=12.0), "tail lamps")
    assert compare(unit)["left tail"] == "faint"
    assert compare(with_on(broken("left tail lamp"), "tail lamps"))["left tail"] == "dark"
    crossed = Lights(BULBS, [Defect("short", None, "loom", shunts=(("junction in six", "junction in three", 0.1),))])
    assert compare(with_on(crossed, "tail lamps"))["left turn"] == "lit"
