"""The face of the seven-way (SAE J560): pins by number, color and circuit, with the pin lit that is touched.

Numbers, colors and circuits are those of SAE J560 as a published table of the connector family gives them; pin 7 is
the center pin. How the other six follow each other round it is from memory: the picture says to go by the numbers
cast into the plastic.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from assistant.phrasing.pictures import GO_BY_NUMBERS, TOUCHES
from assistant.pictures.style import STYLE
from assistant.svg import Drawing


@dataclass(frozen=True, slots=True)
class Pin:
    """One pin."""

    number: int
    word: str
    color: str
    circuit: str
    """What it feeds, in a word or two."""
    switch: str
    """What procedures call the circuit."""


FACE = (
    Pin(1, "one", "white", "ground", "ground"),
    Pin(2, "two", "black", "markers", "markers"),
    Pin(3, "three", "yellow", "left turn", "left turn"),
    Pin(4, "four", "red", "stop lamps, ABS", "stop lamps"),
    Pin(5, "five", "green", "right turn", "right turn"),
    Pin(6, "six", "brown", "tail lamps", "tail lamps"),
    Pin(7, "seven", "blue", "ABS power", "center pin"),
)
"""The pins of the primary seven-way of 12 volts."""
PINS = {name: pin.number for pin in FACE for name in (str(pin.number), pin.word)}
"""Number of a pin by its digit or its word."""
CENTER = 7
WIDTH, HEIGHT = 360.0, 190.0
_X, _Y, _RING = 86.0, 96.0, 48.0


def pin_of_circuit(answer: str) -> str | None:
    """The pin, as a word, of the circuit that an answer names; None for another answer."""
    return next((pin.word for pin in FACE if pin.switch == answer and pin.number != 1), None)


def place_of(number: int) -> tuple[float, float]:
    """Where a pin's middle lies in the picture, looking into the socket with its lid up."""
    if number == CENTER:
        return _X, _Y
    turn = math.radians(60 * (number - 1) - 90)
    return _X + _RING * math.cos(turn), _Y + _RING * math.sin(turn)


def draw_face(title: str, told: str, lit: dict[int, str]) -> Drawing:
    """The socket as one looks into it.

    Args:
        title: of the picture.
        told: the same facts in words.
        lit: pin to what touches it: ``red``, ``black`` or ``load``.
    """
    drawing = Drawing(WIDTH, HEIGHT, title, told=told, kind="hands", style=STYLE)
    drawing.circle(_X, _Y, 78, "shell")
    drawing.rect(_X - 12, _Y - 86, 24, 12, "shell")
    drawing.circle(_X, _Y, 70, "face")
    for pin in FACE:
        x, y = place_of(pin.number)
        touched = lit.get(pin.number, "")
        drawing.circle(x, y, 15, f"pin {touched}".strip())
        drawing.text(x, y + 5, str(pin.number), f"big {touched}".strip(), "middle")
    for row, pin in enumerate(FACE):
        y = 24 + 22 * row
        touched = lit.get(pin.number, "")
        if touched:
            drawing.rect(174, y - 15, 182, 21, f"pin {touched}")
            drawing.text(350, y, TOUCHES[touched], f"row b {touched}", "end")
        drawing.text(184, y, str(pin.number), f"row b {touched}".strip(), "middle")
        drawing.text(196, y, f"{pin.color}, {pin.circuit}", f"row {touched}".strip())
    drawing.text(176, HEIGHT - 10, GO_BY_NUMBERS, "s")
    return drawing
