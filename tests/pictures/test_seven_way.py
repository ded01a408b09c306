"""The face of the seven-way against the published table, and against geometry."""

from __future__ import annotations

import math
from itertools import pairwise

from assistant.pictures.seven_way import CENTER, FACE, PINS, draw_face, pin_of_circuit, place_of

J560 = {
    1: ("white", "ground"),
    2: ("black", "markers"),
    3: ("yellow", "left turn"),
    4: ("red", "stop lamps"),
    5: ("green", "right turn"),
    6: ("brown", "tail lamps"),
    7: ("blue", "ABS power"),
}
"""SAE J560 primary, 12 V: numbers, colors and circuits as a published table of the connector family gives them
(read on a secondary page); pin 7 hot with ignition for the ABS: FHWA-MC-98-008, page 32, on TMC RP 141."""


def test_numbers_colors_and_circuits_are_those_of_the_standard() -> None:
    assert [one.number for one in FACE] == list(J560)
    for one in FACE:
        color, circuit = J560[one.number]
        assert one.color == color
        assert one.circuit.startswith(circuit)


def test_pin_seven_is_the_center_and_the_others_lie_round_it() -> None:
    x, y = place_of(7)
    assert CENTER == 7
    others = [place_of(number) for number in range(1, 7)]
    away = [math.hypot(px - x, py - y) for px, py in others]
    assert max(away) - min(away) < 0.01
    assert math.isclose(sum(px for px, _ in others) / 6, x, abs_tol=0.01)
    assert math.isclose(sum(py for _, py in others) / 6, y, abs_tol=0.01)
    turns = sorted(math.degrees(math.atan2(py - y, px - x)) % 360 for px, py in others)
    assert all(math.isclose(b - a, 60, abs_tol=0.01) for a, b in pairwise(turns))
    assert min(away) > 2 * 15, "no two pins overlap"


def test_a_pin_is_known_by_digit_word_and_circuit() -> None:
    assert PINS["7"] == PINS["seven"] == 7
    assert pin_of_circuit("stop lamps") == "four"
    assert pin_of_circuit("center pin") == "seven"
    assert pin_of_circuit("another pin") is None


def test_what_touches_a_pin_is_said_beside_it() -> None:
    shapes = draw_face("t", "told", {7: "red", 1: "black"}).shapes()
    rows = {text: float(attributes["y"]) for tag, attributes, text in shapes if tag == "text"}
    assert rows["red probe"] == rows["blue, ABS power"]
    assert rows["black probe"] == rows["white, ground"]
