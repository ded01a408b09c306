"""The circuit solver against worked figures and against ngspice, a solver that knows nothing of ours."""

from __future__ import annotations

import math
import shutil
import subprocess
from collections.abc import Iterable
from pathlib import Path
from random import Random

import pytest

from assistant.errors import DefectError
from assistant.simulator.circuit import GROUND, CurrentSource, Element, Resistor, VoltageSource, solve
from tests.conftest import missing

NETWORKS = 200
TIE = 1.0
"""Ohms of the tie that ngspice needs for a part that floats; it carries no current."""


def ngspice(networks: Iterable[list[Element]], folder: Path) -> list[dict[str, float]]:
    """Node voltages of each network from ngspice's operating point, one process for all of them."""
    program = shutil.which("ngspice")
    if program is None:
        missing("ngspice is not here (Debian's package ngspice)")
    results = []
    for number, elements in enumerate(networks):
        nodes = list(dict.fromkeys(node for one in elements for node in _ends(one)))
        names = {node: "0" if node == GROUND else f"n{at}" for at, node in enumerate(nodes)}
        lines = ["* a network", *_cards(elements, names), *_ties(elements, names)]
        asked = [name for name in names.values() if name != "0"]
        lines += [".options gmin=1e-18 reltol=1e-12 abstol=1e-18 vntol=1e-15 numdgt=15", ".control", "set numdgt=15"]
        lines += ["op", *(f"print v({name})" for name in asked), ".endc", ".end"]
        deck = folder / f"{number}.cir"
        deck.write_text("\n".join(lines))
        done = subprocess.run([program, "-b", str(deck)], capture_output=True, text=True, timeout=60, check=False)
        told = dict(line.split(" = ") for line in done.stdout.splitlines() if line.startswith("v(n"))
        found = {node: 0.0 if name == "0" else float(told[f"v({name})"]) for node, name in names.items()}
        results.append(found)
    return results


def _ends(element: Element) -> tuple[str, str]:
    match element:
        case Resistor(first, second):
            return first, second
        case VoltageSource(plus, minus):
            return plus, minus
        case CurrentSource(out_of, into):
            return out_of, into


def _cards(elements: list[Element], names: dict[str, str]) -> list[str]:
    cards = []
    for number, element in enumerate(elements):
        first, second = (names[end] for end in _ends(element))
        match element:
            case Resistor(ohms=0):
                cards.append(f"V{number} {first} {second} DC 0")
            case Resistor(ohms=ohms):
                if not math.isinf(ohms):
                    cards.append(f"R{number} {first} {second} {ohms!r}")
            case VoltageSource(volts=volts, ohms=0):
                cards.append(f"V{number} {first} {second} DC {volts!r}")
            case VoltageSource(volts=volts, ohms=ohms):
                cards += [f"V{number} {first} m{number} DC {volts!r}", f"R{number} m{number} {second} {ohms!r}"]
            case CurrentSource(amps=amps):
                cards.append(f"I{number} {first} {second} DC {amps!r}")
    return cards


def _ties(elements: list[Element], names: dict[str, str]) -> list[str]:
    """One tie for each part that nothing joins to ground, at its first node: our own rule, told to ngspice."""
    groups: list[set[str]] = [{GROUND}]
    for element in elements:
        ends = set(_ends(element))
        apart = isinstance(element, CurrentSource) or (isinstance(element, Resistor) and math.isinf(element.ohms))
        for linked in [{end} for end in ends] if apart else [ends]:
            touched = [group for group in groups if group & linked]
            groups = [group for group in groups if not group & linked] + [linked.union(*touched)]
    floating = [group for group in groups if GROUND not in group]
    return [
        f"Rtie{number} {next(name for node, name in names.items() if node in group)} 0 {TIE}"
        for number, group in enumerate(floating)
    ]


def random_network(rng: Random) -> list[Element]:
    """Some nodes joined at random by wires, coils, meters, shorts, opens and sources; parts of it may float."""
    nodes = [GROUND, *(f"node {number}" for number in range(rng.randint(2, 30)))]
    elements: list[Element] = []
    for _ in range(rng.randint(len(nodes), 3 * len(nodes))):
        first, second = rng.sample(nodes, 2)
        ohms = rng.choice([0.0, math.inf, *(10 ** rng.uniform(-2, 6) for _ in range(8))])
        if ohms or not _looped(elements, first, second):
            elements.append(Resistor(first, second, ohms))
    for _ in range(rng.randint(1, 4)):
        first, second = rng.sample(nodes, 2)
        elements.append(VoltageSource(first, second, rng.uniform(-14, 14), 10 ** rng.uniform(-3, 4)))
    ideal = VoltageSource("supply", rng.choice(nodes), rng.uniform(1, 14))
    elements += [ideal, Resistor("supply", rng.choice(nodes), rng.uniform(0.1, 1000))]
    for _ in range(rng.randint(0, 2)):
        first, second = rng.sample(nodes, 2)
        elements += [CurrentSource(first, second, rng.uniform(-3, 3)), Resistor(first, second, rng.uniform(1, 100))]
    return elements


def _looped(elements: list[Element], first: str, second: str) -> bool:
    """True when shorts already join the two: ngspice cannot divide a current between parallel shorts."""
    reached = {first}
    for _ in elements:
        for one in elements:
            if isinstance(one, Resistor) and one.ohms == 0 and {one.first, one.second} & reached:
                reached |= {one.first, one.second}
    return second in reached


def agree(elements: list[Element], reference: dict[str, float], most: float = 1e-6) -> None:
    """Every node to one part in a million of the largest voltage there."""
    ours = solve(elements).volts
    scale = max(1e-3, *(abs(volts) for volts in reference.values()))
    worst = max(reference, key=lambda node: abs(ours[node] - reference[node]))
    assert abs(ours[worst] - reference[worst]) <= most * scale, (worst, ours[worst], reference[worst])


def test_random_networks_agree_with_ngspice(tmp_path: Path) -> None:
    networks = [random_network(Random(seed)) for seed in range(NETWORKS)]
    for elements, reference in zip(networks, ngspice(networks, tmp_path), strict=True):
        agree(elements, reference)


def test_a_bridge_out_of_balance() -> None:
    """Wheatstone's bridge by hand: 12 V on 100/200 and 300/400 ohms leaves 8 - 48/7 volts between the arms."""
    bridge: list[Element] = [
        VoltageSource("top", GROUND, 12.0),
        Resistor("top", "left", 100), Resistor("left", GROUND, 200),
        Resistor("top", "right", 300), Resistor("right", GROUND, 400),
    ]  # fmt: skip
    assert solve(bridge).between("left", "right") == pytest.approx(8 - 48 / 7, rel=1e-12)


def test_a_short_and_an_open_are_exact() -> None:
    network: list[Element] = [
        VoltageSource("a", GROUND, 12.0, 0.5), Resistor("a", "b", 0.0), Resistor("b", GROUND, 5.5),
        Resistor("b", "c", math.inf), Resistor("c", GROUND, 10),
    ]  # fmt: skip
    volts = solve(network).volts
    assert volts["a"] == volts["b"] == pytest.approx(11.0, rel=1e-12)
    assert volts["c"] == 0.0


def test_a_part_that_floats_keeps_its_own_volts() -> None:
    network: list[Element] = [VoltageSource("a", "b", 9.0, 1.0), Resistor("a", "b", 8.0), Resistor("x", GROUND, 1.0)]
    assert solve(network).between("a", "b") == pytest.approx(8.0, rel=1e-12)


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(DefectError, match="contradict"):
        solve([VoltageSource("a", GROUND, 12.0), VoltageSource("a", GROUND, 5.0)])
    with pytest.raises(DefectError, match="ohms"):
        solve([Resistor("a", GROUND, -1.0)])
    with pytest.raises(DefectError, match="inside"):
        solve([VoltageSource("a", GROUND, 1.0, math.inf)])
    with pytest.raises(DefectError, match="no node"):
        solve([Resistor("a", GROUND, 1.0)]).between("a", "z")
